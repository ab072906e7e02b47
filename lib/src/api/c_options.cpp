// The C interface: options, pixels, errors, stops and names.

#include <cmath>
#include <exception>

#include "api/c_interface.h"
#include "batten/version.h"

namespace batten::c {
namespace {

// Both interfaces use the same numbers: a new enumerator in one needs a new one in the other.
static_assert(int(ErrorCode::bad_option) == BATTEN_BAD_OPTION && int(ErrorCode::cancelled) == BATTEN_CANCELLED &&
              int(ErrorCode::out_of_memory) == BATTEN_OUT_OF_MEMORY && int(ErrorCode::internal) == BATTEN_INTERNAL &&
              int(ErrorCode::bad_polyline) == BATTEN_BAD_POLYLINE && int(ErrorCode::bad_pixels) == BATTEN_BAD_PIXELS &&
              int(ErrorCode::no_ink_found) == BATTEN_NO_INK_FOUND &&
              int(ErrorCode::file_not_found) == BATTEN_FILE_NOT_FOUND &&
              int(ErrorCode::not_a_drawing) == BATTEN_NOT_A_DRAWING &&
              int(ErrorCode::names_mismatch) == BATTEN_NAMES_MISMATCH &&
              int(ErrorCode::cannot_write) == BATTEN_CANNOT_WRITE);
static_assert(reason_count == BATTEN_REASON_LINE_END + 1);
static_assert(int(Kind::line) == BATTEN_KIND_LINE && int(PixelFormat::rgba16) == BATTEN_RGBA16 &&
              int(PixelFormat::bgra16_premultiplied) == BATTEN_BGRA16_PREMULTIPLIED);
static_assert(int(Options::Extremes::free) == BATTEN_EXTREMES_FREE &&
              int(Options::DrawingKind::lines) == BATTEN_DRAWING_LINES &&
              int(Options::Output::lines) == BATTEN_OUTPUT_LINES &&
              int(Options::Construction::keep) == BATTEN_CONSTRUCTION_KEEP &&
              int(Options::Direction::anticlockwise) == BATTEN_ANTICLOCKWISE &&
              int(Options::Start::extreme) == BATTEN_START_EXTREME);
static_assert(int(Level::warning) == BATTEN_LEVEL_WARNING && int(Edit::Kind::symmetry) == BATTEN_EDIT_SYMMETRY &&
              int(Finding::What::turned_over) == BATTEN_TURNED_OVER &&
              int(Finding::What::left_out) == BATTEN_LEFT_OUT &&
              int(Finding::What::closed_by_straight) == BATTEN_CLOSED_BY_STRAIGHT &&
              int(Finding::What::pins_contradict) == BATTEN_PINS_CONTRADICT &&
              int(Finding::What::read_in_copy) == BATTEN_READ_IN_COPY &&
              int(Finding::What::tolerance_widened) == BATTEN_TOLERANCE_WIDENED);

// The least that a caller's struct must hold is its first version. Structs grow at the end only.
constexpr std::size_t first_options_size = offsetof(batten_options, reserved) + sizeof(std::int32_t);
constexpr std::size_t first_image_size = offsetof(batten_image, stride_bytes) + sizeof(std::ptrdiff_t);

// The bits of batten_straighten and the field that each switches.
struct StraightenBit {
  std::int32_t bit;
  bool Options::Straighten::*on;
};
constexpr StraightenBit straighten_bits[] = {{BATTEN_STRAIGHTEN_AXES, &Options::Straighten::axes},
                                             {BATTEN_STRAIGHTEN_SLANTS, &Options::Straighten::slants},
                                             {BATTEN_STRAIGHTEN_LINES, &Options::Straighten::lines},
                                             {BATTEN_STRAIGHTEN_WIDTHS, &Options::Straighten::widths},
                                             {BATTEN_STRAIGHTEN_OVERSHOOTS, &Options::Straighten::overshoots}};

}  // namespace

void copy_text(const std::string& text, char* to, std::size_t size) {
  std::size_t n = std::min(text.size(), size - 1);
  while (n < text.size() && n > 0 && (text[n] & 0xc0) == 0x80) --n;  // UTF-8 is cut between characters only
  std::memcpy(to, text.data(), n);
  to[n] = 0;
}

Result<Options> options_from(const batten_options* theirs) {
  if (theirs && theirs->struct_size < first_options_size)
    return bad("Set struct_size with batten_options_init() first.", "batten_options");
  batten_options defaults;
  batten_options_init(&defaults, sizeof defaults);
  const batten_options o = taken(theirs, defaults);
  if (o.extremes < BATTEN_EXTREMES_REQUIRED || o.extremes > BATTEN_EXTREMES_FREE)
    return bad("extremes is 0 (required) or 1 (free).", "extremes");
  if (o.drawing < BATTEN_DRAWING_AUTOMATIC || o.drawing > BATTEN_DRAWING_LINES)
    return bad("drawing is 0 (automatic), 1 (outlined), 2 (filled) or 3 (lines).", "drawing");
  if (o.output < BATTEN_OUTPUT_BOTH || o.output > BATTEN_OUTPUT_LINES)
    return bad("output is 0 (both), 1 (outlines) or 2 (lines).", "output");
  if (o.construction < BATTEN_CONSTRUCTION_LEAVE_OUT || o.construction > BATTEN_CONSTRUCTION_KEEP)
    return bad("construction is 0 (leave out) or 1 (keep).", "construction");
  if (o.straighten < BATTEN_STRAIGHTEN_OFF || o.straighten > BATTEN_STRAIGHTEN_ALL)
    return bad("straighten is a sum of batten_straighten, 0 to 31.", "straighten");
  if (o.direction < BATTEN_CLOCKWISE || o.direction > BATTEN_ANTICLOCKWISE)
    return bad("direction is 0 (clockwise) or 1 (anticlockwise).", "direction");
  if (o.start < BATTEN_START_CORNER || o.start > BATTEN_START_EXTREME)
    return bad("start is 0 (corner) or 1 (extreme).", "start");
  Options out;
  for (const StraightenBit& b : straighten_bits) out.straighten.*b.on = (o.straighten & b.bit) != 0;
  out.symmetry = o.symmetry != 0, out.deskew = o.deskew != 0, out.grid_px = o.grid_px;
  out.direction = Options::Direction(o.direction), out.start = Options::Start(o.start);
  out.tolerance_px = std::isnan(o.tolerance_px) ? std::nullopt : std::optional(o.tolerance_px);
  out.dpi = o.dpi;
  out.extremes = Options::Extremes(o.extremes);
  out.drawing = Options::DrawingKind(o.drawing), out.output = Options::Output(o.output);
  out.construction = Options::Construction(o.construction);
  out.hold_tolerance = o.hold_tolerance != 0, out.threads = o.threads;
  if (o.pins) out.pins = o.pins->pins;
  return out;
}

Result<ImageView> image_from(const batten_image* theirs) {
  if (!theirs || theirs->struct_size < first_image_size)
    return bad("A batten_image with its struct_size set is needed.", "batten_image");
  const batten_image i = taken(theirs, batten_image{});
  if (i.format < BATTEN_GRAY8 || i.format > BATTEN_BGRA16_PREMULTIPLIED)
    return bad("format is one of batten_format.", "format");
  return ImageView{i.pixels, i.width, i.height, i.stride_bytes, PixelFormat(i.format), i.mask, i.mask_stride_bytes};
}

}  // namespace batten::c

