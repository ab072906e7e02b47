#include <algorithm>
#include <utility>

#include "straighten/straight_edits.h"

namespace batten {
namespace {

bool on_one_axis(const DraftSegment& a, const DraftSegment& b) {
  return a.straight && b.straight && on_axis(a) && a.vertical == b.vertical && a.level == b.level;
}

double length_px(const DraftLoop& d, std::size_t segment) {
  return distance(d.nodes[segment].at, d.nodes[d.next(segment)].at);
}

// How many nodes lie between the straight and the next one on its axis: 1, or 2 with a curve between them; 0 where
// there is no such straight.
std::size_t nodes_between(const DraftLoop& d, std::size_t straight) {
  const auto smooth = [&](std::size_t i) { return !d.nodes[i].corner; };
  const std::size_t middle = d.next(straight), after = d.next(middle);
  if (d.size() < 5 || !smooth(middle)) return 0;  // three segments are left at least
  if (on_one_axis(d.segments[straight], d.segments[middle])) return 1;
  if (!smooth(after) || !on_one_axis(d.segments[straight], d.segments[after]) || d.segments[middle].straight) return 0;
  return length_px(d, middle) <= std::max(length_px(d, straight), length_px(d, after)) ? 2 : 0;
}

}  // namespace

bool join_straight(const StraightenContext& context, std::size_t straight, LoopStraightening* work) {
  const EditContext& c = context.edit;
  const std::size_t between = nodes_between(work->draft, straight);
  if (between == 0) return false;
  DraftLoop next = work->draft;
  for (std::size_t k = 0; k < between; ++k) {
    const std::size_t node = next.next(straight);
    remove_node(&next, node);
    if (node < straight) --straight;
  }
  EditCandidate edit = straight_edit(c, work->draft, std::move(next), straight, 3);
  edit.keeps_promise = [&](const DraftLoop& solved) { return context.holds(work->draft, solved); };
  std::optional<DraftLoop> solved = judge_edit(c, work->draft, std::move(edit));
  if (solved) accept(c.loop, straight, std::move(*solved), work);
  return solved.has_value();
}

}  // namespace batten
