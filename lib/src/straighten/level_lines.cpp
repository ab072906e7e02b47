#include "straighten/level_lines.h"

#include <algorithm>
#include <cmath>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "refine/edit_draft.h"
#include "straighten/turn_straights.h"
#include "structure/axis_run.h"
#include "structure/join_ends.h"

namespace batten {
namespace {

constexpr int most_turns = 12;  // each takes at least one straight of every line that is off back

bool is_wanted(const SpacedLoop& loop, const DraftLoop& d, std::size_t i, const AxisIntent& intent, bool* vertical) {
  const DraftSegment& s = d.segments[i];
  if (!s.straight || s.way_back || s.level || s.vertical) return false;
  const DraftNode &a = d.nodes[i], &b = d.nodes[d.next(i)];
  const double angle = angle_of(b.at - a.at);
  *vertical = std::abs(std::sin(angle)) > 0.5;
  if (off_axis_deg(angle) > largest_tilt_deg || !(*vertical ? intent.vertical : intent.level)) return false;
  const double length_px = loop.curve.ahead(a.arc, b.arc), zone_a = std::min(a.untrusted_px(), 0.3 * length_px),
               zone_b = std::min(b.untrusted_px(), 0.3 * length_px);
  const double trusted_px = length_px - zone_a - zone_b;
  return !leans_on_purpose(loop, tilt_of_run_deg(loop, *vertical, a.arc + zone_a, a.arc + zone_a + trusted_px),
                           trusted_px);
}

// The cubics beside nodes that moved, fitted anew.
void fit_moved(const SpacedLoop& loop, const DraftLoop& before, DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i)
    if (!(before.nodes[i].at == d->nodes[i].at) || !(before.nodes[d->next(i)].at == d->nodes[d->next(i)].at))
      fit_segment(loop, d, i);
  settle_angles(d);
}

// Segment by segment, each by its own tolerance.
bool holds(const EditContext& c, const DraftLoop& before, const DraftLoop& after) {
  for (std::size_t i = 0; i < after.size(); ++i) {
    const bool straight = after.segments[i].straight;
    const Window one(after, i, 1);
    EditCandidate moved{after, one,         one,
                        {},    steps::none, straight ? allowance::straight_for_what_was : allowance::no_worse};
    if (straight) moved.least_allowed_px = straight_tolerance_px(c.loop);
    if (!judge_edit(c, before, std::move(moved))) return false;
  }
  return true;
}

// Takes the straight back that was moved farthest on a line; returns whether there was one.
bool take_back_worst(const DraftLoop& before, const DraftLoop& after, std::size_t loop,
                     std::vector<LevelledStraight>* wanted) {
  auto worst = wanted->end();
  double most = -1;
  for (auto s = wanted->begin(); s != wanted->end(); ++s) {
    if (s->loop != loop) continue;
    const std::size_t end = before.next(s->segment);
    const double moved_px = std::max(distance(before.nodes[s->segment].at, after.nodes[s->segment].at),
                                     distance(before.nodes[end].at, after.nodes[end].at));
    if (moved_px > most) most = moved_px, worst = s;
  }
  if (worst == wanted->end()) return false;
  wanted->erase(worst);
  return true;
}

}  // namespace

LevelledLines level_lines(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                          const std::stop_token& stop) {
  std::vector<LevelledStraight> wanted;
  for (std::size_t k = 0; k < draft.loops.size(); ++k)
    for (std::size_t i = 0; i < draft.loops[k].size() && loops.loops[k].open(); ++i) {
      bool vertical = false;
      if (is_wanted(loops.loops[k], draft.loops[k], i, axes.of_loop[k], &vertical)) wanted.push_back({k, i, vertical});
    }
  for (int turn = 0; turn < most_turns && !wanted.empty() && !stop.stop_requested(); ++turn) {
    Draft flagged = draft;
    for (const LevelledStraight& s : wanted) {
      DraftSegment& segment = flagged.loops[s.loop].segments[s.segment];
      (s.vertical ? segment.vertical : segment.level) = true;
    }
    LevelledLines out{join_ends(loops, flagged, stop), {}};
    std::vector<std::size_t> off;
    for (std::size_t k = 0; k < draft.loops.size(); ++k) {
      if (!loops.loops[k].open()) continue;
      fit_moved(loops.loops[k], draft.loops[k], &out.draft.loops[k]);
      if (!holds({loops.loops[k], true, stop}, draft.loops[k], out.draft.loops[k])) off.push_back(k);
    }
    if (off.empty()) {
      for (LevelledStraight s : wanted) {
        const DraftLoop &before = draft.loops[s.loop], &after = out.draft.loops[s.loop];
        const DraftSegment& segment = after.segments[s.segment];
        if (!(s.vertical ? segment.vertical : segment.level)) continue;  // the junctions would not have it
        for (const std::size_t node : {s.segment, before.next(s.segment)})
          s.moved_px = std::max(s.moved_px, distance(before.nodes[node].at, after.nodes[node].at));
        out.straights.push_back(s);
      }
      return out;
    }
    bool fewer = false;
    for (const std::size_t k : off) fewer |= take_back_worst(draft.loops[k], out.draft.loops[k], k, &wanted);
    // A line that is off has none of its own: what its neighbours did to it is taken back with all of theirs.
    if (!fewer) break;
  }
  return {draft, {}};
}

}  // namespace batten
