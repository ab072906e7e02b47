#include "api/curve_stages.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "corners/known_corners.h"
#include "corners/weigh_corners.h"
#include "minimise/minimise_segments.h"
#include "refine/refine_curves.h"
#include "refine/run_lines_on.h"
#include "straighten/hold_limits.h"
#include "structure/join_ends.h"
#include "structure/known_straights.h"
#include "structure/place_nodes.h"
#include "structure/told_curve.h"
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

void put_back(const Draft& part, const std::vector<char>& which, Draft* all) {
  std::size_t next = 0;
  for (std::size_t k = 0; k < which.size(); ++k)
    if (which[k]) all->loops[k] = part.loops[next++];
}

// Marks the loops whose drafts differ as well.
std::vector<char> also_different(std::vector<char> marked, const Draft& a, const Draft& b) {
  for (std::size_t k = 0; k < marked.size(); ++k) marked[k] = marked[k] || !(a.loops[k] == b.loops[k]);
  return marked;
}

Result<Draft> fitted(const SpacedLoops& loops, const Draft& joined, const Options& options, const Job& job,
                     const Span& span) {
  Progress p_minimise = progress_for(job, Stage::minimise, span);
  const auto counted = minimise_segments(loops, joined, options, p_minimise);
  if (!counted) return counted.error();
  Progress p_refine = progress_for(job, Stage::refine, span);
  return refine_curves(loops, *counted, options, p_refine);
}

// Outlines that were turned no longer lie on their ink.
const Plane<float>& ink_under(const Structure& s, const Plane<float>& ink, const Plane<float>& none) {
  return s.turn.undone ? none : ink;
}

}  // namespace

Progress progress_for(const Job& job, Stage stage, const Span& span) {
  double done = 0;
  const Share* s = shares;
  for (; s->stage != stage; ++s) done += s->weight;
  return Progress(job, stage, span.begin + (span.end - span.begin) * done,
                  span.begin + (span.end - span.begin) * (done + s->weight));
}

Result<Structure> structure_of(const Loops& loops, const Options& options, const Job& job, const Span& span) {
  Progress p_corners = progress_for(job, Stage::corners, span);
  auto spaced = space_loops(loops, options, p_corners);
  if (!spaced) return spaced.error();
  const auto proposed = find_corners(*spaced, loops.ink, loops.ink_noise, p_corners, options.threads);
  if (!proposed) return proposed.error();
  auto corners = weigh_corners(*spaced, *proposed, loops.ink, p_corners, options.threads);
  if (!corners) return corners.error();
  std::vector<const KnownCurve*> told(loops.loops.size(), nullptr);
  for (std::size_t k = 0; k < told.size(); ++k) {
    const std::optional<KnownCurve>& path = loops.loops[k].told;
    if (!path || !can_tell(spaced->loops[k], *path, corners->of_loop[k])) continue;
    told[k] = &*path;
    corners->of_loop[k] = told_corners(spaced->loops[k], *path, corners->of_loop[k]);
  }
  Progress p_structure = progress_for(job, Stage::structure, span);
  auto straights = find_straights(*spaced, *corners, p_structure);
  if (!straights) return straights.error();
  for (std::size_t k = 0; k < told.size(); ++k)
    if (told[k])
      straights->of_loop[k] = told_straights(spaced->loops[k], *told[k], corners->of_loop[k], straights->of_loop[k]);
  for (std::size_t k = 0; k < loops.loops.size(); ++k)
    if (const std::optional<KnownCurve>& known = loops.loops[k].known) {
      corners->of_loop[k] = known_corners(spaced->loops[k], *known);
      straights->of_loop[k] = known_straights(spaced->loops[k], *known);
    }
  Structure out{std::move(*spaced), std::move(*corners), std::move(*straights), {}, loops.guides, {}, {}};
  out.axes = find_sheet_axes(out.spaced, out.straights, out.guides);
  out.turn = {out.axes.turn_known, out.axes.turn_deg, out.axes.turn_sd_deg, false};
  // A turn within its own uncertainty is not undone: the outlines then lie on the scan.
  if (!options.deskew || !out.turn.known || std::abs(out.turn.deg) < 2 * out.turn.sd_deg) return out;
  TurnedSheet turned = turn_sheet(out.spaced, out.corners, out.guides, -out.turn.deg);
  out.spaced = std::move(turned.loops), out.corners = std::move(turned.corners), out.guides = std::move(turned.guides);
  out.turned_about = turned.middle;
  straights = find_straights(out.spaced, out.corners, p_structure);
  if (!straights) return straights.error();
  out.straights = std::move(*straights);
  out.axes = find_sheet_axes(out.spaced, out.straights, out.guides);
  out.turn.undone = true;
  return out;
}

