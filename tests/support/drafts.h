#pragma once
// Spaced loops and drafts for tests of single curve stages: from points of a formula and from outlines that are known.

#include <algorithm>
#include <cmath>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "support/shapes.h"

namespace batten::support {

/// A loop of exact points, as fit() would space it: no noise, no rounding but that of the spacing.
inline SpacedLoop exact_loop(const Polyline& points, double limit_px = 1) {
  SpacedLoop loop;
  loop.curve = resample(points, 0.25);
  loop.kind = Kind::filled;
  loop.rounding_px = 0.1;
  loop.correlation_px = 2;
  loop.limit_px = loop.tolerance_px = limit_px;
  return loop;
}

/// A round of four cubics, a straight between two of them, one corner: a D with its foot cut off round.
inline Outline d_with_round_foot() {
  return outline_from({{Point{60, 40}, {60, 40}, {160, 40}, {160, 40}},
                       {Point{160, 40}, {215, 40}, {250, 85}, {250, 140}},
                       {Point{250, 140}, {250, 195}, {215, 240}, {160, 240}},
                       {Point{160, 240}, {120, 240}, {85, 220}, {60, 180}},
                       {Point{60, 180}, {60, 180}, {60, 40}, {60, 40}}});
}

/// The outline as a draft on its loop. Level and vertical straights are marked as such.
inline DraftLoop draft_of(const SpacedLoop& loop, const Outline& outline) {
  DraftLoop d;
  const std::size_t n = outline.nodes.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Node& node = outline.nodes[i];
    const Cubic c = outline.segment(i), before = outline.segment((i + n - 1) % n);
    DraftNode j;
    j.at = j.anchor = node.at;
    j.arc = nearest_arc(loop.curve, node.at, 0, loop.curve.length_px());
    j.corner = !node.smooth, j.reason = node.reason, j.zone_px = node.smooth ? 0 : 0.3;
    j.angle = angle_of(norm(c[1] - c[0]) > 0 ? c[1] - c[0] : before[3] - before[2]);
    DraftSegment p;
    p.straight = outline.is_straight(i);
    p.level = p.straight && c[0].y == c[3].y, p.vertical = p.straight && c[0].x == c[3].x;
    p.start.handle_px = distance(c[0], c[1]), p.end.handle_px = distance(c[2], c[3]);
    p.start.angle_rad = angle_of(start_tangent(c)), p.end.angle_rad = angle_of(end_tangent(c));
    d.nodes.push_back(j);
    d.segments.push_back(p);
  }
  settle_angles(&d);
  return d;
}

/// The D as a loop and as the draft that lies on it.
struct RoundFoot {
  SpacedLoop loop = exact_loop(points_of(d_with_round_foot(), 0.1), 0.5);
  DraftLoop draft = draft_of(loop, d_with_round_foot());
};

/// Largest distance of dense samples of the draft to a circle, px.
inline double off_circle_px(const DraftLoop& d, Point centre, double radius) {
  double worst = 0;
  for (std::size_t i = 0; i < d.size(); ++i)
    for (int k = 0; k <= 64; ++k)
      worst = std::max(worst, std::abs(distance(at(cubic_of(d, i), k / 64.0), centre) - radius));
  return worst;
}

}  // namespace batten::support
