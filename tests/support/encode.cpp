#include "support/encode.h"

#include <png.h>
#include <tiffio.h>
#include <webp/encode.h>

#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <cstring>
// jpeglib.h needs cstdio.
#include <jpeglib.h>

#include "support/scratch.h"

namespace batten::testing {
namespace {

void put(std::string& out, std::uint64_t value, int count, bool big_endian) {
  for (int i = 0; i < count; ++i) out += static_cast<char>(value >> 8 * (big_endian ? count - 1 - i : i) & 0xff);
}

// One row in 8-bit samples or in 16-bit samples of native order.
std::vector<std::uint8_t> row_bytes(const Raster& raster, int y) {
  std::vector<std::uint8_t> row;
  for (int x = 0; x < raster.width; ++x)
    for (int c = 0; c < raster.channels; ++c) {
      const std::uint16_t value = raster.at(x, y, c);
      std::uint8_t bytes[2];
      std::memcpy(bytes, &value, 2);
      if (raster.bits == 16)
        row.insert(row.end(), bytes, bytes + 2);
      else
        row.push_back(static_cast<std::uint8_t>(value));
    }
  return row;
}

void append_png(png_structp png, png_bytep data, std::size_t count) {
  static_cast<std::string*>(png_get_io_ptr(png))->append(reinterpret_cast<char*>(data), count);
}

}  // namespace

Raster pattern(int width, int height, int channels, int bits) {
  Raster raster{width, height, channels, bits, {}};
  const std::uint32_t largest = (1u << bits) - 1;
  std::uint32_t state = 1;
  for (int i = 0; i < width * height * channels; ++i) {
    state = state * 1664525u + 1013904223u;  // "Numerical Recipes in C", 1992, 7.1: enough to tell places apart
    raster.samples.push_back(static_cast<std::uint16_t>((state >> 8) % (largest + 1)));
  }
  return raster;
}

Raster stored_for(const Raster& upright, int orientation) {
  const bool swap = orientation >= 5;
  Raster stored = upright;
  if (swap) std::swap(stored.width, stored.height);
  const int right = upright.width - 1, bottom = upright.height - 1;
  for (int row = 0; row < stored.height; ++row)
    for (int column = 0; column < stored.width; ++column) {
      int x = column, y = row;  // TIFF 6.0, page 36: what row 0 and column 0 stand for
      switch (orientation) {
        case 2:
          x = right - column;
          break;  // row 0 top, column 0 right
        case 3:
          x = right - column, y = bottom - row;
          break;  // bottom, right
        case 4:
          y = bottom - row;
          break;  // bottom, left
        case 5:
          x = row, y = column;
          break;  // left, top
        case 6:
          x = right - row, y = column;
          break;  // right, top
        case 7:
          x = right - row, y = bottom - column;
          break;  // right, bottom
        case 8:
          x = row, y = bottom - column;
          break;  // left, bottom
        default:
          break;
      }
      for (int c = 0; c < upright.channels; ++c) stored.at(column, row, c) = upright.at(x, y, c);
    }
  return stored;
}

Raster raster_of(const Picture& picture) {
  const bool deep = picture.format == PixelFormat::gray16 || picture.format == PixelFormat::rgb16 ||
                    picture.format == PixelFormat::rgba16;
  const auto pixel_bytes = static_cast<int>(picture.stride_bytes / picture.width);
  Raster raster{picture.width, picture.height, pixel_bytes / (deep ? 2 : 1), deep ? 16 : 8, {}};
  for (std::size_t i = 0; i < picture.bytes.size(); i += deep ? 2 : 1) {
    std::uint16_t value = picture.bytes[i];
    if (deep) std::memcpy(&value, picture.bytes.data() + i, 2);
    raster.samples.push_back(value);
  }
  return raster;
}

// CIPA DC-008 (EXIF 2.3), 4.5: a TIFF header, one directory with orientation, resolutions and unit.
std::string exif_block(const Extras& extras) {
  const bool big = extras.big_endian;
  std::string block = big ? "MM" : "II";
  put(block, 42, 2, big), put(block, 8, 4, big), put(block, 4, 2, big);
  const auto entry = [&](int tag, int type, std::uint32_t value) {
    put(block, static_cast<std::uint64_t>(tag), 2, big), put(block, static_cast<std::uint64_t>(type), 2, big);
    put(block, 1, 4, big);
    constexpr int type_short = 3;
    put(block, value, type == type_short ? 2 : 4, big);
    if (type == type_short) put(block, 0, 2, big);
  };
  constexpr std::uint32_t after_directory = 8 + 2 + 4 * 12 + 4;
  entry(274, 3, static_cast<std::uint32_t>(extras.orientation ? extras.orientation : 1));
  entry(282, 5, after_directory);
  entry(283, 5, after_directory + 8);
  entry(296, 3, 2);
  put(block, 0, 4, big);
  const double dpi = extras.in_exif ? extras.dpi : 72;
  for (int i = 0; i < 2; ++i)
    put(block, static_cast<std::uint64_t>(std::lround(dpi * 10)), 4, big), put(block, 10, 4, big);
  return block;
}

std::string png(const Raster& raster, const Extras& extras) {
  std::string out;
  png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, nullptr, nullptr);
  png_infop info = png_create_info_struct(png);
  png_set_write_fn(png, &out, append_png, nullptr);
  const int types[] = {PNG_COLOR_TYPE_GRAY, PNG_COLOR_TYPE_GRAY_ALPHA, PNG_COLOR_TYPE_RGB, PNG_COLOR_TYPE_RGB_ALPHA};
  png_set_IHDR(png, info, static_cast<png_uint_32>(raster.width), static_cast<png_uint_32>(raster.height), raster.bits,
               types[raster.channels - 1], extras.interlaced ? PNG_INTERLACE_ADAM7 : PNG_INTERLACE_NONE,
               PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
  if (extras.dpi > 0 && !extras.in_exif) {
    const auto per_metre = static_cast<png_uint_32>(std::lround(extras.dpi / 0.0254));
    png_set_pHYs(png, info, per_metre, per_metre, PNG_RESOLUTION_METER);
  }
  std::string block = exif_block(extras);
  if (extras.orientation || extras.in_exif)
    png_set_eXIf_1(png, info, static_cast<png_uint_32>(block.size()), reinterpret_cast<png_bytep>(block.data()));
  png_write_info(png, info);
  if (raster.bits == 16) png_set_swap(png);
  if (raster.bits < 8) png_set_packing(png);
  const int passes = png_set_interlace_handling(png);
  for (int pass = 0; pass < passes; ++pass)
    for (int y = 0; y < raster.height; ++y) png_write_row(png, row_bytes(raster, y).data());
  png_write_end(png, info);
  png_destroy_write_struct(&png, &info);
  return out;
}

std::string jpeg(const Raster& raster, const Extras& extras) {
  jpeg_compress_struct jpeg;
  jpeg_error_mgr errors;
  jpeg.err = jpeg_std_error(&errors);
  jpeg_create_compress(&jpeg);
  unsigned char* memory = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&jpeg, &memory, &size);
  jpeg.image_width = static_cast<JDIMENSION>(raster.width);
  jpeg.image_height = static_cast<JDIMENSION>(raster.height);
  jpeg.input_components = raster.channels;
  jpeg.in_color_space = raster.channels == 1 ? JCS_GRAYSCALE : raster.channels == 3 ? JCS_RGB : JCS_CMYK;
  jpeg_set_defaults(&jpeg);
  jpeg_set_quality(&jpeg, 95, TRUE);
  jpeg.comp_info[0].h_samp_factor = jpeg.comp_info[0].v_samp_factor = 1;  // full colour resolution
  if (extras.interlaced) jpeg_simple_progression(&jpeg);
  if (extras.dpi > 0 && !extras.in_exif) {
    jpeg.density_unit = 1;
    jpeg.X_density = jpeg.Y_density = static_cast<UINT16>(extras.dpi);
  }
  jpeg_start_compress(&jpeg, TRUE);
  if (extras.orientation || extras.in_exif) {
    const std::string block = std::string("Exif\0\0", 6) + exif_block(extras);
    jpeg_write_marker(&jpeg, JPEG_APP0 + 1, reinterpret_cast<const JOCTET*>(block.data()),
                      static_cast<unsigned>(block.size()));
  }
  for (int y = 0; y < raster.height; ++y) {
    std::vector<std::uint8_t> row = row_bytes(raster, y);
    JSAMPROW rows[] = {row.data()};
    jpeg_write_scanlines(&jpeg, rows, 1);
  }
  jpeg_finish_compress(&jpeg);
  std::string out(reinterpret_cast<char*>(memory), size);
  jpeg_destroy_compress(&jpeg);
  std::free(memory);
  return out;
}

