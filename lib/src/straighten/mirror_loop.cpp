#include "straighten/mirror_loop.h"

#include <algorithm>
#include <cmath>

#include "base/loop_index.h"

namespace batten {
namespace {

Point image_of(Point p, double axis_x) { return {2 * axis_x - p.x, p.y}; }

// The centroid of a polygon's area (Green's theorem).
double centroid_x(const std::vector<Point>& p) {
  const Point origin = p[0];  // cancellation is least near the shape itself
  double moment = 0, twice_area = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Point a = p[i] - origin, b = p[(i + 1) % p.size()] - origin;
    const double c = cross(a, b);
    twice_area += c, moment += c * (a.x + b.x);
  }
  return twice_area != 0 ? origin.x + moment / (3 * twice_area) : origin.x;
}

// Arcs where the loop passes from one side to the other; runs of points within slack_px of the line are one passing.
std::vector<double> crossings(const ArcLoop& loop, double axis_x, double slack_px) {
  const auto side = [&](std::size_t i) {
    const double off = loop.points[i].x - axis_x;
    return off > slack_px ? 1 : off < -slack_px ? -1 : 0;
  };
  const std::size_t n = loop.size();
  std::size_t start = 0;
  while (start < n && side(start) == 0) ++start;
  std::vector<double> out;
  if (start == n) return out;
  int last = side(start);
  std::size_t last_at = start;
  for (std::size_t k = 1; k <= n; ++k) {
    const std::size_t i = (start + k) % n;
    const int s = side(i);
    if (s == 0) continue;
    if (s != last) {
      const double from = double(last_at) * loop.step_px;
      out.push_back(loop.wrap(from + 0.5 * loop.ahead(from, double(i) * loop.step_px)));
    }
    last = s, last_at = i;
  }
  return out;
}

constexpr double crossing_slack_px = 0.5;  // two points of a loop at its usual step

Reason image_of(Reason r) {
  return r == Reason::extreme_left ? Reason::extreme_right : r == Reason::extreme_right ? Reason::extreme_left : r;
}

// Mirrored and walked the other way: the direction of travel (cos, sin) becomes (cos, -sin).
DraftNode image_of(const DraftNode& j, double axis_x) {
  DraftNode out = j;
  out.at = image_of(j.at, axis_x), out.anchor = image_of(j.anchor, axis_x);
  out.angle = -j.angle, out.reason = image_of(j.reason);
  return out;
}

DraftSegment image_of(const DraftSegment& p) {
  DraftSegment out = p;
  out.start.handle_px = p.end.handle_px, out.end.handle_px = p.start.handle_px, out.start.angle_rad = -p.end.angle_rad,
  out.end.angle_rad = -p.start.angle_rad;
  out.start.on_axis = p.end.on_axis, out.end.on_axis = p.start.on_axis;
  return out;
}

// The node at a crossing: a corner moved onto the line, or a level extreme. Nothing where no node is near.
std::optional<DraftNode> on_axis(const SpacedLoop& loop, const DraftLoop& d, double arc, double axis_x) {
  const double near_px = std::max(2.0, 0.5 * loop.scale_px);
  const DraftNode* best = nullptr;
  double best_off = near_px;
  for (const DraftNode& j : d.nodes)
    if (const double off = std::abs(j.at.x - axis_x);
        off < best_off && std::abs(loop.curve.way(arc, j.arc)) < 4 * near_px)
      best = &j, best_off = off;
  // A smooth node further along a round top: the highest place of a mirror image lies on the line all the same.
  for (const DraftNode& j : d.nodes)
    if (!best && !j.corner && (j.reason == Reason::extreme_top || j.reason == Reason::extreme_bottom) &&
        std::abs(loop.curve.way(arc, j.arc)) < 2 * loop.scale_px + 8 * loop.limit_px)
      best = &j;
  if (!best) return std::nullopt;
  DraftNode out = *best;
  out.at.x = out.anchor.x = axis_x;
  if (!out.corner) out.angle = axis_angle(out.angle), out.angle_fixed = true;
  return out;
}

}  // namespace

