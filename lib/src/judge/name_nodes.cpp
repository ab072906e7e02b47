#include "judge/name_nodes.h"

#include "base/cubic.h"

namespace batten {
namespace {

std::size_t before(const Outline& o, std::size_t i) { return i == 0 ? o.nodes.size() - 1 : i - 1; }

// How far the tangent lies off the axis, degrees, 0..90.
double off_level_deg(Point t) { return degrees(std::atan2(std::abs(t.y), std::abs(t.x))); }

// An extreme has the curve on both sides of it on one side of its tangent; `in` and `out` are the offsets there.
bool one_side(double in, double out, double sign) { return sign * in > 0 && sign * out > 0; }

Reason reason_of(const Outline& o, std::size_t i) {
  const Cubic in = o.segment(before(o, i)), out = o.segment(i);
  const bool straight_in = o.is_straight(before(o, i)), straight_out = o.is_straight(i);
  if (straight_in != straight_out) return Reason::straight_end;
  if (straight_in) return Reason::added;
  constexpr double near_axis_deg = 8;  // a node that was meant as an extreme may be tilted a little
  constexpr double aside = 0.15;       // of the parameter: far enough to see to which side the curve goes
  const Point tangent = unit(end_tangent(in) + start_tangent(out));
  const Point a = evaluate(in, 1 - aside) - o.nodes[i].at, b = evaluate(out, aside) - o.nodes[i].at;
  if (off_level_deg(tangent) < near_axis_deg) {
    if (one_side(a.y, b.y, 1)) return Reason::extreme_top;
    if (one_side(a.y, b.y, -1)) return Reason::extreme_bottom;
  }
  if (off_level_deg(tangent) > 90 - near_axis_deg) {
    if (one_side(a.x, b.x, 1)) return Reason::extreme_left;
    if (one_side(a.x, b.x, -1)) return Reason::extreme_right;
  }
  return Reason::added;
}

}  // namespace

double turn_deg_at(const Outline& outline, std::size_t node) {
  const Cubic in = outline.segment(before(outline, node)), out = outline.segment(node);
  return std::abs(degrees(turn_between(end_tangent(in), start_tangent(out))));
}

void name_nodes(Outline* outline) {
  for (std::size_t i = 0; i < outline->nodes.size(); ++i) {
    Node& node = outline->nodes[i];
    if (!outline->closed && (i == 0 || i + 1 == outline->nodes.size())) {
      node.smooth = false, node.reason = Reason::line_end;
      continue;
    }
    node.smooth = turn_deg_at(*outline, i) < corner_turn_deg;
    node.reason = node.smooth ? reason_of(*outline, i) : Reason::corner;
  }
}

}  // namespace batten
