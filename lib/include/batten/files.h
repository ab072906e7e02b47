#pragma once
/// \file
/// Image files in, files and pictures out: the only part that touches image codecs (batten::batten_files).

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "batten/error.h"
#include "batten/export.h"
#include "batten/sweep.h"

namespace batten {

/// A picture read from a file, turned upright as its orientation tag says.
struct Picture {
  std::vector<std::uint8_t> bytes;
  int width = 0, height = 0;
  PixelFormat format = PixelFormat::gray8;
  std::ptrdiff_t stride_bytes = 0;
  double dpi = 0;  ///< from the file; 0 where it does not say
  ImageView view() const { return {bytes.data(), width, height, stride_bytes, format}; }
};

struct ReadOptions {
  double max_megapixels = 400;  ///< checked against the header before anything is allocated
};

/// PNG, JPEG, TIFF, WebP, BMP, PNM; 8 or 16 bit; grey, colour, alpha. Errors: file_not_found, not_an_image,
/// image_truncated, image_too_large.
BATTEN_EXPORT Result<Picture> read_picture(const std::string& path, const ReadOptions& options = {});

/// Writes to a temporary name beside `path` and renames: a failed run leaves no half-written file. Error: cannot_write.
BATTEN_EXPORT std::optional<Error> write_file(const std::string& path, const std::string& bytes);

/// A picture as PNG bytes with its resolution, if dpi > 0. Errors: bad_pixels, out_of_memory.
BATTEN_EXPORT Result<std::string> to_png(const ImageView& image, double dpi = 0);

/// The outline, its nodes and handles painted over the lightened scan, as PNG bytes: a dot for each node and, from a
/// scale of 2 on, a letter for its reason (C corner, L R T B the four extremes, S straight end, A added, P pinned).
/// scale >= 1 enlarges the picture; it is lowered where a side would grow over 32,000 px. Errors: bad_pixels,
/// bad_option, out_of_memory.
BATTEN_EXPORT Result<std::string> draw_overlay(const Picture& picture, const Drawing& drawing, double scale = 2);

/// What a report should say beyond the conversion itself.
struct ReportContext {
  std::string scan;    ///< name of the scan; may be empty
  double seconds = 0;  ///< how long it took; 0: left out
};

/// Everything a conversion knows as JSON (RFC 8259), every node with its reason; all lengths in px of the scan. The
/// number under "schema" grows when a field changes its meaning or goes. What is unknown or infinite is null.
BATTEN_EXPORT std::string to_json(const Conversion& conversion, const ReportContext& context = {});

/// The proof as one self-contained HTML page (no network, no other file): the scan, the fill over it, outlines, handles,
/// nodes with their reasons, the deviation along each outline, all figures and findings as text. Scans over 12 megapixels
/// are shown reduced. Errors: bad_pixels, out_of_memory.
BATTEN_EXPORT Result<std::string> to_proof_page(const Picture& picture, const Conversion& conversion,
                                                const ReportContext& context = {});
/// The same with a slider over the tolerances and the curve of error against segments. Error also: bad_option.
BATTEN_EXPORT Result<std::string> to_proof_page(const Picture& picture, const Sweep& sweep,
                                                const ReportContext& context = {});

}  // namespace batten
