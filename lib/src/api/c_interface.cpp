// The C interface. It uses nothing but the public C++ interface of the library.

#include <algorithm>
#include <cmath>
#include <cstddef>
#include <cstring>
#include <exception>
#include <limits>
#include <memory>
#include <new>
#include <optional>
#include <stop_token>
#include <string>
#include <string_view>
#include <vector>

#include "batten/batten.h"
#include "batten/convert.h"
#include "batten/version.h"
#include "batten/write.h"

struct batten_stop {
  std::stop_source source;
};

struct batten_located {
  batten::Located located;
};

struct batten_drawing {
  batten::Conversion conversion;
  std::vector<std::vector<double>> nodes;          // for each outline six numbers a node
  std::vector<std::vector<std::int32_t>> reasons;  // for each outline one a node
};

namespace {

using batten::Error, batten::ErrorCode;
template <class T>
using Result = batten::Result<T>;

// Both interfaces use the same numbers: a new enumerator in one needs a new one in the other.
static_assert(int(ErrorCode::bad_option) == BATTEN_BAD_OPTION && int(ErrorCode::cancelled) == BATTEN_CANCELLED &&
              int(ErrorCode::out_of_memory) == BATTEN_OUT_OF_MEMORY && int(ErrorCode::internal) == BATTEN_INTERNAL &&
              int(ErrorCode::bad_polyline) == BATTEN_BAD_POLYLINE && int(ErrorCode::bad_pixels) == BATTEN_BAD_PIXELS &&
              int(ErrorCode::no_ink_found) == BATTEN_NO_INK_FOUND);
static_assert(batten::reason_count == BATTEN_REASON_LINE_END + 1);
static_assert(int(batten::Kind::line) == BATTEN_KIND_LINE && int(batten::PixelFormat::rgba16) == BATTEN_RGBA16);
static_assert(int(batten::Options::Extremes::free) == BATTEN_EXTREMES_FREE &&
              int(batten::Options::DrawingKind::lines) == BATTEN_DRAWING_LINES &&
              int(batten::Options::Output::lines) == BATTEN_OUTPUT_LINES &&
              int(batten::Options::Construction::keep) == BATTEN_CONSTRUCTION_KEEP &&
              int(batten::Options::Direction::anticlockwise) == BATTEN_ANTICLOCKWISE &&
              int(batten::Options::Start::extreme) == BATTEN_START_EXTREME);
static_assert(int(batten::Level::warning) == BATTEN_LEVEL_WARNING &&
              int(batten::Edit::Kind::symmetry) == BATTEN_EDIT_SYMMETRY &&
              int(batten::Finding::What::turned_over) == BATTEN_TURNED_OVER &&
              int(batten::Finding::What::left_out) == BATTEN_LEFT_OUT);

// The least that a caller's struct must hold is its first version. Structs grow at the end only.
constexpr std::size_t first_options_size = offsetof(batten_options, reserved) + sizeof(std::int32_t);
constexpr std::size_t first_image_size = offsetof(batten_image, stride_bytes) + sizeof(std::ptrdiff_t);
constexpr std::size_t first_job_size = offsetof(batten_job, stop) + sizeof(batten_stop*);

// Copies the caller's struct over our defaults: fields that an older caller does not know keep their default.
template <class T>
T taken(const T* theirs, T defaults) {
  if (theirs) std::memcpy(&defaults, theirs, std::min(theirs->struct_size, sizeof(T)));
  return defaults;
}

// Copies our struct into the caller's, as far as that one reaches.
template <class T>
int given(T ours, T* theirs) {
  if (!theirs || theirs->struct_size <= sizeof(std::size_t)) return 0;
  ours.struct_size = theirs->struct_size;
  std::memcpy(theirs, &ours, std::min(theirs->struct_size, sizeof(T)));
  return 1;
}

void copy_text(const std::string& text, char* to, std::size_t size) {
  std::size_t n = std::min(text.size(), size - 1);
  while (n < text.size() && n > 0 && (text[n] & 0xc0) == 0x80) --n;  // UTF-8 is cut between characters only
  std::memcpy(to, text.data(), n);
  to[n] = 0;
}

std::int32_t told(const Error& e, batten_error* error) {
  if (error) {
    error->code = std::int32_t(e.code);
    copy_text(e.message, error->message, sizeof error->message);
    copy_text(e.place, error->place, sizeof error->place);
  }
  return std::int32_t(e.code);
}

Error bad(const char* sentence, const char* place) { return {ErrorCode::bad_option, sentence, place}; }

// The bits of batten_straighten and the field that each switches.
struct StraightenBit {
  std::int32_t bit;
  bool batten::Options::Straighten::*on;
};
constexpr StraightenBit straighten_bits[] = {{BATTEN_STRAIGHTEN_AXES, &batten::Options::Straighten::axes},
                                             {BATTEN_STRAIGHTEN_SLANTS, &batten::Options::Straighten::slants},
                                             {BATTEN_STRAIGHTEN_LINES, &batten::Options::Straighten::lines},
                                             {BATTEN_STRAIGHTEN_WIDTHS, &batten::Options::Straighten::widths},
                                             {BATTEN_STRAIGHTEN_OVERSHOOTS, &batten::Options::Straighten::overshoots}};

Result<batten::Options> options_from(const batten_options* theirs) {
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
  batten::Options out;
  for (const StraightenBit& b : straighten_bits) out.straighten.*b.on = (o.straighten & b.bit) != 0;
  out.symmetry = o.symmetry != 0, out.deskew = o.deskew != 0, out.grid_px = o.grid_px;
  out.direction = batten::Options::Direction(o.direction), out.start = batten::Options::Start(o.start);
  out.tolerance_px = std::isnan(o.tolerance_px) ? std::nullopt : std::optional(o.tolerance_px);
  out.dpi = o.dpi, out.extremes = batten::Options::Extremes(o.extremes);
  out.drawing = batten::Options::DrawingKind(o.drawing), out.output = batten::Options::Output(o.output);
  out.construction = batten::Options::Construction(o.construction);
  out.hold_tolerance = o.hold_tolerance != 0, out.threads = o.threads;
  return out;
}

Result<batten::ImageView> image_from(const batten_image* theirs) {
  if (!theirs || theirs->struct_size < first_image_size)
    return bad("A batten_image with its struct_size set is needed.", "batten_image");
  const batten_image i = taken(theirs, batten_image{});
  if (i.format < BATTEN_GRAY8 || i.format > BATTEN_RGBA16) return bad("format is one of batten_format.", "format");
  return batten::ImageView{i.pixels, i.width, i.height, i.stride_bytes, batten::PixelFormat(i.format)};
}

// Presents a job of the caller's as one of ours. Their callback and their stop both stop a source that belongs to this
// job alone, so that a callback that cancels does not stop other jobs.
class BorrowedJob {
 public:
  explicit BorrowedJob(const batten_job& theirs) : theirs_(theirs) {
    job_.stop = stop_.get_token();
    if (theirs_.stop) passed_on_.emplace(theirs_.stop->source.get_token(), PassOn{&stop_});
    if (theirs_.progress)
      job_.progress = [this](batten::Stage stage, double fraction) {
        if (theirs_.progress(theirs_.user, std::int32_t(stage), fraction) == 0) stop_.request_stop();
      };
    if (theirs_.log)
      job_.log = [this](batten::Level level, std::string_view text) {
        theirs_.log(theirs_.user, std::int32_t(level), std::string(text).c_str());
      };
  }
  BorrowedJob(const BorrowedJob&) = delete;
  BorrowedJob& operator=(const BorrowedJob&) = delete;
  const batten::Job& job() const { return job_; }

