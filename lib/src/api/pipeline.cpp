// The curve stages in their order, and the entry points convert() and locate().

#include <algorithm>
#include <cmath>

#include "api/curve_stages.h"
#include "api/deliver.h"
#include "api/fit_loops.h"
#include "api/keep_located.h"
#include "api/located.h"
#include "api/pinned_curves.h"
#include "api/pixel_pipeline.h"
#include "base/closed_first.h"
#include "corners/lead_ends.h"
#include "finish/finish_drawing.h"
#include "finish/land_ends.h"
#include "finish/round_coordinates.h"
#include "judge/check_pins.h"
#include "minimise/bound_segments.h"

namespace batten {
namespace {

// The edits of the draft, their nodes counted as the drawing counts them.
std::vector<Edit> edits_of(const Straightened& regular, const std::vector<NodeOrder>& orders) {
  std::vector<Edit> out;
  for (const DraftEdit& e : regular.edits) {
    Edit edit{e.kind, {}, e.moved_px, e.kept};
    for (const NodePlace& place : e.nodes) {
      const std::vector<std::size_t>& nodes = orders[place.loop].draft_node_of;
      edit.nodes.push_back({int(place.loop), int(std::find(nodes.begin(), nodes.end(), place.node) - nodes.begin())});
    }
    out.push_back(std::move(edit));
  }
  return out;
}

Finding cut_short(const DraftLoop& d, int outline) {
  return {Finding::What::refinement_stopped, outline, d.nodes.front().at, 0,
          "An outline is too rough for the tolerance, so its refinement stopped early: try a larger tolerance."};
}

Finished finished(const Structure& s, const Draft& refined, const Straightened& regular, const Options& options,
                  std::vector<LowerBound> least) {
  Finished out;
  out.of_loops = finish_drawing(s.spaced, regular.draft, s.guides, options);
  const std::vector<NodeOrder> orders = node_orders(s.spaced, regular.draft, options);
  const bool grid = options.grid_px > 0;
  if (grid || !regular.edits.empty())
    round_coordinates(regular.draft, regular.ties, regular.mirrored, orders, grid ? options.grid_px : file_step_px,
                      grid, &out.of_loops);
  land_ends(s.spaced, options.grid_px, &out.of_loops);
  out.least = std::move(least);
  out.edits = edits_of(regular, orders);
  for (std::size_t i = 0; i < refined.loops.size(); ++i)
    if (refined.loops[i].cut_short) out.findings.push_back(cut_short(refined.loops[i], int(i)));
  return out;
}

// Outlines that no pin changed come out to the last digit as without pins: what they share with others that did change
// would round them in another way. Lines that end on such a one follow it.
void keep_unchanged(const Drawing& unpinned, const std::vector<int>& loop_of, const std::vector<char>& changed,
                    const SpacedLoops& loops, Drawing* drawing) {
  const auto follows = [&](const LineEnd& end) { return end.on_loop >= 0 && changed[std::size_t(end.on_loop)]; };
  for (std::size_t k = 0; k < changed.size(); ++k)
    if (!changed[k] && !follows(loops.loops[k].start) && !follows(loops.loops[k].end))
      drawing->outlines[k].nodes = unpinned.outlines[std::size_t(loop_of[k])].nodes;
}

// The loops in the order in which they are delivered, with their loose ends led on.
class PreparedLoops {
 public:
  explicit PreparedLoops(const Loops& located) : located_(located) {
    if (!closed_come_first(located)) ordered_ = closed_first(located);
    if (has_loose_ends(loops())) ordered_ = lead_ends(loops());
  }
  const Loops& loops() const { return ordered_ ? *ordered_ : located_; }