std::string tiff(const Raster& raster, const Extras& extras) {
  const Scratch scratch;
  const std::string name = scratch / "picture.tiff";
  TIFF* tiff = TIFFOpen(name.c_str(), "w");
  TIFFSetField(tiff, TIFFTAG_IMAGEWIDTH, raster.width);
  TIFFSetField(tiff, TIFFTAG_IMAGELENGTH, raster.height);
  TIFFSetField(tiff, TIFFTAG_SAMPLESPERPIXEL, raster.channels);
  TIFFSetField(tiff, TIFFTAG_BITSPERSAMPLE, raster.bits);
  TIFFSetField(tiff, TIFFTAG_PLANARCONFIG, PLANARCONFIG_CONTIG);
  TIFFSetField(tiff, TIFFTAG_COMPRESSION, extras.compressed ? COMPRESSION_ADOBE_DEFLATE : COMPRESSION_NONE);
  TIFFSetField(tiff, TIFFTAG_PHOTOMETRIC,
               raster.channels >= 3 ? PHOTOMETRIC_RGB
               : extras.inverted    ? PHOTOMETRIC_MINISWHITE
                                    : PHOTOMETRIC_MINISBLACK);
  if (raster.channels == 4) {
    const std::uint16_t straight = EXTRASAMPLE_UNASSALPHA;
    TIFFSetField(tiff, TIFFTAG_EXTRASAMPLES, 1, &straight);
  }
  if (extras.orientation) TIFFSetField(tiff, TIFFTAG_ORIENTATION, extras.orientation);
  if (extras.dpi > 0) {
    TIFFSetField(tiff, TIFFTAG_RESOLUTIONUNIT, RESUNIT_CENTIMETER);
    TIFFSetField(tiff, TIFFTAG_XRESOLUTION, extras.dpi / 2.54);
    TIFFSetField(tiff, TIFFTAG_YRESOLUTION, extras.dpi / 2.54);
  }
  if (extras.tiled) {
    constexpr int side = 16;  // one tile holds the whole picture
    TIFFSetField(tiff, TIFFTAG_TILEWIDTH, side);
    TIFFSetField(tiff, TIFFTAG_TILELENGTH, side);
    const std::size_t pixel = static_cast<std::size_t>(raster.channels * raster.bits / 8);
    std::vector<std::uint8_t> tile(side * side * pixel);
    for (int y = 0; y < raster.height; ++y) {
      const std::vector<std::uint8_t> row = row_bytes(raster, y);
      std::copy(row.begin(), row.end(),
                tile.begin() + static_cast<std::ptrdiff_t>(static_cast<std::size_t>(y) * side * pixel));
    }
    TIFFWriteEncodedTile(tiff, 0, tile.data(), static_cast<tmsize_t>(tile.size()));
  } else {
    TIFFSetField(tiff, TIFFTAG_ROWSPERSTRIP, 4);
    for (int y = 0; y < raster.height; ++y)
      TIFFWriteScanline(tiff, row_bytes(raster, y).data(), static_cast<std::uint32_t>(y), 0);
  }
  TIFFClose(tiff);
  return contents(name);
}