std::optional<double> mirror_axis_x(const SpacedLoop& loop, double allowed_px) {
  const double axis_x = centroid_x(loop.curve.points);
  if (crossings(loop.curve, axis_x, crossing_slack_px).size() != 2) return std::nullopt;
  const LoopIndex index({&loop.curve}, loop.curve.step_px, std::max(2.0, 2 * allowed_px));
  for (std::size_t i = 0; i < loop.curve.size(); i += 4)
    if (index.nearest(image_of(loop.curve.points[i], axis_x), 2 * allowed_px).loop < 0) return std::nullopt;
  return axis_x;
}

std::optional<DraftLoop> mirrored_half(const SpacedLoop& loop, const DraftLoop& d, double axis_x, bool left) {
  const std::vector<double> cut = crossings(loop.curve, axis_x, crossing_slack_px);
  if (cut.size() != 2) return std::nullopt;
  // The half begins at the crossing behind which the travel is on its side.
  const Point behind = loop.curve.at(cut[0] + 0.5 * loop.curve.ahead(cut[0], cut[1]));
  const bool first = (behind.x < axis_x) == left;
  const double from = cut[first ? 0 : 1], to = cut[first ? 1 : 0], way = loop.curve.ahead(from, to);
  std::optional<DraftNode> begin = on_axis(loop, d, from, axis_x), end = on_axis(loop, d, to, axis_x);
  std::vector<std::size_t> kept;
  const double room = 0.25 * loop.scale_px;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const DraftNode& j = d.nodes[i];
    const bool is_axis = (begin && j.arc == begin->arc) || (end && j.arc == end->arc);
    const double off = (j.at.x - axis_x) * (left ? -1 : 1);
    if (!is_axis && off > room && loop.curve.ahead(from, j.arc) < way) kept.push_back(i);
  }
  std::sort(kept.begin(), kept.end(), [&](std::size_t a, std::size_t b) {
    return loop.curve.ahead(from, d.nodes[a].arc) < loop.curve.ahead(from, d.nodes[b].arc);
  });
  if (kept.empty()) return std::nullopt;
  const auto leaving = [&](std::size_t i) { return d.segments[i]; };
  const auto arriving = [&](std::size_t i) { return d.segments[d.previous(i)]; };
  // A straight across the line needs no node there; one that bends there is none.
  const auto spare = [&](std::optional<DraftNode>* axis, const DraftSegment& beside) {
    if (!*axis || (*axis)->corner || !beside.straight) return true;
    axis->reset();
    return beside.level;
  };
  if (!spare(&begin, arriving(kept.front())) || !spare(&end, leaving(kept.back()))) return std::nullopt;
  DraftLoop out;
  const auto add = [&](const DraftNode& j, const DraftSegment& p) {
    out.nodes.push_back(j), out.segments.push_back(p);
  };
  // A segment that crosses the line without a node there is its own image.
  const auto self_image = [](DraftSegment p) {
    p.end.handle_px = p.start.handle_px, p.end.angle_rad = -p.start.angle_rad, p.end.on_axis = p.start.on_axis;
    return p;
  };
  const DraftSegment across_begin = image_of(self_image(image_of(arriving(kept.front()))));
  if (begin) add(*begin, arriving(kept.front()));
  for (std::size_t k = 0; k < kept.size(); ++k)
    add(d.nodes[kept[k]], k + 1 == kept.size() && !end ? self_image(leaving(kept[k])) : leaving(kept[k]));
  if (end) add(*end, image_of(leaving(kept.back())));
  for (std::size_t k = kept.size(); k-- > 0;) {
    const bool last = k == 0 && !begin;
    add(image_of(d.nodes[kept[k]], axis_x), last ? across_begin : image_of(arriving(kept[k])));
  }
  if (out.size() < 2) return std::nullopt;
  for (DraftNode& j : out.nodes) {
    double best = 1e300;
    for (std::size_t i = 0; i < loop.curve.size(); ++i) {
      const double off = norm2(loop.curve.points[i] - j.at);
      if (off < best) best = off, j.arc = double(i) * loop.curve.step_px;
    }
  }
  // Every node further along than the one before, once round in all.
  double total = 0;
  for (std::size_t i = 0; i < out.size(); ++i) total += loop.curve.ahead(out.nodes[i].arc, out.nodes[out.next(i)].arc);
  if (std::abs(total - loop.curve.length_px()) > 0.5) return std::nullopt;
  settle_angles(&out);
  return out;
}

}  // namespace batten
