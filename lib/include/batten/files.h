#pragma once
/// \file
/// Reads image files, writes files and paints pictures: the only part that touches image codecs (batten::batten_files).

#include <cstddef>
#include <cstdint>
#include <limits>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "batten/convert.h"
#include "batten/error.h"
#include "batten/export.h"
#include "batten/glyphs.h"
#include "batten/measure.h"
#include "batten/refit.h"
#include "batten/sweep.h"

namespace batten {

/// A picture read from a file, the right way up as its orientation tag says.
struct Picture {
  std::vector<std::uint8_t> bytes;          ///< row after row
  int width = 0;                            ///< px
  int height = 0;                           ///< px
  PixelFormat format = PixelFormat::gray8;  ///< of each pixel
  std::ptrdiff_t stride_bytes = 0;          ///< from one row to the next
  double dpi = 0;                           ///< from the file; 0 where it does not say
  int pages = 1;                            ///< that the file holds; the first is the one that was read
  /// The same pixels for convert(); valid as long as the picture lives.
  ImageView view() const { return {bytes.data(), width, height, stride_bytes, format}; }
};

/// Limits of reading.
struct ReadOptions {
  double max_megapixels = 400;  ///< checked against the header before anything is allocated
  int longest_side_px = 65535;  ///< the same; convert() takes no longer side
  /// Bytes that reading and tracing may need, as memory_needed() has them for the latter; checked like the other two.
  /// DEFAULT: no limit.
  double most_memory_bytes = std::numeric_limits<double>::infinity();
  bool for_a_part = false;  ///< only a part of it will be traced, so that reading alone counts for most_memory_bytes
};

/// PNG, JPEG, TIFF, WebP, BMP, PNM; 8 or 16 bit; grey, colour, alpha. Errors: file_not_found, not_an_image,
/// image_truncated, image_too_large.
BATTEN_EXPORT Result<Picture> read_picture(const std::string& path, const ReadOptions& options = {});

/// Pins from a list as JSON (data/pins.schema.json says what is in it; README.md explains it). Lengths in mm become px
/// by `dpi`. `name`: of the list, for errors. Errors: bad_option (no such list: the sentence says which pin and why),
/// resolution_unknown (mm, and dpi is 0).
BATTEN_EXPORT Result<std::vector<Pin>> pins_from_json(std::string_view text, double dpi = 0,
                                                      const std::string& name = "The list of pins");
/// The same from a file of up to 8 MB. Errors: those, and file_not_found.
BATTEN_EXPORT Result<std::vector<Pin>> read_pins(const std::string& path, double dpi = 0);
/// A list of pins as JSON, in px. They have to pass check().
BATTEN_EXPORT std::string to_json(const std::vector<Pin>& pins);

/// What a path for a result leads to.
struct Destination {
  std::string name;     ///< one and the same for every spelling of a place, links followed
  bool stream = false;  ///< an open descriptor (/dev/stdout), a device or a pipe: it is written to, never replaced
};
/// For comparing places: a path that is whole or not, with "." and "..", by way of a link, to something that is there
/// or not yet.
BATTEN_EXPORT Destination destination_of(const std::string& path);

/// One file of a folder.
struct FolderFile {
  std::string path;   ///< below the folder, parts separated by '/'
  std::string bytes;  ///< what it holds
};

/// Files and folders that appear together or not at all. All of them are written under temporary names (`.batten-*`,
/// beside their places) as they are added, and get their names in commit(), in which a failure takes back what was done
/// already. Temporaries that a process left behind when it was killed are cleared from the folders that are written to.
class BATTEN_EXPORT FileBatch {
 public:
  /// An empty batch.
  FileBatch();
  /// Discards what was not committed.
  ~FileBatch();
  FileBatch(const FileBatch&) = delete;             ///< temporaries have one owner
  FileBatch& operator=(const FileBatch&) = delete;  ///< temporaries have one owner
  /// Makes the folder that a file at `path` is going to lie in. It goes again if nothing comes of the batch. Error:
  /// cannot_write.
  std::optional<Error> make_folder_of(const std::string& path);
  /// A file that is there is replaced, and what a link leads to rather than the link. Error: cannot_write.
  std::optional<Error> add(const std::string& path, std::string bytes);
  /// A folder of files. One that is there already is replaced if it holds a file of the name of files[0] or nothing at
  /// all, and is an error otherwise. Error: cannot_write.
  std::optional<Error> add_folder(const std::string& path, const std::vector<FolderFile>& files);
  /// Writes to devices and pipes, then puts all files in their places. The batch is empty afterwards and can be used
  /// again. Error: cannot_write, and then every place is as it was.
  std::optional<Error> commit();
  /// Removes what was not committed.
  void discard();
  /// For the end of a process, from any thread: lets a commit() that has begun to put files in their places finish,
  /// discards, and from then on makes every other call wait for ever.
  void abandon();