 private:
  struct PassOn {
    std::stop_source* to;
    void operator()() const { to->request_stop(); }
  };
  batten_job theirs_;
  std::stop_source stop_;
  batten::Job job_;
  std::optional<std::stop_callback<PassOn>> passed_on_;
};

std::unique_ptr<batten_drawing> handle_of(batten::Conversion&& conversion) {
  auto out = std::make_unique<batten_drawing>();
  for (const batten::Outline& o : conversion.drawing.outlines) {
    std::vector<double>& nodes = out->nodes.emplace_back();
    std::vector<std::int32_t>& reasons = out->reasons.emplace_back();
    for (const batten::Node& n : o.nodes) {
      for (const batten::Point p : {n.handle_before, n.at, n.handle_after}) nodes.push_back(p.x), nodes.push_back(p.y);
      reasons.push_back(std::int32_t(n.reason));
    }
  }
  out->conversion = std::move(conversion);
  return out;
}
std::unique_ptr<batten_located> handle_of(batten::Located&& located) {
  return std::make_unique<batten_located>(batten_located{std::move(located)});
}

// What all entry points do: read options and job, do the work, hand out the result. No exception passes.
template <class Handle, class Work>
std::int32_t run(const batten_options* options, const batten_job* job, Handle** out, batten_error* error,
                 Work&& work) noexcept {
  if (out) *out = nullptr;
  if (error) *error = batten_error{};
  try {
    if (!out) return told(bad("A place for the result is needed.", "out"), error);
    if (job && job->struct_size < first_job_size) return told(bad("Set struct_size first.", "batten_job"), error);
    const auto taken_options = options_from(options);
    if (!taken_options) return told(taken_options.error(), error);
    const BorrowedJob borrowed(taken(job, batten_job{}));
    auto made = work(*taken_options, borrowed.job());
    if (!made) return told(made.error(), error);
    *out = handle_of(std::move(*made)).release();
    return BATTEN_OK;
  } catch (const std::bad_alloc&) {
    if (error) error->code = BATTEN_OUT_OF_MEMORY, std::strcpy(error->message, "There is not enough memory.");
    return BATTEN_OUT_OF_MEMORY;
  } catch (...) {
    if (error) error->code = BATTEN_INTERNAL, std::strcpy(error->message, "An error inside batten: please report it.");
    return BATTEN_INTERNAL;
  }
}

const batten::Outline* outline_of(const batten_drawing* d, std::size_t i) {
  return d && i < d->conversion.drawing.outlines.size() ? &d->conversion.drawing.outlines[i] : nullptr;
}

}  // namespace

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
  for (const StraightenBit& b : straighten_bits)
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

