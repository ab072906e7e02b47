#include "fit/keeps_pins.h"

#include <algorithm>

namespace batten {
namespace {

constexpr double moved_px = 5e-4;  // half of what files are written with

template <class All>
auto with_pin(const All& all, int pin) {
  return std::find_if(all.begin(), all.end(), [&](const auto& one) { return one.pin == pin; });
}

bool same_node(const DraftNode& before, const DraftNode& after) {
  if (before.corner != after.corner) return false;
  if (before.fixed_x && std::abs(before.at.x - after.at.x) > moved_px) return false;
  if (before.fixed_y && std::abs(before.at.y - after.at.y) > moved_px) return false;
  return !before.angle_fixed || (after.angle_fixed && std::abs(wrap_angle(before.angle - after.angle)) < 1e-6);
}

// Length of all that is left of a pinned straight; level and vertical ones count only where they still are.
double straight_px(const DraftLoop& d, const DraftSegment& pinned) {
  double px = 0;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const DraftSegment& s = d.segments[i];
    if (s.pin != pinned.pin || !s.straight || (pinned.level && !s.level) || (pinned.vertical && !s.vertical)) continue;
    px += distance(d.nodes[i].at, d.nodes[d.next(i)].at);
  }
  return px;
}

std::size_t nodes_in(const std::vector<ArcRange>& ranges, const SpacedLoop& loop, const DraftLoop& d,
                     bool corners_only) {
  if (ranges.empty()) return 0;
  return std::size_t(std::count_if(d.nodes.begin(), d.nodes.end(), [&](const DraftNode& j) {
    return (j.corner || !corners_only) && lies_in(ranges, j.arc, loop.curve.length_px());
  }));
}

}  // namespace

bool keeps_pins(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after) {
  if (loop.pins.empty()) return true;
  for (const DraftNode& j : before.nodes) {
    if (j.pin < 0) continue;
    const auto found = with_pin(after.nodes, j.pin);
    if (found == after.nodes.end() || !same_node(j, *found)) return false;
  }
  constexpr double least_share = 0.8;  // of its length: where it runs into a round its end may move a little
  for (const DraftSegment& s : before.segments) {
    if (s.pin < 0 || !s.straight) continue;
    const PinnedStretch& wanted = loop.pins.straights[std::size_t(s.pin)];
    if (straight_px(after, s) < least_share * std::min(straight_px(before, s), wanted.to - wanted.from)) return false;
  }
  return nodes_in(loop.pins.bare, loop, after, false) <= nodes_in(loop.pins.bare, loop, before, false) &&
         nodes_in(loop.pins.smooth, loop, after, true) <= nodes_in(loop.pins.smooth, loop, before, true);
}

}  // namespace batten