 private:
  const Loops& located_;
  std::optional<Loops> ordered_;
};

// The curves of all loops, and what pins made of them.
struct Fitted {
  Structure structure;
  Curves curves;
  AttachedPins attached;
  std::vector<Pin> pins;      // where the loops are
  Drawing unpinned;           // without pins, where there are some
  std::vector<int> loop_of;   // of each loop its outline in `unpinned`
  std::vector<char> changed;  // of each loop: it has another outline than there
};

Result<Fitted> fit_all(const Loops& loops, const Loops& unpinned, const Options& options, const Job& job,
                       double begin) {
  const bool pinned = &loops != &unpinned || std::any_of(options.pins.begin(), options.pins.end(),
                                                         [](const Pin& p) { return changes_curves(p.kind); });
  const double half_way = pinned ? begin + 0.5 * (1 - begin) : 1;
  Result<Structure> before = structure_of(unpinned, options, job, {begin, half_way});
  if (!before) return before.error();
  Result<Curves> curves = curves_of(*before, unpinned.ink, options, job, {begin, half_way});
  if (!curves) return curves.error();
  Fitted out;
  if (!pinned) {
    out.pins = pins_on(*before, options.pins);
    out.structure = std::move(*before), out.curves = std::move(*curves);
    return out;
  }
  out.unpinned = finished(*before, curves->refined, curves->regular, options, {}).of_loops;
  Result<Structure> s = &loops == &unpinned ? *before : structure_of(loops, options, job, {half_way, 1});
  if (!s) return s.error();
  out.pins = pins_on(*s, options.pins);
  Unpinned known = unpinned_for(*s, *before, *curves);
  Result<PinnedCurves> again = pinned_curves(*s, known, out.pins, loops.ink, options, job, {half_way, 1});
  if (!again) return again.error();
  out.structure = std::move(again->structure), out.curves = std::move(again->curves);
  out.attached = std::move(again->attached), out.changed = std::move(again->changed);
  out.loop_of = std::move(known.loop_of);
  return out;
}

}  // namespace

Result<Conversion> fit_loops(const Loops& located, LoopsFrom from, const Options& options, const Job& job, double begin,
                             const Loops* unpinned) {
  const PreparedLoops prepared(located), before(unpinned ? *unpinned : located);
  const Loops& loops = prepared.loops();
  Result<Fitted> fitted = fit_all(loops, unpinned ? before.loops() : loops, options, job, begin);
  if (!fitted) return fitted.error();
  const Structure& s = fitted->structure;
  const Curves& curves = fitted->curves;
  Progress p_finish = progress_for(job, Stage::finish, {begin, 1});
  const auto least = bound_segments(s.spaced, curves.regular.draft, options, p_finish);
  if (!least) return least.error();
  Finished done = finished(s, curves.refined, curves.regular, options, *least);
  keep_unchanged(fitted->unpinned, fitted->loop_of, fitted->changed, s.spaced, &done.of_loops);
  done.leaves_out = from == LoopsFrom::scan;
  Conversion out = deliver(s.spaced, loops.areas, std::move(done), options, p_finish.stop_token());
  out.report.sheet = s.turn;
  if (p_finish.stopped()) return p_finish.cancelled();
  check_pins({s.spaced, fitted->attached, curves.regular.draft, options.grid_px}, fitted->pins, &out);
  tell(job, out.report.findings);
  p_finish.advance(1);
  return out;
}

namespace {

Result<Conversion> convert_located(const Located& located, const Options& options, const Job& job, double begin) {
  return guarded(options, job, [&](const Options& o) -> Result<Conversion> {
    const Located::Data& data = located.data();
    auto out = fit_loops(data.loops, LoopsFrom::scan, o, job, begin, data.unpinned ? &*data.unpinned : nullptr);
    if (!out) return out.error();
    out->drawing.width_px = data.width_px, out->drawing.height_px = data.height_px, out->drawing.dpi = data.dpi;
    out->report.findings.insert(out->report.findings.begin(), data.findings.begin(), data.findings.end());
    return out;
  });
}

// The loops without the pins about the scan, where there are such: what they leave alone stays as it would be. Nothing
// where nothing is drawn without them.
std::optional<Loops> unpinned_loops(const ImageView& image, const Options& options, const Job& job) {
  if (std::none_of(options.pins.begin(), options.pins.end(), [](const Pin& p) { return changes_scan(p.kind); }))
    return std::nullopt;
  Options without = options;
  without.pins.clear();
  std::vector<Finding> ignored;
  auto loops = loops_from_pixels(image, without, {{}, {}, job.stop}, ignored);
  if (!loops) return std::nullopt;
  return std::move(*loops);
}

}  // namespace

Result<Located> locate(const ImageView& image, const Options& options, const Job& job) {
  return guarded<Located>(options, job, [&](const Options& o) -> Result<Located> {
    auto data = std::make_shared<Located::Data>();
    data->unpinned = unpinned_loops(image, o, job);
    // In the copy that serves without pins, so that what they leave alone is the same.
    const auto reduction = data->unpinned ? std::optional(data->unpinned->reduction) : std::nullopt;
    auto loops = loops_from_pixels(image, o, job, data->findings, reduction);
    if (!loops) return loops.error();
    tell(job, data->findings);
    if (job.stop.stop_requested()) return Progress(job, Stage::locate, 0, 1).cancelled();
    data->loops = data->unpinned ? keep_located(*loops, *data->unpinned, o.pins) : std::move(*loops);
    data->width_px = image.width, data->height_px = image.height, data->dpi = o.dpi;
    return Located(std::move(data));
  });
}

std::vector<LocatedLoop> Located::loops() const {
  std::vector<LocatedLoop> out;
  for (const Loop& l : data_->loops.loops)
    out.push_back({l.points, !l.open, l.kind, l.known_sigma_px.value_or(l.sigma_px), l.correlation_px, l.band_px});
  return out;
}

std::vector<LocatedLoop> located_loops(const Conversion& conversion) {
  std::vector<LocatedLoop> out;
  const std::vector<OutlineReport>& reports = conversion.report.outlines;
  for (std::size_t i = 0; i < conversion.drawing.outlines.size(); ++i) {
    const Outline& o = conversion.drawing.outlines[i];
    LocatedLoop& loop = out.emplace_back(LocatedLoop{{}, o.closed, o.kind, o.sigma_px, 0, o.band_px});
    if (i < reports.size()) loop.points = reports[i].located, loop.correlation_px = reports[i].correlation_px;
  }
  return out;
}

Result<Conversion> convert(const Located& located, const Options& options, const Job& job) {
  return convert_located(located, options, job, 0);
}

Result<Conversion> convert(const ImageView& image, const Options& options, const Job& job) {
  const Result<Located> located = locate(image, options, job);
  if (!located) return located.error();
  return convert_located(*located, options, job, pixel_half_share);
}

}  // namespace batten
