#include "straighten/join_straights.h"

#include <algorithm>

namespace batten {
namespace {

bool on_one_axis(const DraftSegment& a, const DraftSegment& b) {
  return a.straight && b.straight && on_axis(a) && a.vertical == b.vertical && a.level == b.level;
}

double length_px(const DraftLoop& d, std::size_t segment) {
  return distance(d.nodes[segment].at, d.nodes[d.next(segment)].at);
}

// How many nodes lie between the straight and the next one on its axis: 1, 2 with a curve between them, 0: there is
// none.
std::size_t joints_between(const DraftLoop& d, std::size_t segment) {
  const auto smooth = [&](std::size_t i) { return !d.nodes[i].corner && d.nodes[i].reason != Reason::pinned; };
  const std::size_t middle = d.next(segment), after = d.next(middle);
  if (d.size() < 5 || !smooth(middle)) return 0;  // three segments are left at least
  if (on_one_axis(d.segments[segment], d.segments[middle])) return 1;
  if (!smooth(after) || !on_one_axis(d.segments[segment], d.segments[after]) || d.segments[middle].straight) return 0;
  return length_px(d, middle) <= std::max(length_px(d, segment), length_px(d, after)) ? 2 : 0;
}

bool try_join(const StraightenContext& context, std::size_t segment, DraftLoop* d, std::vector<AxisStraight>* edits) {
  const EditContext& c = context.edit;
  const std::size_t between = joints_between(*d, segment);
  if (between == 0) return false;
  DraftLoop next = *d;
  for (std::size_t k = 0; k < between; ++k) {
    const std::size_t node = next.next(segment);
    remove_node(&next, node);
    if (node < segment) --segment;
  }
  settle_angles(&next);
  if (!settle_within(c.loop, segment, 3, straight_tolerance_px(c.loop), c.stop, &next) || !context.holds(*d, next))
    return false;
  edits->push_back({next.segments[segment].vertical, middle_arc(c.loop, next, segment), moved_px(*d, next, segment)});
  *d = std::move(next);
  return true;
}

}  // namespace

void join_straights(const StraightenContext& context, DraftLoop* d, std::vector<AxisStraight>* edits) {
  for (bool changed = true; changed && !context.edit.stop.stop_requested();) {
    changed = false;  // an edit renumbers the nodes: each is looked at anew
    for (std::size_t i = 0; i < d->size() && !changed; ++i) changed = try_join(context, i, d, edits);
  }
}

}  // namespace batten
