// Reads PNG by libpng (https://www.w3.org/TR/png/). libpng reports errors by longjmp, so the functions that call it
// hold nothing with a destructor; what they fill is owned by the caller.

#include <png.h>

#include <bit>
#include <csetjmp>
#include <cstring>

#include "decoders.h"
#include "exif.h"

namespace batten {
namespace {

struct State {
  explicit State(const Source& s) : source(s) {}
  ~State() { png_destroy_read_struct(&png, &info, nullptr); }
  const Source& source;
  png_structp png = nullptr;
  png_infop info = nullptr;
  std::size_t at = 0;
  char message[120] = "";
  Decoded decoded;
};

void on_error(png_structp png, png_const_charp text) {
  State* state = static_cast<State*>(png_get_error_ptr(png));
  std::strncpy(state->message, text, sizeof state->message - 1);
  png_longjmp(png, 1);
}

void on_warning(png_structp, png_const_charp) {}

void read_bytes(png_structp png, png_bytep out, std::size_t count) {
  State* state = static_cast<State*>(png_get_io_ptr(png));
  if (count > state->source.bytes.size() - state->at) png_error(png, "the file ends too early");
  std::memcpy(out, state->source.bytes.data() + state->at, count);
  state->at += count;
}

bool read_header(State& state) {
  if (setjmp(png_jmpbuf(state.png))) return false;
  png_set_read_fn(state.png, &state, read_bytes);
  png_set_user_limits(state.png, 0x7fffffff, 0x7fffffff);  // check_size() has its own limit and a better sentence
  constexpr png_alloc_size_t largest_chunk = 64u << 20;    // colour profiles and text; far over any honest one
  png_set_chunk_malloc_max(state.png, largest_chunk);
  png_read_info(state.png, state.info);
  return true;
}

PixelFormat format_after_expansion(State& state) {
  const int channels = png_get_channels(state.png, state.info);
  const bool deep = png_get_bit_depth(state.png, state.info) == 16;
  if (channels == 1) return deep ? PixelFormat::gray16 : PixelFormat::gray8;
  if (channels == 3) return deep ? PixelFormat::rgb16 : PixelFormat::rgb8;
  return deep ? PixelFormat::rgba16 : PixelFormat::rgba8;
}

// Palette, small depths and transparent colours become plain samples; grey with alpha becomes RGBA.
bool set_expansion(State& state, int& passes) {
  if (setjmp(png_jmpbuf(state.png))) return false;
  png_set_expand(state.png);
  const int type = png_get_color_type(state.png, state.info);
  const bool transparent = png_get_valid(state.png, state.info, PNG_INFO_tRNS) != 0;
  if (type == PNG_COLOR_TYPE_GRAY_ALPHA || (type == PNG_COLOR_TYPE_GRAY && transparent)) png_set_gray_to_rgb(state.png);
  if (std::endian::native == std::endian::little) png_set_swap(state.png);
  passes = png_set_interlace_handling(state.png);
  png_read_update_info(state.png, state.info);
  return true;
}

// Reads all rows, then everything up to IEND: a file without it is cut short.
bool read_rows(State& state, int passes) {
  if (setjmp(png_jmpbuf(state.png))) return false;
  Picture& picture = state.decoded.picture;
  for (int pass = 0; pass < passes; ++pass)
    for (int y = 0; y < picture.height; ++y)
      png_read_row(state.png, picture.bytes.data() + y * picture.stride_bytes, nullptr);
  png_read_end(state.png, state.info);
  return true;
}

void read_facts(State& state) {
  png_bytep block = nullptr;
  png_uint_32 size = 0, x = 0, y = 0;
  int unit = PNG_RESOLUTION_UNKNOWN;
  if (png_get_eXIf_1(state.png, state.info, &size, &block) && block) {
    const ExifFacts facts = read_exif({block, size});
    state.decoded.orientation = facts.orientation;
    state.decoded.picture.dpi = facts.dpi;
  }
  if (png_get_pHYs(state.png, state.info, &x, &y, &unit) && unit == PNG_RESOLUTION_METER)
    if (const double dpi = dpi_of_metre(x, y)) state.decoded.picture.dpi = dpi;
}

}  // namespace

Result<Decoded> decode_png(const Source& source) {
  State state(source);
  state.png = png_create_read_struct(PNG_LIBPNG_VER_STRING, &state, on_error, on_warning);
  if (state.png) state.info = png_create_info_struct(state.png);
  if (!state.info)
    return Error{ErrorCode::out_of_memory, "There is not enough memory to read " + source.path + ".", ""};
  if (!read_header(state)) return damaged(source, "PNG", state.message);

  const std::uint64_t width = png_get_image_width(state.png, state.info),
                      height = png_get_image_height(state.png, state.info);
  if (auto error = check_size(source, "PNG", width, height)) return *error;
  // Deflate cannot shrink by more than 1032:1 (https://zlib.net/zlib_tech.html): a larger promise is a lie.
  constexpr double most_shrunk = 1032;
  const double promised = static_cast<double>(png_get_rowbytes(state.png, state.info)) * static_cast<double>(height);
  if (promised > most_shrunk * static_cast<double>(source.bytes.size()))
    return damaged(source, "PNG", "too few bytes for its size");

  int passes = 1;
  if (!set_expansion(state, passes)) return damaged(source, "PNG", state.message);
  allocate(state.decoded.picture, width, height, format_after_expansion(state));
  if (png_get_rowbytes(state.png, state.info) != static_cast<std::size_t>(state.decoded.picture.stride_bytes))
    return unsupported(source, "a PNG of an unusual layout");
  if (!read_rows(state, passes)) return damaged(source, "PNG", state.message);
  read_facts(state);
  return std::move(state.decoded);
}

}  // namespace batten