std::string webp(const Raster& raster, const Extras& extras) {
  std::vector<std::uint8_t> pixels;
  for (int y = 0; y < raster.height; ++y) {
    const std::vector<std::uint8_t> row = row_bytes(raster, y);
    pixels.insert(pixels.end(), row.begin(), row.end());
  }
  std::uint8_t* memory = nullptr;
  const auto encode = raster.channels == 4 ? WebPEncodeLosslessRGBA : WebPEncodeLosslessRGB;
  const std::size_t size = encode(pixels.data(), raster.width, raster.height, raster.width * raster.channels, &memory);
  std::string simple(reinterpret_cast<char*>(memory), size);
  WebPFree(memory);
  if (!extras.orientation && !extras.in_exif) return simple;
  // The extended form: VP8X with the EXIF flag, the picture's own chunk, an EXIF chunk.
  std::string body = "WEBPVP8X", block = exif_block(extras);
  put(body, 10, 4, false);
  put(body, 0x08 | (raster.channels == 4 ? 0x10 : 0), 4, false);
  put(body, static_cast<std::uint64_t>(raster.width - 1), 3, false);
  put(body, static_cast<std::uint64_t>(raster.height - 1), 3, false);
  body += simple.substr(12) + "EXIF";
  put(body, block.size(), 4, false);
  body += block + std::string(block.size() % 2, '\0');
  std::string out = "RIFF";
  put(out, body.size(), 4, false);
  return out + body;
}