 private:
  struct State;
  std::unique_ptr<State> state_;
};

/// A FileBatch of one file. Error: cannot_write.
BATTEN_EXPORT std::optional<Error> write_file(const std::string& path, const std::string& bytes);

/// A FileBatch of one folder. Error: cannot_write.
BATTEN_EXPORT std::optional<Error> write_folder(const std::string& path, const std::vector<FolderFile>& files);

/// What a page says about itself.
struct PageOptions {
  std::string title;  ///< UTF-8; in EPS what is not ASCII becomes a question mark. DEFAULT: none
};

/// One page of the size of the sheet, 1/96 inch a pixel where drawing.dpi is unknown: filled shapes in reading order,
/// curves as curves, coordinates to 1/256 point. The same drawing gives the same bytes. A side over 14,400 points is
/// scaled down to that. Errors: bad_option (a size or a resolution that no page can have), out_of_memory, internal.
BATTEN_EXPORT Result<std::string> to_pdf(const Drawing& drawing, const PageOptions& options = {});

/// The same as Encapsulated PostScript, level 2; its bounding box encloses the shapes, not the sheet.
BATTEN_EXPORT Result<std::string> to_eps(const Drawing& drawing, const PageOptions& options = {});

/// What a font says about itself.
struct UfoOptions {
  std::string family_name = "Untitled";  ///< UTF-8
  bool whole_units = false;  ///< round coordinates to whole units, as many fonts store them. DEFAULT: thousandths
};

/// The files of a Unified Font Object, version 3 (https://unifiedfontobject.org), for write_folder(): one glyph for
/// each letter, y up, outer contours counter-clockwise, curves cubic; straights are points without handles.
///
/// \snippet glyphs.cpp ufo
BATTEN_EXPORT std::vector<FolderFile> to_ufo(const Drawing& drawing, const GlyphSheet& sheet,
                                             const UfoOptions& options = {});

/// A picture as PNG bytes with its resolution, if dpi > 0. Errors: bad_pixels, out_of_memory.
BATTEN_EXPORT Result<std::string> to_png(const ImageView& image, double dpi = 0);

/// The outline, its nodes and handles painted over the lightened scan, as PNG bytes: a dot for each node and, from a
/// scale of 2 on, a letter for its reason (C corner, L R T B the four extremes, E end of a straight, + added).
/// scale >= 1 enlarges the picture; it is lowered where a side would grow over 32,000 px. Errors: bad_pixels,
/// bad_option, out_of_memory.
BATTEN_EXPORT Result<std::string> draw_overlay(const Picture& picture, const Drawing& drawing, double scale = 2);

/// Outlines of an SVG file, in units of its view box, whose corner is (0, 0).
struct SvgDrawing {
  Drawing drawing;             ///< width_px and height_px are those of the view box
  double width_mm = 0;         ///< of the page, where the file gives it in mm, cm, in, pt ...; 0: unknown
  std::size_t open_paths = 0;  ///< filled paths of a single segment, which enclose nothing, left out
  bool sound = true;           ///< false where something was left out because it is not SVG 1.1
};

/// Reads paths with all their commands and the basic shapes of an SVG 1.1 file, with transforms, view boxes, units,
/// groups and uses; quadratics and arcs become cubics. What is filled is closed, as a fill closes it; open paths
/// without a fill are lines (Kind::line). What is hidden is left out. Styles by class, clips and masks are ignored.
/// Errors: file_not_found, not_a_drawing, out_of_memory.
BATTEN_EXPORT Result<SvgDrawing> read_outlines(const std::string& path);

/// Lays the drawing on a scan: over the whole scan where page and scan have the same proportions (to 1 %), otherwise by
/// its size in mm where that and dpi are known, otherwise one SVG unit is one pixel. Returns a sentence that says
/// which.
BATTEN_EXPORT std::string place_on_scan(SvgDrawing& svg, double width_px, double height_px, double dpi);

/// What a length of a document is measured in.
enum class LengthUnit {
  px,  ///< units of the view box of the root; without one px
  mm   ///< on paper, by the width that the root gives; 96 px are an inch
};

/// How far outlines lay, and lie, off what was drawn: of those that a scan placed.
struct OverScan {
  std::size_t placed = 0;      ///< subpaths; 0: the next four are 0
  std::size_t not_placed = 0;  ///< subpaths that were refitted without the scan, or left as they were
  double rms_before_px = 0;    ///< px of the scan, by length
  double rms_after_px = 0;     ///< the same
  double max_before_px = 0;    ///< the largest
  double max_after_px = 0;     ///< the same
};

/// Before and after, of a whole file.
struct RefitCounts {
  std::size_t paths = 0;                        ///< paths, polylines and polygons that are painted
  std::size_t refitted = 0;                     ///< of them, those that changed
  std::size_t nodes_before = 0;                 ///< of all paths, as they were written
  std::size_t nodes_after = 0;                  ///< of all paths
  double change_px = 0;                         ///< the largest distance between before and after, both ways
  std::optional<OverScan> over = std::nullopt;  ///< where a scan decided
};

/// An SVG file whose paths were refitted.
struct RefittedSvg {
  std::string bytes;      ///< the file: only `d` and `points` of refitted paths differ
  Conversion conversion;  ///< each path once, where it is largest; units of the view box from its corner, or px of the
                          ///< scan
  RefitCounts counts;     ///< before and after
  std::vector<Outline> before;  ///< the outlines of the conversion as they were
};

/// refit() on the paths, polylines and polygons of an SVG 1.1 file, where transforms, view boxes and uses put them:
/// `tolerance` is measured on the page, and where a path is used at several sizes, at the largest. All else stays byte
/// for byte: ids, classes, styles, other elements, comments, white space. A path keeps its place in the file, its
/// subpaths their order, direction and start; ends of open ones stay exactly. Subpaths that would not get fewer
/// segments stay as they were written. A polyline or polygon gets fewer points where straights are enough, and becomes
/// a path where curves are (not in files with scripts, or with style sheets that name it). Other basic shapes have as
/// few numbers as can be and stay. What is left alone and why is in the report's findings: clips, masks, patterns,
/// markers and what is hidden; outlines that are animated or have markers at their nodes; what is not SVG. Nothing is
/// fetched. Places of pins are those of the page: units of the view
/// box from its corner. Errors: file_not_found, not_a_drawing, bad_option, cancelled, out_of_memory.
BATTEN_EXPORT Result<RefittedSvg> refit_svg(const std::string& path, double tolerance, LengthUnit unit = LengthUnit::px,
                                            const Options& options = {}, const Job& job = {});

/// The same over a scan, on which the page lies as place_on_scan() lays it: refit() with an Underlay. `tolerance` is
/// the largest distance to what was drawn; empty: chosen for each path. Of the options those of locate() count as well,
/// and `dpi`, if it is not that of the picture. Conversion, counts and pins are in px of the scan. Paths that are
/// painted in several places are refitted without the scan. Errors: those of refit_svg() and locate().
BATTEN_EXPORT Result<RefittedSvg> refit_svg(const std::string& path, const Picture& scan,
                                            std::optional<double> tolerance, LengthUnit unit = LengthUnit::px,
                                            const Options& options = {}, const Job& job = {});

/// What a report should say beyond the conversion itself.
struct ReportContext {
  std::string scan;                                  ///< name of the scan; may be empty
  double seconds = 0;                                ///< how long it took; 0: left out
  std::optional<Comparison> against = std::nullopt;  ///< where the right outlines are known
  std::optional<RefitCounts> refit = std::nullopt;   ///< of a refit
  std::vector<Pin> pins = {};                        ///< those that Report::pins is about, where they are shown too
  std::string job = {};                              ///< what was asked of which pixels, by a name; may be empty
  std::vector<Outline> before = {};                  ///< of a refit: the outlines as they were, shown under the others
};

/// Everything that a conversion knows, as JSON (RFC 8259), every node with its reason; all lengths in px of the scan.
/// The number under "schema" grows when a field changes its meaning or goes. What is unknown or infinite is null.
BATTEN_EXPORT std::string to_json(const Conversion& conversion, const ReportContext& context = {});

/// The proof as one self-contained HTML page (no network, no other file): the scan, the fill over it, outlines,
/// handles, nodes with their reasons, the deviation along each outline, all figures and findings as text. Scans over 12
/// megapixels are shown reduced. Where outlines as they were are given, there need be no picture: an empty one will do.
/// Errors: bad_pixels, out_of_memory.
BATTEN_EXPORT Result<std::string> to_proof_page(const Picture& picture, const Conversion& conversion,
                                                const ReportContext& context = {});
/// The same with a slider over the tolerances and the curve of error against segments. Error also: bad_option.
BATTEN_EXPORT Result<std::string> to_proof_page(const Picture& picture, const Sweep& sweep,
                                                const ReportContext& context = {});

/// The proof as one picture: scan, fill, outlines, handles, nodes with their letters, guides, the deviation as strokes
/// across the outline with their scale, a legend in words, figures for each outline. The PNG shows each px of the scan
/// as 1 to 3 px, as long as that makes at most 24 megapixels; the PDF has its true size, or 2, 4, 8 times that where it
/// is small. Both say so. Errors: bad_pixels, out_of_memory.
BATTEN_EXPORT Result<std::string> to_proof_png(const Picture& picture, const Conversion& conversion,
                                               const ReportContext& context = {});
/// See to_proof_png().
BATTEN_EXPORT Result<std::string> to_proof_pdf(const Picture& picture, const Conversion& conversion,
                                               const ReportContext& context = {});

/// A sweep as a table: CSV (RFC 4180) after a head of lines that begin with # and name version, scan and options. One
/// row a tolerance: segments, nodes by reason, rms, 95 % and largest deviation in px, seconds, and whether it is the
/// knee or the recommended one.
BATTEN_EXPORT std::string to_csv(const Sweep& sweep, const Options& options = {}, const ReportContext& context = {});
/// A sweep as a chart, SVG 1.1: rms and largest deviation against segments, both axes logarithmic, the knee of the rms
/// and the recommended tolerance marked.
BATTEN_EXPORT std::string to_plot_svg(const Sweep& sweep);

}  // namespace batten
