// Reads a picture: loads the bytes, tells the format by them, decodes, and turns the picture the right way up.

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <new>

#include "apply_orientation.h"
#include "batten/files.h"
#include "decoders.h"
#include "file_kind.h"

namespace batten {
namespace {

namespace fs = std::filesystem;

Error not_found(const std::string& path, const std::string& what) {
  return {ErrorCode::file_not_found, path + " " + what, path};
}

// Reads all bytes of a regular file. Its length is checked first: no picture within the limit needs more.
Result<std::vector<std::uint8_t>> load(const std::string& path, double max_megapixels) {
  std::error_code code;
  const fs::file_status status = fs::status(path, code);
  if (status.type() == fs::file_type::not_found || code == std::errc::not_a_directory)
    return not_found(path, "does not exist: check the name and the folder.");
  if (fs::is_directory(status))
    return Error{ErrorCode::not_an_image, path + " is a folder: name the scans in it, for example " + path + "/*.png.",
                 path};
  if (fs::exists(status) && !fs::is_regular_file(status))
    return Error{ErrorCode::not_an_image, path + " is not a regular file: save the scan as a file first.", path};
  const std::uintmax_t size = fs::file_size(path, code);
  if (code) return not_found(path, "cannot be read (" + code.message() + "): check its permissions.");
  // 8 bytes is the largest pixel; as much again for plain-text formats, and 64 MB for profiles and previews.
  if (static_cast<double>(size) > max_megapixels * 1e6 * 16 + 64e6)
    return Error{ErrorCode::image_too_large,
                 path + " is too large a file for the limit of pixels: scan at a lower resolution.", path};
  std::vector<std::uint8_t> bytes(size);
  std::ifstream stream(path, std::ios::binary);
  if (!stream)
    return not_found(path, std::string("cannot be read (") + std::strerror(errno) + "): check its permissions.");
  stream.read(reinterpret_cast<char*>(bytes.data()), static_cast<std::streamsize>(size));
  bytes.resize(static_cast<std::size_t>(stream.gcount()));
  return bytes;
}

Result<Decoded> decode(const Source& source) {
  switch (file_kind(source.bytes)) {
    case FileKind::png:
      return decode_png(source);
    case FileKind::jpeg:
      return decode_jpeg(source);
    case FileKind::tiff:
      return decode_tiff(source);
    case FileKind::webp:
      return decode_webp(source);
    case FileKind::bmp:
      return decode_bmp(source);
    case FileKind::pnm:
      return decode_pnm(source);
    case FileKind::other:
      break;
  }
  return Error{ErrorCode::not_an_image, advice_for(source.path, source.bytes), source.path};
}

}  // namespace

Result<Picture> read_picture(const std::string& path, const ReadOptions& options) {
  try {
    Result<std::vector<std::uint8_t>> bytes = load(path, options.max_megapixels);
    if (!bytes) return bytes.error();
    Result<Decoded> decoded = decode({*bytes, path, options});
    if (!decoded) return decoded.error();
    return apply_orientation(std::move(decoded->picture), decoded->orientation);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory,
                 "There is not enough memory to read " + path + ": scan at a lower resolution.", path};
  } catch (const std::exception& error) {
    return Error{ErrorCode::internal, "Reading " + path + " failed (" + error.what() + ").", path};
  }
}

}  // namespace batten