std::string bmp(const Raster& raster, const Extras& extras) {
  const bool alpha = raster.channels == 4;
  const std::size_t header = alpha ? 108 : 40;
  const int bytes = alpha ? 4 : 3, padding = (4 - raster.width * bytes % 4) % 4;
  std::string rows;
  for (int y = raster.height - 1; y >= 0; --y) {
    for (int x = 0; x < raster.width; ++x)
      for (const int c : {2, 1, 0, 3})
        if (c < bytes) rows += static_cast<char>(raster.at(x, y, c));
    rows.append(static_cast<std::size_t>(padding), '\0');
  }
  std::string out = "BM";
  put(out, 14 + header + rows.size(), 4, false), put(out, 0, 4, false), put(out, 14 + header, 4, false);
  put(out, header, 4, false);
  put(out, static_cast<std::uint64_t>(raster.width), 4, false);
  put(out, static_cast<std::uint64_t>(raster.height), 4, false);
  put(out, 1, 2, false), put(out, static_cast<std::uint64_t>(bytes * 8), 2, false), put(out, alpha ? 3 : 0, 4, false);
  put(out, rows.size(), 4, false);
  for (int i = 0; i < 2; ++i) put(out, static_cast<std::uint64_t>(std::lround(extras.dpi / 0.0254)), 4, false);
  put(out, 0, 8, false);
  if (alpha) {
    for (const std::uint32_t mask : {0x00ff0000u, 0x0000ff00u, 0x000000ffu, 0xff000000u}) put(out, mask, 4, false);
    out.append(header - 40 - 16, '\0');
  }
  return out + rows;
}

std::string pnm(const Raster& raster, bool plain) {
  const int kind = (raster.bits == 1 ? 1 : raster.channels == 1 ? 2 : 3) + (plain ? 0 : 3);
  std::string out = "P" + std::to_string(kind) + "\n# a comment\n" + std::to_string(raster.width) + " " +
                    std::to_string(raster.height) + "\n";
  if (raster.bits > 1) out += std::to_string((1 << raster.bits) - 1) + "\n";
  for (int y = 0; y < raster.height; ++y) {
    int filled = 0, byte = 0;
    for (int i = 0; i < raster.width * raster.channels; ++i) {
      const int value = raster.at(i / raster.channels, y, i % raster.channels);
      const int ink = 1 - value;  // of a bitmap: 1 is black
      if (plain) {
        out += std::to_string(raster.bits == 1 ? ink : value) + " ";
      } else if (raster.bits == 1) {
        byte = byte << 1 | ink;
        if (++filled == 8) out += static_cast<char>(byte), filled = byte = 0;
      } else {
        put(out, static_cast<std::uint64_t>(value), raster.bits > 8 ? 2 : 1, true);
      }
    }
    if (plain) out.back() = '\n';
    if (filled) out += static_cast<char>(byte << (8 - filled));
  }
  return out;
}

}  // namespace batten::testing