std::int32_t batten::tell(const Error& e, batten_error* error) {
  if (error) {
    error->code = std::int32_t(e.code);
    c::copy_text(e.message, error->message, sizeof error->message);
    c::copy_text(e.place, error->place, sizeof error->place);
  }
  return std::int32_t(e.code);
}

extern "C" {

void batten_options_init(batten_options* options, size_t struct_size) {
  if (!options || struct_size < sizeof(size_t)) return;
  const batten::Options defaults;
  batten_options o{};
  o.struct_size = struct_size;
  o.tolerance_px = *defaults.tolerance_px;
  o.dpi = defaults.dpi;
  o.extremes = std::int32_t(defaults.extremes), o.drawing = std::int32_t(defaults.drawing);
  o.threads = defaults.threads, o.hold_tolerance = defaults.hold_tolerance;
  for (const batten::c::StraightenBit& b : batten::c::straighten_bits)
    if (defaults.straighten.*b.on) o.straighten |= b.bit;
  o.symmetry = defaults.symmetry, o.deskew = defaults.deskew, o.grid_px = defaults.grid_px;
  o.direction = std::int32_t(defaults.direction), o.start = std::int32_t(defaults.start);
  o.output = std::int32_t(defaults.output), o.construction = std::int32_t(defaults.construction);
  std::memset(options, 0, struct_size);
  std::memcpy(options, &o, std::min(struct_size, sizeof o));
}

batten_stop* batten_stop_new(void) {
  try {
    return new batten_stop;
  } catch (...) {
    return nullptr;
  }
}
void batten_stop_request(batten_stop* stop) {
  if (stop) stop->source.request_stop();
}
void batten_stop_free(batten_stop* stop) { delete stop; }

const char* batten_stage_name(int32_t stage) {
  return stage < 0 || stage > std::int32_t(batten::Stage::finish) ? "" : batten::name_of(batten::Stage(stage));
}
const char* batten_reason_name(int32_t reason) {
  return reason < 0 || reason >= batten::reason_count ? "" : batten::name_of(batten::Reason(reason));
}
const char* batten_name_of(int32_t code) { return batten::name_of(batten::ErrorCode(code)); }
const char* batten_version(void) { return BATTEN_VERSION; }

}  // extern "C"
