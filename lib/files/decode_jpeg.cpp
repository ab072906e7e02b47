// Reads JPEG by libjpeg-turbo (ITU-T T.81, JFIF 1.02). Truncation is only a warning to libjpeg; here it is an error.
// libjpeg reports errors by longjmp, so the functions that call it hold nothing with a destructor.

#include <cstddef>
#include <cstdio>
// jpeglib.h needs the two headers above.
#include <jerror.h>
#include <jpeglib.h>

#include <algorithm>
#include <csetjmp>
#include <cstring>

#include "decoders.h"
#include "exif.h"

namespace batten {
namespace {

struct State {
  explicit State(const Source& s) : source(s) {}
  ~State() { jpeg_destroy_decompress(&jpeg); }
  const Source& source;
  jpeg_decompress_struct jpeg{};
  jpeg_error_mgr errors{};
  jpeg_progress_mgr monitor{};
  std::jmp_buf escape;
  bool cut_short = false;
  char message[JMSG_LENGTH_MAX] = "";
  Decoded decoded;
};

State& state_of(j_common_ptr jpeg) { return *static_cast<State*>(jpeg->client_data); }

void on_error(j_common_ptr jpeg) {
  jpeg->err->format_message(jpeg, state_of(jpeg).message);
  std::longjmp(state_of(jpeg).escape, 1);
}

// Warnings mean missing or wrong picture data, except for a few about oddities between the data.
void on_message(j_common_ptr jpeg, int level) {
  if (level >= 0) return;
  const int code = jpeg->err->msg_code;
  const bool harmless =
      code == JWRN_EXTRANEOUS_DATA || code == JWRN_ADOBE_XFORM || code == JWRN_JFIF_MAJOR || code == JWRN_TOO_MUCH_DATA;
  if (harmless) return;
  if (!state_of(jpeg).cut_short) jpeg->err->format_message(jpeg, state_of(jpeg).message);
  state_of(jpeg).cut_short = true;
}

// A progressive file may name thousands of passes over every pixel and stall its reader; honest ones have about ten
// (libjpeg-turbo's own advice, "Two issues with the JPEG standard", is to set such a limit).
void on_progress(j_common_ptr jpeg) {
  constexpr int most_scans = 200;
  if (!jpeg->is_decompressor) return;
  if (reinterpret_cast<j_decompress_ptr>(jpeg)->input_scan_number > most_scans) {
    std::strcpy(state_of(jpeg).message, "too many passes");
    std::longjmp(state_of(jpeg).escape, 1);
  }
}

bool read_header(State& state) {
  if (setjmp(state.escape)) return false;
  jpeg_create_decompress(&state.jpeg);
  state.jpeg.client_data = &state;
  state.jpeg.progress = &state.monitor;
  state.monitor.progress_monitor = on_progress;
  jpeg_mem_src(&state.jpeg, state.source.bytes.data(), state.source.bytes.size());
  constexpr unsigned whole_marker = 0xffff;
  jpeg_save_markers(&state.jpeg, JPEG_APP0 + 1, whole_marker);
  jpeg_read_header(&state.jpeg, TRUE);
  return !state.cut_short;
}

void read_facts(State& state) {
  const jpeg_decompress_struct& jpeg = state.jpeg;
  constexpr unsigned char unit_inch = 1, unit_cm = 2;
  double jfif_dpi = 0;
  if (jpeg.saw_JFIF_marker && (jpeg.density_unit == unit_inch || jpeg.density_unit == unit_cm)) {
    const double per_inch = jpeg.density_unit == unit_cm ? 2.54 : 1;
    jfif_dpi = dpi_of(jpeg.X_density * per_inch, jpeg.Y_density * per_inch);
  }
  for (const jpeg_marker_struct* marker = jpeg.marker_list; marker; marker = marker->next) {
    if (marker->marker != JPEG_APP0 + 1 || marker->data_length < 6 || std::memcmp(marker->data, "Exif\0\0", 6) != 0)
      continue;
    const ExifFacts facts = read_exif({marker->data, marker->data_length});
    state.decoded.orientation = facts.orientation;
    state.decoded.picture.dpi = facts.dpi;
    if (jfif_dpi == 72) jfif_dpi = 0;  // a camera's "unknown", copied into both places; see exif.cpp
    break;
  }
  if (jfif_dpi > 0) state.decoded.picture.dpi = jfif_dpi;
}

bool start(State& state) {
  if (setjmp(state.escape)) return false;
  const J_COLOR_SPACE stored = state.jpeg.jpeg_color_space;
  const bool inks = stored == JCS_CMYK || stored == JCS_YCCK;
  state.jpeg.out_color_space = stored == JCS_GRAYSCALE ? JCS_GRAYSCALE : inks ? JCS_CMYK : JCS_RGB;
  jpeg_start_decompress(&state.jpeg);
  return true;
}

// Turns four printing inks into RGB. Adobe's marker means that the values are stored inverted (common practice, no
// source).
void inks_to_rgb(const unsigned char* inks, std::uint8_t* rgb, int width, bool inverted) {
  for (int x = 0; x < width; ++x, inks += 4, rgb += 3) {
    const int black = inverted ? inks[3] : 255 - inks[3];
    for (int i = 0; i < 3; ++i) rgb[i] = static_cast<std::uint8_t>((inverted ? inks[i] : 255 - inks[i]) * black / 255);
  }
}

// Reads all rows, then everything up to the end-of-image marker. `ink_row` holds one row of four inks.
bool read_rows(State& state, unsigned char* ink_row) {
  if (setjmp(state.escape)) return false;
  Picture& picture = state.decoded.picture;
  while (state.jpeg.output_scanline < state.jpeg.output_height && !state.cut_short) {
    unsigned char* row = picture.bytes.data() + state.jpeg.output_scanline * picture.stride_bytes;
    unsigned char* target = ink_row ? ink_row : row;
    jpeg_read_scanlines(&state.jpeg, &target, 1);
    if (ink_row) inks_to_rgb(ink_row, row, picture.width, state.jpeg.saw_Adobe_marker);
  }
  if (!state.cut_short) jpeg_finish_decompress(&state.jpeg);
  return !state.cut_short;
}

}  // namespace

Result<Decoded> decode_jpeg(const Source& source) {
  State state(source);
  state.jpeg.err = jpeg_std_error(&state.errors);
  state.errors.error_exit = on_error;
  state.errors.emit_message = on_message;
  state.jpeg.client_data = &state;
  if (!read_header(state)) return damaged(source, "JPEG", state.message);

  const std::uint64_t width = state.jpeg.image_width, height = state.jpeg.image_height;
  if (auto error = check_size(source, "JPEG", width, height)) return *error;
  // A Huffman-coded block of 8 x 8 pixels takes at least one bit: 512 pixels a byte (arithmetic coding less: not
  // judged).
  constexpr double most_pixels_per_byte = 512;
  const double pixels = static_cast<double>(width) * static_cast<double>(height);
  if (!state.jpeg.arith_code && pixels > most_pixels_per_byte * static_cast<double>(source.bytes.size()))
    return damaged(source, "JPEG", "too few bytes for its size");
  read_facts(state);

  if (!start(state)) return damaged(source, "JPEG", state.message);
  const bool gray = state.jpeg.out_color_space == JCS_GRAYSCALE;
  allocate(state.decoded.picture, width, height, gray ? PixelFormat::gray8 : PixelFormat::rgb8);
  std::vector<unsigned char> ink_row(state.jpeg.out_color_space == JCS_CMYK ? width * 4 : 0);
  if (!read_rows(state, ink_row.empty() ? nullptr : ink_row.data())) return damaged(source, "JPEG", state.message);
  return std::move(state.decoded);
}

}  // namespace batten
