// Knows the signatures that the specifications of the formats give.

#include "file_kind.h"

#include <algorithm>
#include <string_view>

namespace batten {
namespace {

using namespace std::string_view_literals;

bool has(Bytes bytes, std::string_view signature, std::size_t at = 0) {
  return bytes.size() >= at + signature.size() &&
         std::equal(signature.begin(), signature.end(), bytes.begin() + static_cast<std::ptrdiff_t>(at),
                    [](char a, std::uint8_t b) { return static_cast<std::uint8_t>(a) == b; });
}

bool is_text(Bytes bytes) {
  const Bytes head = bytes.first(std::min<std::size_t>(bytes.size(), 512));
  return std::all_of(head.begin(), head.end(), [](std::uint8_t b) {
    return b == '\t' || b == '\n' || b == '\r' || b == '\f' || (b >= 0x20 && b != 0x7f);
  });
}

bool is_heic(Bytes bytes) {  // ISO/IEC 23008-12: the brand in the file type box
  if (!has(bytes, "ftyp", 4)) return false;
  for (const std::string_view brand : {"heic"sv, "heix"sv, "hevc"sv, "heim"sv, "heis"sv, "mif1"sv, "msf1"sv})
    if (has(bytes, brand, 8)) return true;
  return false;
}

}  // namespace

FileKind file_kind(Bytes bytes) {
  if (has(bytes, "\x89PNG\r\n\x1a\n"sv)) return FileKind::png;
  if (has(bytes, "\xff\xd8\xff"sv)) return FileKind::jpeg;
  if (has(bytes, "II\x2a\0"sv) || has(bytes, "MM\0\x2a"sv) || has(bytes, "II\x2b\0"sv) || has(bytes, "MM\0\x2b"sv))
    return has(bytes, "CR", 8) ? FileKind::other
                               : FileKind::tiff;  // "CR": the raw file of a camera, which begins like a TIFF
  if (has(bytes, "RIFF") && has(bytes, "WEBP", 8)) return FileKind::webp;
  if (has(bytes, "BM") && !is_text(bytes)) return FileKind::bmp;
  if (bytes.size() > 2 && bytes[0] == 'P' && bytes[1] >= '1' && bytes[1] <= '6' &&
      (bytes[2] == '#' || " \t\r\n"sv.find(static_cast<char>(bytes[2])) != std::string_view::npos))
    return FileKind::pnm;
  return FileKind::other;
}

std::string advice_for(const std::string& path, Bytes bytes) {
  const auto sentence = [&](std::string_view is, std::string_view advice) {
    return path + " is " + std::string(is) + ": " + std::string(advice) + ".";
  };
  if (bytes.empty()) return sentence("empty", "copy or scan it again");
  if (bytes.size() < 12 && (has(Bytes(bytes), "\x89P"sv) || has(bytes, "\xff\xd8"sv)))
    return sentence("cut short after a few bytes", "copy or scan it again");
  if (has(bytes, "%PDF")) return sentence("a PDF, not a picture", "export its page as PNG at 300 dpi or more");
  if (has(bytes, "%!PS")) return sentence("PostScript, not a picture", "export its page as PNG at 300 dpi or more");
  if (is_heic(bytes)) return sentence("a HEIC photo, which is not read here", "export it as JPEG or PNG");
  if (has(bytes, "ftypavif", 4)) return sentence("an AVIF picture, which is not read here", "export it as PNG");
  if (has(bytes, "GIF8")) return sentence("a GIF, which is not read here", "export it as PNG");
  if (has(bytes, "P7\n")) return sentence("a PAM picture, which is not read here", "export it as PNG");
  if (has(bytes, "Pf\n") || has(bytes, "PF\n"))
    return sentence("a PFM picture of floating-point samples, which is not read here", "export it as PNG");
  if (has(bytes, "\0\0\0\x0cjP  "sv) || has(bytes, "\xff\x4f\xff\x51"sv))
    return sentence("a JPEG 2000 picture, which is not read here", "export it as PNG");
  if (has(bytes, "\xff\x0a"sv) || has(bytes, "\0\0\0\x0cJXL "sv))
    return sentence("a JPEG XL picture, which is not read here", "export it as PNG");
  if (has(bytes, "CR", 8)) return sentence("a camera's raw file, which is not read here", "export it as PNG or TIFF");
  if (has(bytes, "PK\x03\x04"sv)) return sentence("an archive, not a picture", "unpack it or export the page as PNG");
  const std::string_view head(reinterpret_cast<const char*>(bytes.data()), std::min<std::size_t>(bytes.size(), 1024));
  if (head.find("<svg") != std::string_view::npos)
    return sentence("an SVG, which has outlines already", "give the scan of the pencil drawing");
  if (is_text(bytes)) return sentence("a text file, not a picture", "give a PNG, JPEG, TIFF, WebP, BMP or PNM");
  return sentence("not a picture that is known here", "give a PNG, JPEG, TIFF, WebP, BMP or PNM");
}

}  // namespace batten
