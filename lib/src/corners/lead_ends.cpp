#include "corners/lead_ends.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <optional>

#include "base/polyline.h"

namespace batten {
namespace {

constexpr double reach_widths = 5;      // bands that cross at a small angle are one for as long
constexpr double direction_widths = 2;  // over which an end's direction is read
constexpr double same_place_px = 1e-6;
constexpr double least_line_px = 2;  // what is shorter is a point

struct EndOf {
  std::size_t loop = 0;
  bool at_end = false;
};

const LineEnd& end_of(const Loops& loops, const EndOf& e) {
  const Loop& loop = loops.loops[e.loop];
  return e.at_end ? loop.end : loop.start;
}
Point place_of(const Loops& loops, const EndOf& e) {
  const std::vector<Point>& points = loops.loops[e.loop].points;
  return e.at_end ? points.back() : points.front();
}
double width_of(const Loops& loops, const EndOf& e) { return std::max(loops.loops[e.loop].band_px, 3.0); }
bool is_curve(const Loops& loops, int loop) { return loop >= 0 && std::size_t(loop) < loops.loops.size(); }

// Unit direction in which the line would go on.
Point onwards(const Loops& loops, const EndOf& e) {
  const std::vector<Point>& points = loops.loops[e.loop].points;
  const double far_px = direction_widths * width_of(loops, e);
  const Point at = place_of(loops, e);
  Point from = at;
  for (std::size_t i = 0; i < points.size() && distance(from, at) < far_px; ++i)
    from = e.at_end ? points[points.size() - 1 - i] : points[i];
  return unit(at - from);
}

// Groups of ends that are to lie at one place: junctions, and single ends on a curve.
std::vector<std::vector<EndOf>> groups_of(const Loops& loops) {
  std::map<int, std::vector<EndOf>> junctions;
  std::vector<std::vector<EndOf>> out;
  for (std::size_t k = 0; k < loops.loops.size(); ++k)
    for (const bool at_end : {false, true}) {
      if (!loops.loops[k].open || loops.loops[k].points.size() < 2) continue;
      const LineEnd& end = end_of(loops, {k, at_end});
      if (end.junction >= 0)
        junctions[end.junction].push_back({k, at_end});
      else if (is_curve(loops, end.on_loop))
        out.push_back({{k, at_end}});
    }
  for (auto& [number, ends] : junctions) out.push_back(std::move(ends));
  return out;
}

// The nearest place on the edges of a loop.
Point nearest_on(const Loop& loop, Point p) {
  Point best = p;
  double least = std::numeric_limits<double>::infinity();
  const std::size_t edges = loop.points.size() - (loop.open ? 1 : 0);
  for (std::size_t i = 0; i < edges; ++i) {
    const Point near = nearest_on_segment(p, loop.points[i], loop.points[(i + 1) % loop.points.size()]);
    if (distance(p, near) < least) least = distance(p, near), best = near;
  }
  return best;
}

// Where a line that goes on straight meets the loop, not farther than reach_px to either side.
std::optional<Point> straight_on(const Loop& loop, Point from, Point along, double reach_px) {
  std::optional<Point> best;
  double least = reach_px;
  const std::size_t edges = loop.points.size() - (loop.open ? 1 : 0);
  for (std::size_t i = 0; i < edges; ++i) {
    const Point a = loop.points[i], b = loop.points[(i + 1) % loop.points.size()];
    const double s = cross(along, a - from), t = cross(along, b - from);
    if (s * t > 0 || s == t) continue;
    const Point at = a + (s / (s - t)) * (b - a);
    if (std::abs(dot(at - from, along)) < least) least = std::abs(dot(at - from, along)), best = at;
  }
  return best;
}

// Where the ends of a junction, going on straight, come nearest to one another.
Point meeting_place(const Loops& loops, const std::vector<EndOf>& ends) {
  constexpr double along_weight = 0.02;  // an end says across its line where the place is, and little along it
  double xx = 0, xy = 0, yy = 0, x = 0, y = 0, apart_px = 0;
  Point middle;
  for (const EndOf& e : ends) middle = middle + (1 / double(ends.size())) * place_of(loops, e);
  for (const EndOf& e : ends) {
    const Point at = place_of(loops, e), along = onwards(loops, e);
    apart_px = std::max(apart_px, distance(at, middle));
    for (const auto& [n, weight] : {std::pair(left_of(along), 1.0), std::pair(along, along_weight)}) {
      xx += weight * n.x * n.x, xy += weight * n.x * n.y, yy += weight * n.y * n.y;
      x += weight * dot(at, n) * n.x, y += weight * dot(at, n) * n.y;
    }
  }
  const double det = xx * yy - xy * xy;
  if (!(det > 0)) return middle;
  const Point p{(yy * x - xy * y) / det, (xx * y - xy * x) / det};
  return distance(p, middle) <= 1.5 * apart_px ? p : middle;
}

Point place_for(const Loops& loops, const std::vector<EndOf>& ends) {
  const Point p = ends.size() > 1 ? meeting_place(loops, ends) : place_of(loops, ends[0]);
  for (const EndOf& e : ends) {
    const int on = end_of(loops, e).on_loop;
    if (!is_curve(loops, on) || std::size_t(on) == e.loop) continue;
    const Loop& curve = loops.loops[std::size_t(on)];
    const Point nearest = nearest_on(curve, p);
    if (ends.size() > 1) return nearest;
    const double reach_px = 1.5 * distance(nearest, p) + 0.5 * width_of(loops, e);
    return straight_on(curve, p, onwards(loops, e), reach_px).value_or(nearest);
  }
  return p;
}

// The points of a line that ends at `to` instead: led on, or cut back to where it passes nearest.
std::vector<Point> led_to(std::vector<Point> points, Point to, double back_px) {
  const std::size_t before = points.size();
  std::size_t nearest = before - 1;
  for (std::size_t i = points.size(); i-- > 1 && distance(points[i], points.back()) <= back_px;)
    if (distance(points[i], to) < distance(points[nearest], to)) nearest = i;
  points.resize(std::max<std::size_t>(nearest, 1) + 1);
  if (points.size() > 2 && nearest + 1 < before &&
      dot(to - points.back(), points.back() - points[points.size() - 2]) < 0)
    points.pop_back();  // the nearest point lies behind the place: no step back
  const Point from = points.back();
  const int steps = std::max(1, int(distance(from, to)));
  for (int i = 1; i <= steps; ++i) points.push_back(from + (double(i) / steps) * (to - from));
  points.back() = to;
  const std::size_t last = points.size() - 1;
  if (points[last - 1] == points[last]) points.pop_back();
  return points;
}

bool is_loose(const Loops& loops, const std::vector<EndOf>& ends, Point to) {
  return std::any_of(ends.begin(), ends.end(),
                     [&](const EndOf& e) { return distance(place_of(loops, e), to) > same_place_px; });
}

}  // namespace

bool has_loose_ends(const Loops& loops) {
  const auto groups = groups_of(loops);
  return std::any_of(groups.begin(), groups.end(), [&](const auto& ends) {
    return is_loose(loops, ends, ends.size() > 1 ? place_of(loops, ends[0]) : place_for(loops, ends));
  });
}

Loops lead_ends(const Loops& located) {
  Loops out = located;
  const std::vector<char> borders = which_are_borders(located.areas, located.loops.size());
  for (const std::vector<EndOf>& ends : groups_of(located)) {
    // Ends that lie at one place already are left there, on a curve or not.
    const bool together = ends.size() > 1 && !is_loose(located, ends, place_of(located, ends[0]));
    const Point to = together ? place_of(located, ends[0]) : place_for(located, ends);
    for (const EndOf& e : ends) {
      const double gap_px = distance(place_of(located, e), to);
      if (gap_px <= same_place_px) continue;
      std::vector<Point>& points = out.loops[e.loop].points;
      std::vector<Point> led;
      if (gap_px <= reach_widths * width_of(located, e) && points.size() > 1) {
        led = points;
        if (!e.at_end) std::reverse(led.begin(), led.end());
        led = led_to(std::move(led), to, 2 * gap_px);
        if (!e.at_end) std::reverse(led.begin(), led.end());
      }
      // Too far off; or a short line both of whose ends were said to end there, of which a point would be left. Borders
      // of areas have to meet, and join_ends sees to that.
      if (open_length_px(led) < least_line_px) {
        if (!borders[e.loop]) (e.at_end ? out.loops[e.loop].end : out.loops[e.loop].start) = {};
        continue;
      }
      points = std::move(led);
    }
  }
  return out;
}

}  // namespace batten
