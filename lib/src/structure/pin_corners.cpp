#include "structure/pin_corners.h"

#include <algorithm>
#include <cmath>

#include "corners/corner_arms.h"
#include "structure/pin_reach.h"

namespace batten {
namespace {

// What turns less is no proposal to go by: the noise of a curve does as much.
constexpr double least_turn_deg = 10;
constexpr double abrupt = 0.3;  // as a sharp corner measures

// The corner that the sides on either side of an arc make.
Corner corner_at(const SpacedLoop& loop, double arc) {
  const ArcLoop& curve = loop.curve;
  const double gap_px = 0.5 * loop.band_px + loop.rounding_px, arm_px = 2.5 * loop.scale_px;
  double before_px = arm_px, after_px = arm_px;
  if (loop.open()) {
    before_px = std::clamp(arc - gap_px, 1.0, arm_px);
    after_px = std::clamp(curve.line_px - arc - gap_px, 1.0, arm_px);
  }
  const Arm in = fit_arm(curve, arc - gap_px - before_px, arc - gap_px, true, loop.scale_px);
  const Arm out = fit_arm(curve, arc + gap_px, arc + gap_px + after_px, false, loop.scale_px);
  Corner c;
  c.arc = loop.open() ? arc : curve.wrap(arc);
  c.apex = curve.at(arc), c.into = in.tangent, c.out_of = out.tangent;
  double u = 0, v = 0;
  if (meet(in, out, 3 * gap_px, &u, &v)) {
    c.into = heading(in, u), c.out_of = heading(out, -v);
    const Point apex = 0.5 * (along(in, u) + along(out, -v));
    c.turn_deg = std::abs(degrees(turn_between(c.into, c.out_of)));
    if (distance(apex, curve.at(arc)) <= farthest_apex_px(loop, c.turn_deg)) c.apex = apex;
  }
  c.turn_deg = std::abs(degrees(turn_between(c.into, c.out_of)));
  c.zone_px = corner_zone_px(loop, c.turn_deg);
  return c;
}

// Where the sides turn most, within reach of the place.
Corner sharpest_near(const SpacedLoop& loop, double arc) {
  Corner best = corner_at(loop, arc);
  const double reach_px = 0.5 * corner_reach_px(loop);
  for (double by = -reach_px; by <= reach_px; by += 1) {
    const double at = arc + by;
    if (loop.open() && (at < 1 || at > loop.curve.line_px - 1)) continue;
    const Corner c = corner_at(loop, at);
    // Two degrees for each px: of places about as sharp the one that was pointed at.
    const auto worth = [&](const Corner& k) {
      return k.turn_deg - 2 * std::abs(loop.curve.signed_arc_px(loop.curve.wrap(arc), loop.curve.wrap(k.arc)));
    };
    if (worth(c) > worth(best)) best = c;
  }
  return best;
}

Corner on_its_loop(const SpacedLoop& loop, Corner c) {
  if (distance(c.apex, loop.curve.at(c.arc)) > farthest_apex_px(loop, c.turn_deg)) c.apex = loop.curve.at(c.arc);
  return c;
}

void put(const SpacedLoop& loop, const PinnedNode& node, std::vector<Corner>* corners) {
  Corner* nearest = nullptr;
  double nearest_px = corner_reach_px(loop);
  for (Corner& c : *corners) {
    const double px = std::abs(loop.curve.signed_arc_px(node.arc, c.arc));
    if (c.turn_deg < least_turn_deg || px >= nearest_px) continue;
    nearest_px = px, nearest = &c;
  }
  Corner c = nearest && (nearest->accepted || nearest_px < 0.6 * corner_reach_px(loop)) ? *nearest
                                                                                        : sharpest_near(loop, node.arc);
  if (nearest && nearest->arc != c.arc) nearest = nullptr;
  c = on_its_loop(loop, c);
  if (node.fixed) c.apex = node.at;
  if (nearest)
    *nearest = certain_corner(c);
  else
    corners->push_back(certain_corner(c));
}

}  // namespace

Corner certain_corner(Corner c) {
  c.accepted = true, c.certainty = 1;
  c.abruptness = c.weighed_abruptness = abrupt;
  return c;
}

// Like one that the ink has decided against.
Corner no_corner(Corner c) {
  c.accepted = false, c.certainty = 0, c.weighed_abruptness = 1;
  return c;
}

Corner corner_near(const SpacedLoop& loop, double arc) {
  return certain_corner(on_its_loop(loop, sharpest_near(loop, arc)));
}

std::vector<Corner> pin_corners(const SpacedLoop& loop, const std::vector<Corner>& found) {
  std::vector<Corner> out = found;
  const double length_px = loop.curve.length_px();
  for (Corner& c : out) {
    bool forbidden = lies_in(loop.pins.smooth, c.arc, length_px) || lies_in(loop.pins.bare, c.arc, length_px);
    for (const PinnedStretch& s : loop.pins.straights) {
      const double at = loop.curve.ahead(s.from, c.arc), margin_px = std::max(c.zone_px, loop.scale_px);
      forbidden = forbidden || (at > margin_px && at < s.to - s.from - margin_px);
    }
    if (forbidden) c = no_corner(c);
  }
  for (const PinnedNode& node : loop.pins.nodes)
    if (node.turn == Pin::Turn::corner) put(loop, node, &out);
  std::stable_sort(out.begin(), out.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  return out;
}

}  // namespace batten
