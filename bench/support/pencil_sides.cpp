#include "support/pencil_sides.h"

#include <algorithm>
#include <numbers>

namespace batten::support {

std::vector<Side> sides_of(const Outline& outline) {
  const std::size_t n = outline.nodes.size();
  const auto turn_at = [&](std::size_t i) {
    const Cubic in = outline.segment((i + n - 1) % n), out = outline.segment(i);
    const Point a = unit(at(in, 1) - at(in, 0.99)), b = unit(at(out, 0.01) - at(out, 0));
    return std::abs(std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) * 180 / std::numbers::pi;
  };
  std::vector<std::size_t> corners;
  for (std::size_t i = 0; i < n; ++i)
    if (turn_at(i) > 25) corners.push_back(i);
  if (corners.empty()) return {{points_of(outline, side_step_px), true}};
  std::vector<Side> sides;
  for (std::size_t c = 0; c < corners.size(); ++c) {
    const std::size_t from = corners[c], count = (corners[(c + 1) % corners.size()] + n - from - 1) % n + 1;
    Outline part;
    for (std::size_t k = 0; k <= count; ++k) part.nodes.push_back(outline.nodes[(from + k) % n]);
    const Point end = part.nodes.back().at;
    part.nodes.back().handle_after = end;  // the way back is a straight, cut off below
    part.nodes.front().handle_before = part.nodes.front().at;
    Polyline p = points_of(part, side_step_px);
    const auto stop = std::find(p.rbegin(), p.rend(), end);
    p.erase(stop.base(), p.end());
    sides.push_back({std::move(p), false});
  }
  return sides;
}

std::pair<Point, Point> along(const Side& side, double s_px) {
  const auto n = std::ptrdiff_t(side.points.size());
  const double u = s_px / side_step_px;
  auto i = std::ptrdiff_t(std::floor(u));
  const auto get = [&](std::ptrdiff_t k) {
    return side.points[std::size_t(side.closed ? ((k % n) + n) % n : std::clamp<std::ptrdiff_t>(k, 0, n - 1))];
  };
  if (!side.closed) i = std::clamp<std::ptrdiff_t>(i, 0, n - 2);
  const Point d = unit(get(i + 2) - get(i - 1));
  const double f = u - double(i);
  if (side.closed || (f >= 0 && f <= 1)) return {get(i) + f * (get(i + 1) - get(i)), d};
  return {f < 0 ? get(i) + (f * side_step_px) * d : get(i + 1) + ((f - 1) * side_step_px) * d, d};
}

double length_of(const Side& side) { return side_step_px * (double(side.points.size()) - (side.closed ? 0 : 1)); }

}  // namespace batten::support
