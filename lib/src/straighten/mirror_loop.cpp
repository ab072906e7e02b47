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

// Arcs where the loop passes from one side to the other; a run of points on the line is one passing.
std::vector<double> crossings(const ArcLoop& loop, double axis_x) {
  constexpr double slack_px = 0.5;  // two points of a loop at its usual step
  std::vector<std::size_t> clear;
  for (std::size_t i = 0; i < loop.size(); ++i)
    if (std::abs(loop.points[i].x - axis_x) > slack_px) clear.push_back(i);
  std::vector<double> out;
  for (std::size_t k = 0; k < clear.size(); ++k) {
    const std::size_t a = clear[k], b = clear[(k + 1) % clear.size()];
    if ((loop.points[a].x > axis_x) == (loop.points[b].x > axis_x)) continue;
    const double from = double(a) * loop.step_px;
    out.push_back(loop.wrap(from + 0.5 * loop.ahead(from, double(b) * loop.step_px)));
  }
  return out;
}

Reason image_of(Reason r) {
  return r == Reason::extreme_left ? Reason::extreme_right : r == Reason::extreme_right ? Reason::extreme_left : r;
}

// Mirrored and walked the other way: the direction of travel (cos, sin) becomes (cos, -sin).
DraftNode image_of(DraftNode node, double axis_x) {
  node.at = image_of(node.at, axis_x), node.anchor = image_of(node.anchor, axis_x);
  node.angle = -node.angle, node.reason = image_of(node.reason);
  return node;
}

SegmentEnd image_of(const SegmentEnd& end) { return {end.handle_px, -end.angle_rad, end.on_axis}; }

DraftSegment image_of(DraftSegment segment) {
  const SegmentEnd start = segment.start;
  segment.start = image_of(segment.end), segment.end = image_of(start);
  return segment;
}

// The node at a crossing: a corner moved onto the line, or a level extreme. Nothing where no node is near.
std::optional<DraftNode> node_on_axis(const SpacedLoop& loop, const DraftLoop& d, double arc, double axis_x) {
  const double near_px = std::max(2.0, 0.5 * loop.scale_px);
  const DraftNode* best = nullptr;
  double best_off_px = near_px;
  for (const DraftNode& node : d.nodes)
    if (const double off_px = std::abs(node.at.x - axis_x);
        off_px < best_off_px && std::abs(loop.curve.signed_arc_px(arc, node.arc)) < 4 * near_px)
      best = &node, best_off_px = off_px;
  // A smooth node farther along a round top: the highest place of a mirror image lies on the line all the same.
  for (const DraftNode& node : d.nodes)
    if (!best && !node.corner && (node.reason == Reason::extreme_top || node.reason == Reason::extreme_bottom) &&
        std::abs(loop.curve.signed_arc_px(arc, node.arc)) < 2 * loop.scale_px + 8 * loop.limit_px)
      best = &node;
  if (!best) return std::nullopt;
  DraftNode out = *best;
  out.at.x = out.anchor.x = axis_x;
  if (!out.corner) out.angle = axis_angle(out.angle), out.angle_fixed = true;
  return out;
}

// One side of the line, in the order of travel.
struct LoopHalf {
  double from = 0, length_px = 0;       // its stretch of the loop
  std::optional<DraftNode> begin, end;  // nodes on the line, where there are any
};

// Its nodes beside the line.
std::vector<std::size_t> nodes_of(const LoopHalf& half, const SpacedLoop& loop, const DraftLoop& d, double axis_x,
                                  bool left) {
  const auto ahead_px = [&](std::size_t i) { return loop.curve.ahead(half.from, d.nodes[i].arc); };
  const double room_px = 0.25 * loop.scale_px;
  std::vector<std::size_t> out;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const DraftNode& node = d.nodes[i];
    const bool on_line = (half.begin && node.arc == half.begin->arc) || (half.end && node.arc == half.end->arc);
    const double off_px = (node.at.x - axis_x) * (left ? -1 : 1);
    if (!on_line && off_px > room_px && ahead_px(i) < half.length_px) out.push_back(i);
  }
  std::sort(out.begin(), out.end(), [&](std::size_t a, std::size_t b) { return ahead_px(a) < ahead_px(b); });
  return out;
}

// Finds the arcs of all nodes anew. False where they do not come one after another, once round in all.
bool find_arcs(const ArcLoop& curve, DraftLoop* d) {
  for (DraftNode& node : d->nodes) {
    const auto nearest = std::min_element(curve.points.begin(), curve.points.end(),
                                          [&](Point a, Point b) { return norm2(a - node.at) < norm2(b - node.at); });
    node.arc = double(nearest - curve.points.begin()) * curve.step_px;
  }
  double total_px = 0;
  for (std::size_t i = 0; i < d->size(); ++i) total_px += curve.ahead(d->nodes[i].arc, d->nodes[d->next(i)].arc);
  return std::abs(total_px - curve.length_px()) <= 0.5;
}

}  // namespace

std::optional<double> mirror_axis_x(const SpacedLoop& loop, double allowed_px) {
  const double axis_x = centroid_x(loop.curve.points);
  if (crossings(loop.curve, axis_x).size() != 2) return std::nullopt;
  const LoopIndex index({&loop.curve}, loop.curve.step_px, std::max(2.0, 2 * allowed_px));
  for (std::size_t i = 0; i < loop.curve.size(); i += 4)
    if (index.nearest(image_of(loop.curve.points[i], axis_x), 2 * allowed_px).loop < 0) return std::nullopt;
  return axis_x;
}

std::optional<DraftLoop> mirrored_half(const SpacedLoop& loop, const DraftLoop& d, double axis_x, bool left) {
  const std::vector<double> cut = crossings(loop.curve, axis_x);
  if (cut.size() != 2) return std::nullopt;
  // The half begins at the crossing behind which the travel is on its side.
  const Point behind = loop.curve.at(cut[0] + 0.5 * loop.curve.ahead(cut[0], cut[1]));
  const bool first = (behind.x < axis_x) == left;
  const double from = cut[first ? 0 : 1], to = cut[first ? 1 : 0];
  auto begin = node_on_axis(loop, d, from, axis_x), end = node_on_axis(loop, d, to, axis_x);
  const std::vector<std::size_t> kept = nodes_of({from, loop.curve.ahead(from, to), begin, end}, loop, d, axis_x, left);
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
  const auto add = [&](const DraftNode& node, const DraftSegment& segment) {
    out.nodes.push_back(node), out.segments.push_back(segment);
  };
  // A segment that crosses the line without a node there is its own image.
  DraftSegment first_image = image_of(arriving(kept.front())), last = leaving(kept.back());
  if (!begin) first_image.end = image_of(first_image.start);
  if (!end) last.end = image_of(last.start);
  if (begin) add(*begin, arriving(kept.front()));
  for (const std::size_t i : kept) add(d.nodes[i], i == kept.back() ? last : leaving(i));
  if (end) add(*end, image_of(leaving(kept.back())));
  for (std::size_t k = kept.size(); k-- > 0;)
    add(image_of(d.nodes[kept[k]], axis_x), k == 0 ? first_image : image_of(arriving(kept[k])));
  if (out.size() < 2 || !find_arcs(loop.curve, &out)) return std::nullopt;
  settle_angles(&out);
  return out;
}

}  // namespace batten
