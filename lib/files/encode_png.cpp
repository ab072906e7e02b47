// Writes pixels as PNG by libpng, whose errors are longjmps: the function that calls it holds nothing with a
// destructor.

#include <png.h>

#include <bit>
#include <cmath>
#include <csetjmp>
#include <new>
#include <string>

#include "decoders.h"

namespace batten {
namespace {

struct State {
  ~State() { png_destroy_write_struct(&png, &info); }
  png_structp png = nullptr;
  png_infop info = nullptr;
  std::string bytes;
  bool out_of_memory = false;
};

void append(png_structp png, png_bytep data, std::size_t count) {
  State* state = static_cast<State*>(png_get_io_ptr(png));
  try {
    state->bytes.append(reinterpret_cast<const char*>(data), count);
  } catch (...) {
    state->out_of_memory = true;
  }
  if (state->out_of_memory) png_error(png, "out of memory");
}
void flush(png_structp) {}
void on_error(png_structp png, png_const_charp) { png_longjmp(png, 1); }
void on_warning(png_structp, png_const_charp) {}

// What libpng is told of a format.
struct PngFormat {
  int colour_type = PNG_COLOR_TYPE_GRAY;
  bool deep = false, blue_first = false;
};

// Nothing for premultiplied samples, which PNG does not have.
std::optional<PngFormat> png_format_of(PixelFormat format) {
  switch (format) {
    case PixelFormat::gray8:
      return PngFormat{PNG_COLOR_TYPE_GRAY};
    case PixelFormat::gray16:
      return PngFormat{PNG_COLOR_TYPE_GRAY, true};
    case PixelFormat::rgb8:
      return PngFormat{PNG_COLOR_TYPE_RGB};
    case PixelFormat::rgb16:
      return PngFormat{PNG_COLOR_TYPE_RGB, true};
    case PixelFormat::rgba8:
      return PngFormat{PNG_COLOR_TYPE_RGB_ALPHA};
    case PixelFormat::rgba16:
      return PngFormat{PNG_COLOR_TYPE_RGB_ALPHA, true};
    case PixelFormat::bgr8:
      return PngFormat{PNG_COLOR_TYPE_RGB, false, true};
    case PixelFormat::bgr16:
      return PngFormat{PNG_COLOR_TYPE_RGB, true, true};
    case PixelFormat::bgra8:
      return PngFormat{PNG_COLOR_TYPE_RGB_ALPHA, false, true};
    case PixelFormat::bgra16:
      return PngFormat{PNG_COLOR_TYPE_RGB_ALPHA, true, true};
    case PixelFormat::rgba8_premultiplied:
    case PixelFormat::bgra8_premultiplied:
    case PixelFormat::rgba16_premultiplied:
    case PixelFormat::bgra16_premultiplied:
      break;
  }
  return std::nullopt;
}

bool write(State& state, const ImageView& image, const PngFormat& format, double dpi) {
  if (setjmp(png_jmpbuf(state.png))) return false;
  png_set_write_fn(state.png, &state, append, flush);
  constexpr int quick = 3;  // zlib level: half the time of the default for a few per cent more bytes
  png_set_compression_level(state.png, quick);
  png_set_user_limits(state.png, 0x7fffffff, 0x7fffffff);
  png_set_IHDR(state.png, state.info, static_cast<png_uint_32>(image.width), static_cast<png_uint_32>(image.height),
               format.deep ? 16 : 8, format.colour_type, PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT,
               PNG_FILTER_TYPE_DEFAULT);
  constexpr double metres_per_inch = 0.0254;
  if (dpi > 0) {
    const auto per_metre = static_cast<png_uint_32>(std::lround(dpi / metres_per_inch));
    png_set_pHYs(state.png, state.info, per_metre, per_metre, PNG_RESOLUTION_METER);
  }
  png_write_info(state.png, state.info);
  if (format.blue_first) png_set_bgr(state.png);
  if (format.deep && std::endian::native == std::endian::little) png_set_swap(state.png);
  for (int y = 0; y < image.height; ++y)
    png_write_row(state.png, static_cast<const png_byte*>(image.pixels) + y * image.stride_bytes);
  png_write_end(state.png, state.info);
  return true;
}

}  // namespace

Result<std::string> to_png(const ImageView& image, double dpi) {
  if (!image.pixels || image.width < 1 || image.height < 1 || bytes_per_pixel(image.format) == 0)
    return Error{ErrorCode::bad_pixels, "A picture needs pixels, a width and a height of at least 1 px.", "image"};
  const std::optional<PngFormat> format = png_format_of(image.format);
  if (!format)
    return Error{ErrorCode::bad_pixels, "PNG has no premultiplied colours: divide them by alpha first.", "image"};
  State state;
  state.png = png_create_write_struct(PNG_LIBPNG_VER_STRING, nullptr, on_error, on_warning);
  if (state.png) state.info = png_create_info_struct(state.png);
  if (!state.info || !write(state, image, *format, dpi))
    return Error{ErrorCode::out_of_memory, "There is not enough memory to write the picture as PNG.", ""};
  return std::move(state.bytes);
}

}  // namespace batten