SpacedLoops part_of(const SpacedLoops& loops, const std::vector<char>& which) {
  SpacedLoops out;
  out.origin = loops.origin, out.unit_px = loops.unit_px;
  for (std::size_t k = 0; k < which.size(); ++k)
    if (which[k]) out.loops.push_back(loops.loops[k]);
  return out;
}

Draft part_of(const Draft& draft, const std::vector<char>& which) {
  Draft out;
  for (std::size_t k = 0; k < which.size(); ++k)
    if (which[k]) out.loops.push_back(draft.loops[k]);
  return out;
}

Result<Curves> curves_of(const Structure& s, const Plane<float>& ink, const Options& options, const Job& job,
                         const Span& span) {
  Progress p_structure = progress_for(job, Stage::structure, span);
  const auto placed = place_nodes(s.spaced, s.corners, s.straights, options, p_structure);
  if (!placed) return placed.error();
  Curves out;
  out.joined = join_ends(s.spaced, *placed, p_structure.stop_token());
  auto fit = fitted(s.spaced, out.joined, options, job, span);
  if (!fit) return fit.error();
  out.fitted = std::move(*fit);
  out.led_on = run_lines_on(s.spaced, out.fitted);
  Progress p_refine = progress_for(job, Stage::refine, span);
  const Plane<float> none;
  out.refined = hold_limits(s.spaced, out.led_on, ink_under(s, ink, none), options, p_refine.stop_token());
  if (p_refine.stopped()) return p_refine.cancelled();
  Progress p_straighten = progress_for(job, Stage::straighten, span);
  auto regular = straighten_drawing(s.spaced, out.refined, s.axes, s.guides, options, p_straighten);
  if (!regular) return regular.error();
  out.regular = std::move(*regular);
  return out;
}

Result<Curves> curves_again(const Structure& s, const Curves& known, const std::vector<char>& marked,
                            const Plane<float>& ink, const Options& options, const Job& job, const Span& span,
                            std::vector<char>* changed) {
  Progress p_structure = progress_for(job, Stage::structure, span);
  const auto placed = place_nodes(s.spaced, s.corners, s.straights, options, p_structure);
  if (!placed) return placed.error();
  Curves out = known;
  out.joined = join_ends(s.spaced, *placed, p_structure.stop_token());
  const std::vector<char> anew = also_different(marked, out.joined, known.joined);
  const auto fit = fitted(part_of(s.spaced, anew), part_of(out.joined, anew), options, job, span);
  if (!fit) return fit.error();
  put_back(*fit, anew, &out.fitted);
  out.led_on = run_lines_on(s.spaced, out.fitted);
  *changed = also_different(marked, out.led_on, known.led_on);
  Progress p_refine = progress_for(job, Stage::refine, span);
  const Plane<float> none;
  const Draft held = hold_limits(part_of(s.spaced, *changed), part_of(out.led_on, *changed), ink_under(s, ink, none),
                                 options, p_refine.stop_token());
  put_back(held, *changed, &out.refined);
  if (p_refine.stopped()) return p_refine.cancelled();
  return out;
}

}  // namespace batten
