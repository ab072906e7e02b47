#include "api/pinned_curves.h"

#include <algorithm>

#include "refine/splice_pinned.h"
#include "straighten/put_part.h"
#include "straighten/share_places.h"
#include "structure/pin_structure.h"
#include "structure/turn_sheet.h"

namespace batten {
namespace {

std::vector<char> with_pins(const SpacedLoops& before, const SpacedLoops& after, const std::vector<int>& loop_of) {
  std::vector<char> out;
  for (std::size_t k = 0; k < after.loops.size(); ++k)
    out.push_back(loop_of[k] < 0 || !after.loops[k].pins.empty() ||
                  before.loops[k].limit_px != after.loops[k].limit_px);
  return out;
}

bool others_stay(const Draft& a, const Draft& b, const std::vector<char>& changed) {
  for (std::size_t k = 0; k < changed.size(); ++k)
    if (!changed[k] && !(a.loops[k] == b.loops[k])) return false;
  return true;
}

// All together where that leaves the others as they are, else the changed outlines by themselves. Open lines among
// those keep the places where others meet them.
Result<Straightened> straightened(const Structure& s, const Curves& known, const Draft& draft,
                                  const std::vector<char>& changed, const Options& options, const Job& job,
                                  const Span& span) {
  Progress progress = progress_for(job, Stage::straighten, span);
  auto all = straighten_drawing(s.spaced, draft, s.axes, s.guides, options, progress);
  if (!all || others_stay(all->draft, known.regular.draft, changed)) return all;
  std::vector<char> closed = changed;
  std::vector<std::size_t> loops;
  SheetAxes axes = s.axes;
  axes.of_loop.clear();
  Straightened whole = known.regular;
  for (std::size_t k = 0; k < changed.size(); ++k) {
    closed[k] = changed[k] && !s.spaced.loops[k].open();
    if (closed[k]) loops.push_back(k), axes.of_loop.push_back(s.axes.of_loop[k]);
  }
  const auto part =
      straighten_drawing(part_of(s.spaced, closed), part_of(draft, closed), axes, s.guides, options, progress);
  if (!part) return part.error();
  std::vector<std::size_t> lines;
  Straightened as_drawn;
  for (std::size_t k = 0; k < changed.size(); ++k)
    if (changed[k] && !closed[k]) lines.push_back(k), as_drawn.draft.loops.push_back(draft.loops[k]);
  return put_part(put_part(whole, as_drawn, lines), *part, loops);
}

bool same_loop(const SpacedLoop& a, const SpacedLoop& b) {
  return a.kind == b.kind && a.curve.line_px == b.curve.line_px && a.sigma_px == b.sigma_px && a.band_px == b.band_px &&
         a.limit_px == b.limit_px && a.curve.points == b.curve.points;
}

}  // namespace

Unpinned unpinned_for(const Structure& s, const Structure& before, const Curves& known) {
  Unpinned out;
  std::vector<int> place(before.spaced.loops.size(), -1);
  const std::size_t count = s.spaced.loops.size();
  for (Draft* d : {&out.curves.joined, &out.curves.fitted, &out.curves.led_on, &out.curves.refined})
    d->loops.resize(count);
  Draft regular;
  regular.loops.resize(count);
  for (std::size_t k = 0; k < count; ++k) {
    int found = -1;
    for (std::size_t u = 0; u < place.size() && found < 0; ++u)
      if (place[u] < 0 && same_loop(s.spaced.loops[k], before.spaced.loops[u])) found = int(u);
    out.loop_of.push_back(found);
    if (found < 0) continue;
    const auto u = std::size_t(found);
    place[u] = int(k);
    out.curves.joined.loops[k] = known.joined.loops[u], out.curves.fitted.loops[k] = known.fitted.loops[u];
    out.curves.led_on.loops[k] = known.led_on.loops[u], out.curves.refined.loops[k] = known.refined.loops[u];
    regular.loops[k] = known.regular.draft.loops[u];
  }
  out.curves.regular = renumbered(known.regular, regular, place);
  return out;
}

bool changes_curves(Pin::Kind kind) { return !is_about_scan(kind) || kind == Pin::Kind::tolerance; }

std::vector<Pin> pins_on(const Structure& s, const std::vector<Pin>& pins) {
  std::vector<Pin> out = pins;
  for (Pin& pin : out) {
    for (Point& p : pin.places) p = (1 / s.spaced.unit_px) * (p - s.spaced.origin);
    pin.length_px /= s.spaced.unit_px;
  }
  return s.turn.undone ? turn_pins(out, s.turned_about, -s.turn.deg) : out;
}

Result<PinnedCurves> pinned_curves(const Structure& s, const Unpinned& known, const std::vector<Pin>& pins,
                                   const Plane<float>& ink, const Options& options, const Job& job, const Span& span) {
  Progress progress = progress_for(job, Stage::structure, span);
  auto pinned = pin_structure(with_pinned_tolerances(s.spaced, pins), s.corners, s.straights, pins, progress);
  if (!pinned) return pinned.error();
  PinnedCurves out{s, {}, std::move(pinned->attached), {}};
  out.structure.spaced = std::move(pinned->loops);
  out.structure.corners = std::move(pinned->corners), out.structure.straights = std::move(pinned->straights);
  auto curves = curves_again(out.structure, known.curves, with_pins(s.spaced, out.structure.spaced, known.loop_of), ink,
                             options, job, span, &out.changed);
  if (!curves) return curves.error();
  out.curves = std::move(*curves);
  for (std::size_t k = 0; k < out.changed.size() && !progress.stopped(); ++k) {
    const SpacedLoop& loop = out.structure.spaced.loops[k];
    if (known.loop_of[k] < 0 || loop.limit_px != s.spaced.loops[k].limit_px) continue;
    const EditContext edit{loop, options.extremes == Options::Extremes::required, progress.stop_token()};
    out.curves.refined.loops[k] = splice_pinned(edit, known.curves.refined.loops[k], out.curves.refined.loops[k]);
  }
  out.curves.refined =
      share_places(out.structure.spaced, out.curves.refined, pins, out.attached, progress.stop_token());
  auto regular = straightened(out.structure, known.curves, out.curves.refined, out.changed, options, job, span);
  if (!regular) return regular.error();
  out.curves.regular = std::move(*regular);
  return out;
}

}  // namespace batten
