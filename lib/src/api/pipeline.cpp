// The curve stages in their order, and the entry points convert() and locate().

#include <algorithm>
#include <cmath>

#include "api/deliver.h"
#include "api/fit_loops.h"
#include "api/located.h"
#include "api/pixel_pipeline.h"
#include "base/closed_first.h"
#include "corners/find_corners.h"
#include "corners/known_corners.h"
#include "corners/lead_ends.h"
#include "corners/space_loops.h"
#include "corners/weigh_corners.h"
#include "finish/finish_drawing.h"
#include "finish/land_ends.h"
#include "finish/round_coordinates.h"
#include "minimise/bound_segments.h"
#include "minimise/minimise_segments.h"
#include "refine/refine_curves.h"
#include "refine/run_lines_on.h"
#include "straighten/hold_limits.h"
#include "straighten/straighten_drawing.h"
#include "structure/find_straights.h"
#include "structure/join_ends.h"
#include "structure/known_straights.h"
#include "structure/place_nodes.h"
#include "structure/sheet_axes.h"
#include "structure/turn_sheet.h"

namespace batten {
namespace {

// Share of the curve half that each stage takes, measured on a sheet of ten letters.
struct Share {
  Stage stage;
  double weight;
};
constexpr Share shares[] = {{Stage::corners, 0.08}, {Stage::structure, 0.07},  {Stage::minimise, 0.15},
                            {Stage::refine, 0.60},  {Stage::straighten, 0.08}, {Stage::finish, 0.02}};

// `begin`: share of the whole job that was done before the curve stages.
Progress progress_for(const Job& job, Stage stage, double begin) {
  double done = 0;
  const Share* s = shares;
  for (; s->stage != stage; ++s) done += s->weight;
  return Progress(job, stage, begin + (1 - begin) * done, begin + (1 - begin) * (done + s->weight));
}

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

// What the nodes are placed by: as located, or turned level.
struct Structure {
  SpacedLoops spaced;
  Corners corners;
  Straights straights;
  SheetAxes axes;
  std::vector<Guide> guides;
  SheetTurn turn;
};

Result<Structure> structure_of(const Loops& loops, const Options& options, const Job& job, double begin) {
  Progress p_corners = progress_for(job, Stage::corners, begin);
  auto spaced = space_loops(loops, options, p_corners);
  if (!spaced) return spaced.error();
  const auto proposed = find_corners(*spaced, loops.ink, loops.ink_noise, p_corners, options.threads);
  if (!proposed) return proposed.error();
  auto corners = weigh_corners(*spaced, *proposed, loops.ink, p_corners, options.threads);
  if (!corners) return corners.error();
  Progress p_structure = progress_for(job, Stage::structure, begin);
  auto straights = find_straights(*spaced, *corners, p_structure);
  if (!straights) return straights.error();
  for (std::size_t k = 0; k < loops.loops.size(); ++k)
    if (const std::optional<KnownCurve>& known = loops.loops[k].known) {
      corners->of_loop[k] = known_corners(spaced->loops[k], *known);
      straights->of_loop[k] = known_straights(spaced->loops[k], *known);
    }
  Structure out{std::move(*spaced), std::move(*corners), std::move(*straights), {}, loops.guides, {}};
  out.axes = find_sheet_axes(out.spaced, out.straights, out.guides);
  out.turn = {out.axes.turn_known, out.axes.turn_deg, out.axes.turn_sd_deg, false};
  // A turn within its own uncertainty is not undone: the outlines then lie on the scan.
  if (!options.deskew || !out.turn.known || std::abs(out.turn.deg) < 2 * out.turn.sd_deg) return out;
  TurnedSheet turned = turn_sheet(out.spaced, out.corners, out.guides, -out.turn.deg);
  out.spaced = std::move(turned.loops), out.corners = std::move(turned.corners), out.guides = std::move(turned.guides);
  straights = find_straights(out.spaced, out.corners, p_structure);
  if (!straights) return straights.error();
  out.straights = std::move(*straights);
  out.axes = find_sheet_axes(out.spaced, out.straights, out.guides);
  out.turn.undone = true;
  return out;
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

}  // namespace

Result<Conversion> fit_loops(const Loops& located, LoopsFrom from, const Options& options, const Job& job,
                             double begin) {
  std::optional<Loops> ordered;
  if (!closed_come_first(located)) ordered = closed_first(located);
  if (has_loose_ends(ordered ? *ordered : located)) ordered = lead_ends(ordered ? *ordered : located);
  const Loops& loops = ordered ? *ordered : located;
  const Result<Structure> s = structure_of(loops, options, job, begin);
  if (!s) return s.error();
  Progress p_structure = progress_for(job, Stage::structure, begin);
  const auto placed = place_nodes(s->spaced, s->corners, s->straights, options, p_structure);
  if (!placed) return placed.error();
  const Draft joined = join_ends(s->spaced, *placed, p_structure.stop_token());
  Progress p_minimise = progress_for(job, Stage::minimise, begin);
  const auto counted = minimise_segments(s->spaced, joined, options, p_minimise);
  if (!counted) return counted.error();
  Progress p_refine = progress_for(job, Stage::refine, begin);
  auto refined = refine_curves(s->spaced, *counted, options, p_refine);
  if (!refined) return refined.error();
  *refined = run_lines_on(s->spaced, *refined);
  *refined =
      hold_limits(s->spaced, *refined, s->turn.undone ? Plane<float>() : loops.ink, options, p_refine.stop_token());
  if (p_refine.stopped()) return p_refine.cancelled();
  Progress p_straighten = progress_for(job, Stage::straighten, begin);
  const auto regular = straighten_drawing(s->spaced, *refined, s->axes, s->guides, options, p_straighten);
  if (!regular) return regular.error();
  Progress p_finish = progress_for(job, Stage::finish, begin);
  const auto least = bound_segments(s->spaced, regular->draft, options, p_finish);
  if (!least) return least.error();
  Finished done = finished(*s, *refined, *regular, options, *least);
  done.leaves_out = from == LoopsFrom::scan;
  Conversion out = deliver(s->spaced, loops.areas, std::move(done), options, p_finish.stop_token());
  out.report.sheet = s->turn;
  if (p_finish.stopped()) return p_finish.cancelled();
  tell(job, out.report.findings);
  p_finish.advance(1);
  return out;
}

namespace {

Result<Conversion> convert_located(const Located& located, const Options& options, const Job& job, double begin) {
  return guarded(options, [&]() -> Result<Conversion> {
    const Located::Data& data = located.data();
    auto out = fit_loops(data.loops, LoopsFrom::scan, options, job, begin);
    if (!out) return out.error();
    out->drawing.width_px = data.width_px, out->drawing.height_px = data.height_px, out->drawing.dpi = data.dpi;
    out->report.findings.insert(out->report.findings.begin(), data.findings.begin(), data.findings.end());
    return out;
  });
}

}  // namespace

Result<Located> locate(const ImageView& image, const Options& options, const Job& job) {
  return guarded<Located>(options, [&]() -> Result<Located> {
    auto data = std::make_shared<Located::Data>();
    auto loops = loops_from_pixels(image, options, job, data->findings);
    if (!loops) return loops.error();
    tell(job, data->findings);
    data->loops = std::move(*loops);
    data->width_px = image.width, data->height_px = image.height, data->dpi = options.dpi;
    return Located(std::move(data));
  });
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
