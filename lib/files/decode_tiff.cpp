// Reads TIFF 6.0 by libtiff: the first page. Grey and RGB of 8 or 16 bits are read as they are; palettes, bits, inks
// and tiles go through libtiff's own conversion to 8-bit RGBA.

#include <tiffio.h>

#include <algorithm>
#include <cstdarg>
#include <cstdio>
#include <cstring>
#include <memory>
#include <string_view>

#include "decoders.h"

namespace batten {
namespace {

struct Memory {
  Bytes bytes;
  std::uint64_t at = 0;
  char message[160] = "";
  bool decoding = false;  // the directory is read, and what comes now is about pixels
};

Memory& memory_of(thandle_t handle) { return *static_cast<Memory*>(handle); }

tmsize_t read_bytes(thandle_t handle, void* out, tmsize_t count) {
  Memory& memory = memory_of(handle);
  if (memory.at >= memory.bytes.size() || count <= 0) return 0;
  const std::size_t have = std::min<std::size_t>(static_cast<std::size_t>(count), memory.bytes.size() - memory.at);
  std::memcpy(out, memory.bytes.data() + memory.at, have);
  memory.at += have;
  return static_cast<tmsize_t>(have);
}
tmsize_t write_bytes(thandle_t, void*, tmsize_t) { return 0; }
toff_t seek(thandle_t handle, toff_t offset, int whence) {
  Memory& memory = memory_of(handle);
  memory.at = whence == SEEK_SET ? offset : whence == SEEK_CUR ? memory.at + offset : memory.bytes.size() + offset;
  return memory.at;
}
int close_file(thandle_t) { return 0; }
toff_t size_of(thandle_t handle) { return memory_of(handle).bytes.size(); }
// libtiff reads through this map and never writes to it: the file is opened with "r".
int map_file(thandle_t handle, void** base, toff_t* size) {
  *base = const_cast<std::uint8_t*>(memory_of(handle).bytes.data());
  *size = memory_of(handle).bytes.size();
  return 1;
}
void unmap_file(thandle_t, void*, toff_t) {}

// Only the first complaint is kept: it is the cause, and those that follow are consequences.
int on_error(TIFF*, void* user, const char*, const char* format, va_list arguments) {
  Memory* memory = static_cast<Memory*>(user);
  if (!memory->message[0]) std::vsnprintf(memory->message, sizeof memory->message, format, arguments);
  return 1;
}

// Complaints that leave every pixel as it was meant: an older way of LZW, marks between the data of JPEG, the depth of
// a palette.
bool is_harmless(std::string_view message) {
  for (const std::string_view words : {"old-style LZW", "extraneous bytes before marker", "assuming 8-bit colormap"})
    if (message.find(words) != message.npos) return true;
  return false;
}

// Warnings about the directory (private tags of scanners) say nothing about the picture. Those of a codec mean that
// pixels are missing or guessed: fax and JPEG only warn where their data end too early, and fill up with white or grey.
// Such a picture is refused like a PNG that is cut short: a part of the drawing would be missing, nobody could see in
// the outlines which, and the scan can be made again.
int on_warning(TIFF* tiff, void* user, const char* module, const char* format, va_list arguments) {
  if (!static_cast<Memory*>(user)->decoding) return 1;
  char message[160] = "";
  va_list again;
  va_copy(again, arguments);
  std::vsnprintf(message, sizeof message, format, again);
  va_end(again);
  return is_harmless(message) ? 1 : on_error(tiff, user, module, format, arguments);
}

struct CloseTiff {
  void operator()(TIFF* tiff) const { TIFFClose(tiff); }
};
using Tiff = std::unique_ptr<TIFF, CloseTiff>;

// These handlers serve this file alone: libtiff's older, global ones would change what the caller sees.
Tiff open_tiff(Memory& memory) {
  TIFFOpenOptions* options = TIFFOpenOptionsAlloc();
  TIFFOpenOptionsSetErrorHandlerExtR(options, on_error, &memory);
  TIFFOpenOptionsSetWarningHandlerExtR(options, on_warning, &memory);
  // A directory may name tiles of any size. One piece of what libtiff holds is never more than a picture within the
  // limits, which has its own check.
  constexpr tmsize_t most_at_once = tmsize_t{2} << 30;
  TIFFOpenOptionsSetMaxSingleMemAlloc(options, most_at_once);
  Tiff tiff(TIFFClientOpenExt("scan", "r", &memory, read_bytes, write_bytes, seek, close_file, size_of, map_file,
                              unmap_file, options));
  TIFFOpenOptionsFree(options);
  return tiff;
}

std::uint16_t tag(TIFF* tiff, std::uint32_t which) {
  std::uint16_t value = 0;
  TIFFGetFieldDefaulted(tiff, which, &value);
  return value;
}

// Do the strips or tiles that the directory names lie inside the file?
bool data_inside(TIFF* tiff, std::uint64_t file_bytes) {
  const std::uint32_t parts = TIFFIsTiled(tiff) ? TIFFNumberOfTiles(tiff) : TIFFNumberOfStrips(tiff);
  if (parts > file_bytes) return false;
  std::uint64_t total = 0;
  for (std::uint32_t i = 0; i < parts; ++i) {
    const std::uint64_t begin = TIFFGetStrileOffset(tiff, i), size = TIFFGetStrileByteCount(tiff, i);
    if (begin > file_bytes || size > file_bytes - begin || size == 0) return false;
    total += size;
  }
  const bool plain = tag(tiff, TIFFTAG_COMPRESSION) == COMPRESSION_NONE;
  const auto needed = TIFFIsTiled(tiff) ? static_cast<std::uint64_t>(TIFFTileSize64(tiff)) * parts
                                        : static_cast<std::uint64_t>(TIFFScanlineSize64(tiff)) * 1;
  return parts > 0 && (!plain || total >= needed);
}

// Grey or RGB in whole bytes, samples side by side, no premultiplied alpha.
std::optional<PixelFormat> plain_format(TIFF* tiff) {
  const int bits = tag(tiff, TIFFTAG_BITSPERSAMPLE), samples = tag(tiff, TIFFTAG_SAMPLESPERPIXEL);
  const int colours = tag(tiff, TIFFTAG_PHOTOMETRIC);
  if (TIFFIsTiled(tiff) || tag(tiff, TIFFTAG_PLANARCONFIG) != PLANARCONFIG_CONTIG) return std::nullopt;
  if (bits != 8 && bits != 16) return std::nullopt;
  std::uint16_t extra_count = 0, *extra = nullptr;
  TIFFGetFieldDefaulted(tiff, TIFFTAG_EXTRASAMPLES, &extra_count, &extra);
  const bool deep = bits == 16;
  const bool grey = colours == PHOTOMETRIC_MINISBLACK || colours == PHOTOMETRIC_MINISWHITE;
  if (grey && samples == 1) return deep ? PixelFormat::gray16 : PixelFormat::gray8;
  if (colours != PHOTOMETRIC_RGB) return std::nullopt;
  if (samples == 3) return deep ? PixelFormat::rgb16 : PixelFormat::rgb8;
  if (samples == 4 && extra_count == 1 && extra[0] == EXTRASAMPLE_UNASSALPHA)
    return deep ? PixelFormat::rgba16 : PixelFormat::rgba8;
  return std::nullopt;
}

bool read_plain(TIFF* tiff, Picture& picture) {
  if (TIFFScanlineSize64(tiff) != static_cast<std::uint64_t>(picture.stride_bytes)) return false;
  for (int y = 0; y < picture.height; ++y)
    if (TIFFReadScanline(tiff, picture.bytes.data() + y * picture.stride_bytes, static_cast<std::uint32_t>(y), 0) != 1)
      return false;
  if (tag(tiff, TIFFTAG_PHOTOMETRIC) == PHOTOMETRIC_MINISWHITE)
    for (std::uint8_t& byte : picture.bytes) byte = static_cast<std::uint8_t>(~byte);
  return true;
}

// libtiff gives colours that are already multiplied by alpha, so white paper adds what is missing to full alpha.
bool read_converted(TIFF* tiff, Picture& picture, int orientation) {
  const auto width = static_cast<std::uint32_t>(picture.width), height = static_cast<std::uint32_t>(picture.height);
  std::vector<std::uint32_t> raster(static_cast<std::size_t>(width) * height);
  // libtiff is asked for the stored orientation, so that it turns nothing: all formats are turned in one place.
  if (!TIFFReadRGBAImageOriented(tiff, width, height, raster.data(), orientation, 1)) return false;
  for (std::size_t i = 0; i < raster.size(); ++i) {
    const int paper = 255 - static_cast<int>(TIFFGetA(raster[i]));
    const int rgb[] = {static_cast<int>(TIFFGetR(raster[i])), static_cast<int>(TIFFGetG(raster[i])),
                       static_cast<int>(TIFFGetB(raster[i]))};
    for (int c = 0; c < 3; ++c) picture.bytes[3 * i + c] = static_cast<std::uint8_t>(std::min(255, rgb[c] + paper));
  }
  return true;
}

double resolution(TIFF* tiff) {
  float x = 0, y = 0;
  if (!TIFFGetField(tiff, TIFFTAG_XRESOLUTION, &x) || !TIFFGetField(tiff, TIFFTAG_YRESOLUTION, &y)) return 0;
  const int unit = tag(tiff, TIFFTAG_RESOLUTIONUNIT);
  const double per_inch = unit == RESUNIT_INCH ? 1 : unit == RESUNIT_CENTIMETER ? 2.54 : 0;
  return dpi_of(x * per_inch, y * per_inch);
}

// Pages beside the one that was read. Previews and masks are none (TIFF 6.0, NewSubfileType). libtiff stops at a ring
// of directories by itself.
int pages(TIFF* tiff) {
  int count = 1;
  while (TIFFReadDirectory(tiff)) {
    std::uint32_t kind = 0;
    TIFFGetField(tiff, TIFFTAG_SUBFILETYPE, &kind);
    if (!(kind & (FILETYPE_REDUCEDIMAGE | FILETYPE_MASK))) ++count;
  }
  return count;
}

}  // namespace

Result<Decoded> decode_tiff(const Source& source) {
  Memory memory{source.bytes};
  const Tiff tiff = open_tiff(memory);
  if (!tiff) return damaged(source, "TIFF", memory.message);
  std::uint32_t width = 0, height = 0;
  TIFFGetField(tiff.get(), TIFFTAG_IMAGEWIDTH, &width);
  TIFFGetField(tiff.get(), TIFFTAG_IMAGELENGTH, &height);
  if (auto error = check_size(source, "TIFF", width, height)) return *error;
  if (!data_inside(tiff.get(), source.bytes.size())) return damaged(source, "TIFF", "picture data is missing");
  const int sample_format = tag(tiff.get(), TIFFTAG_SAMPLEFORMAT);
  if (sample_format != SAMPLEFORMAT_UINT && sample_format != SAMPLEFORMAT_VOID)
    return unsupported(source, "a TIFF of signed or floating-point samples");

  Decoded decoded;
  const int orientation = tag(tiff.get(), TIFFTAG_ORIENTATION);
  decoded.orientation = orientation >= 1 && orientation <= 8 ? orientation : 1;
  const std::optional<PixelFormat> plain = plain_format(tiff.get());
  char reason[1024] = "";
  if (!plain && !TIFFRGBAImageOK(tiff.get(), reason)) return unsupported(source, "an unusual TIFF");
  allocate(decoded.picture, width, height, plain.value_or(PixelFormat::rgb8));
  memory.message[0] = 0, memory.decoding = true;
  const bool read = plain ? read_plain(tiff.get(), decoded.picture)
                          : read_converted(tiff.get(), decoded.picture, decoded.orientation);
  memory.decoding = false;
  if (!read || memory.message[0]) return damaged(source, "TIFF", memory.message);
  decoded.picture.dpi = resolution(tiff.get());
  decoded.picture.pages = pages(tiff.get());
  return decoded;
}

}  // namespace batten