int32_t batten_convert(const batten_image* image, const batten_options* options, const batten_job* job,
                       batten_drawing** out, batten_error* error) {
  return run(options, job, out, error,
             [&](const batten::Options& o, const batten::Job& j) -> Result<batten::Conversion> {
               const auto view = image_from(image);
               if (!view) return view.error();
               return batten::convert(*view, o, j);
             });
}

int32_t batten_locate(const batten_image* image, const batten_options* options, const batten_job* job,
                      batten_located** out, batten_error* error) {
  return run(options, job, out, error, [&](const batten::Options& o, const batten::Job& j) -> Result<batten::Located> {
    const auto view = image_from(image);
    if (!view) return view.error();
    return batten::locate(*view, o, j);
  });
}

int32_t batten_convert_located(const batten_located* located, const batten_options* options, const batten_job* job,
                               batten_drawing** out, batten_error* error) {
  return run(options, job, out, error,
             [&](const batten::Options& o, const batten::Job& j) -> Result<batten::Conversion> {
               if (!located) return bad("Something located is needed: see batten_locate().", "located");
               return batten::convert(located->located, o, j);
             });
}

void batten_located_free(batten_located* located) { delete located; }

int32_t batten_fit(const double* xy, const size_t* lengths, size_t count, const batten_options* options,
                   const batten_job* job, batten_drawing** out, batten_error* error) {
  return batten_fit_lines(xy, lengths, count, 0, options, job, out, error);
}

int32_t batten_fit_lines(const double* xy, const size_t* lengths, size_t closed, size_t open,
                         const batten_options* options, const batten_job* job, batten_drawing** out,
                         batten_error* error) {
  return run(options, job, out, error,
             [&](const batten::Options& o, const batten::Job& j) -> Result<batten::Conversion> {
               if (!xy || !lengths || closed + open == 0)
                 return Error{ErrorCode::bad_polyline, "At least one polyline is needed.", "xy"};
               std::vector<std::vector<batten::Point>> lines(closed + open);
               for (std::size_t i = 0; i < lines.size(); ++i)
                 for (std::size_t k = 0; k < lengths[i]; ++k, xy += 2) lines[i].push_back({xy[0], xy[1]});
               const std::span<const std::vector<batten::Point>> all(lines);
               return batten::fit_lines(all.first(closed), all.subspan(closed), o, j);
             });
}

void batten_drawing_free(batten_drawing* drawing) { delete drawing; }

int batten_drawing_summary(const batten_drawing* drawing, batten_summary* summary) {
  if (!drawing) return 0;
  const batten::Drawing& d = drawing->conversion.drawing;
  const batten::Report& r = drawing->conversion.report;
  batten_summary s{};
  s.width_px = d.width_px, s.height_px = d.height_px, s.dpi = d.dpi;
  s.outlines = d.outlines.size(), s.segments = r.segments, s.findings = r.findings.size();
  s.max_px = r.max_px, s.rms_px = r.rms_px, s.tolerance_px = r.tolerance_px, s.p95_px = r.p95_px;
  s.fewest_found = r.least.numerical, s.fewest_proven = r.least.proven;
  s.edits = r.edits.size(), s.known_px = r.known_px;
  s.turn_deg = r.sheet.known ? r.sheet.deg : std::numeric_limits<double>::quiet_NaN();
  return given(s, summary);
}

size_t batten_outline_count(const batten_drawing* drawing) {
  return drawing ? drawing->conversion.drawing.outlines.size() : 0;
}

int batten_outline_at(const batten_drawing* drawing, size_t outline, batten_outline* info) {
  const batten::Outline* o = outline_of(drawing, outline);
  batten_outline i{};
  if (!o) return 0;
  i.parent = o->parent, i.kind = std::int32_t(o->kind), i.closed = o->closed, i.nodes = o->nodes.size();
  if (outline < drawing->conversion.report.outlines.size()) {
    const auto& r = drawing->conversion.report.outlines[outline];
    i.max_px = r.max_px, i.rms_px = r.rms_px, i.p95_px = r.p95_px, i.limit_px = r.limit_px, i.worst_x = r.worst.x,
    i.worst_y = r.worst.y;
  }
  i.sigma_px = o->sigma_px, i.band_px = o->band_px;
  i.inside = std::int32_t(o->face.inside), i.ink_share = o->face.ink_share, i.why = o->face.why.c_str();
  return given(i, info);
}

const double* batten_outline_nodes(const batten_drawing* drawing, size_t outline) {
  return outline_of(drawing, outline) ? drawing->nodes[outline].data() : nullptr;
}

const int32_t* batten_outline_reasons(const batten_drawing* drawing, size_t outline) {
  return outline_of(drawing, outline) ? drawing->reasons[outline].data() : nullptr;
}

int batten_finding_at(const batten_drawing* drawing, size_t finding, batten_finding* info) {
  if (!drawing || finding >= drawing->conversion.report.findings.size()) return 0;
  const batten::Finding& f = drawing->conversion.report.findings[finding];
  batten_finding i{};
  i.what = std::int32_t(f.what), i.warning = batten::level_of(f.what) == batten::Level::warning;
  i.outline = f.outline, i.x = f.place.x, i.y = f.place.y, i.amount_px = f.amount_px, i.text = f.text.c_str();
  return given(i, info);
}

int batten_edit_at(const batten_drawing* drawing, size_t edit, batten_edit* info) {
  if (!drawing || edit >= drawing->conversion.report.edits.size()) return 0;
  const batten::Edit& e = drawing->conversion.report.edits[edit];
  batten_edit i{};
  i.kind = std::int32_t(e.kind), i.kept = e.kept, i.nodes = e.nodes.size(), i.moved_px = e.moved_px;
  return given(i, info);
}

int batten_edit_node(const batten_drawing* drawing, size_t edit, size_t node, size_t* outline,
                     size_t* node_of_outline) {
  if (!drawing || !outline || !node_of_outline || edit >= drawing->conversion.report.edits.size()) return 0;
  const std::vector<batten::Edit::Where>& nodes = drawing->conversion.report.edits[edit].nodes;
  if (node >= nodes.size()) return 0;
  *outline = std::size_t(nodes[node].outline), *node_of_outline = std::size_t(nodes[node].node);
  return 1;
}

size_t batten_to_svg(const batten_drawing* drawing, char* text, size_t size) {
  if (text && size > 0) text[0] = 0;
  if (!drawing) return 0;
  try {
    const std::string svg = batten::to_svg(drawing->conversion.drawing);
    if (text && size > 0) copy_text(svg, text, size);
    return svg.size();
  } catch (...) {
    return 0;
  }
}

const char* batten_stage_name(int32_t stage) {
  return stage < 0 || stage > std::int32_t(batten::Stage::finish) ? "" : batten::name_of(batten::Stage(stage));
}
const char* batten_reason_name(int32_t reason) {
  return reason < 0 || reason >= batten::reason_count ? "" : batten::name_of(batten::Reason(reason));
}
const char* batten_version(void) { return BATTEN_VERSION; }

}  // extern "C"
