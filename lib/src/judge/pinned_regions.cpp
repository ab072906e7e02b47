#include "judge/pinned_regions.h"

#include <algorithm>
#include <cmath>

#include "base/cubic.h"
#include "base/polyline.h"

namespace batten {
namespace {

constexpr int samples = 16;  // of each segment

PointBox box_of(const Cubic& c) {
  PointBox box;
  for (const Point p : c) box.add(p);
  return box;
}
double to_box_px(const PointBox& box, Point p) {
  return std::hypot(std::max({box.low.x - p.x, p.x - box.high.x, 0.0}),
                    std::max({box.low.y - p.y, p.y - box.high.y, 0.0}));
}
bool meet(const PointBox& a, const PointBox& b) {
  return a.low.x <= b.high.x && b.low.x <= a.high.x && a.low.y <= b.high.y && b.low.y <= a.high.y;
}
bool reaches(const Outline& o, const PointBox& box) {
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    if (meet(box_of(o.segment(i)), box)) return true;
  return false;
}

// From a place to an outline, or `most_px` where that is farther.
double distance_from(const Outline& o, Point place, double most_px = 1e9) {
  double px = most_px;
  for (std::size_t i = 0; i < o.segment_count(); ++i) {
    const Cubic c = o.segment(i);
    if (to_box_px(box_of(c), place) < px) px = std::min(px, distance(evaluate(c, FootFinder(c).foot(place).t), place));
  }
  return px;
}

Polyline sampled(const Outline& o) {
  Polyline out;
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    for (int k = 0; k < samples; ++k) out.push_back(evaluate(o.segment(i), double(k) / samples));
  if (!o.closed && !o.nodes.empty()) out.push_back(o.nodes.back().at);
  return out;
}

double share_inside(const Outline& o, const Polyline& polygon) {
  if (!reaches(o, box_of(polygon))) return 0;
  const Polyline points = sampled(o);
  if (points.empty()) return 0;
  return double(std::count_if(points.begin(), points.end(), [&](Point p) { return contains(polygon, p); })) /
         double(points.size());
}

// From a place to the border of a polygon.
double to_border_px(const Polyline& polygon, Point p) {
  double px = 1e9;
  for (std::size_t i = 0; i < polygon.size(); ++i)
    px = std::min(px, distance(p, nearest_on_segment(p, polygon[i], polygon[(i + 1) % polygon.size()])));
  return px;
}

// How deep an outline reaches into the polygon.
double reach_px(const Outline& o, const Polyline& polygon) {
  double deepest = 0;
  if (!reaches(o, box_of(polygon))) return deepest;
  for (const Point p : sampled(o))
    if (contains(polygon, p)) deepest = std::max(deepest, to_border_px(polygon, p));
  return deepest;
}

bool is_covered(const Drawing& drawing, Point p) {
  int inside = 0;
  for (const Outline& o : drawing.outlines) {
    if (o.kind == Kind::filled && contains(sampled(o), p)) ++inside;
    const double near_px = std::max(2.0, o.band_px);
    if (o.is_line() && distance_from(o, p, near_px) < near_px) return true;
  }
  return inside % 2 == 1;
}

bool is_kind(const Outline& o, Pin::Drawn drawn) {
  if (drawn == Pin::Drawn::shaded) return o.kind == Kind::filled;
  return drawn == Pin::Drawn::outlined ? o.kind == Kind::outlined : o.is_line() || o.kind == Kind::line;
}

}  // namespace

double distance_from_outlines(const Drawing& drawing, Point place) {
  double px = 1e9;
  for (const Outline& o : drawing.outlines) px = distance_from(o, place, px);
  return px;
}

int nearest_outline(const Drawing& drawing, Point place) {
  int best = -1;
  double nearest_px = 100;
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i)
    if (const double px = distance_from(drawing.outlines[i], place, nearest_px); px < nearest_px)
      nearest_px = px, best = int(i);
  return best;
}

RegionLook look_at_region(const Pin& pin, const Conversion& made) {
  const Drawing& drawing = made.drawing;
  const Point middle = 0.5 * (pin.places[0] + pin.places[1]);
  RegionLook out{true, 0};
  switch (pin.kind) {
    case Pin::Kind::ignore:
    case Pin::Kind::paper:
      for (const Outline& o : drawing.outlines) {
        const double px = reach_px(o, pin.places), allowed_px = std::max(2.0, o.band_px);
        if (px > allowed_px) out = {false, std::max(out.distance_px, px)};
      }
      return out;
    case Pin::Kind::ink: {
      Point sum;
      for (const Point p : pin.places) sum = sum + p;
      const Point centre = (1 / double(pin.places.size())) * sum;
      out.held = is_covered(drawing, centre);
      out.distance_px = out.held ? 0 : distance_from_outlines(drawing, centre);
      return out;
    }
    case Pin::Kind::drawn_as: {
      std::size_t all = 0;
      for (const Outline& o : drawing.outlines) {
        if (share_inside(o, pin.places) <= 0.5) continue;
        ++all;
        if (!is_kind(o, pin.drawn)) out.held = false;
      }
      out.held = out.held && all > 0;
      return out;
    }
    case Pin::Kind::tolerance:
      for (std::size_t i = 0; i < drawing.outlines.size() && i < made.report.outlines.size(); ++i) {
        if (share_inside(drawing.outlines[i], pin.places) <= 0.5) continue;
        const double px = made.report.outlines[i].max_px;
        if (px > pin.length_px) out = {false, std::max(out.distance_px, px)};
      }
      return out;
    case Pin::Kind::close_gap:
      out.distance_px = distance_from_outlines(drawing, middle);
      out.held = is_covered(drawing, middle) || out.distance_px <= 3;
      if (out.held) out.distance_px = 0;
      return out;
    default:  // keep apart: nothing runs across the middle of the cut
      out.held = !is_covered(drawing, middle) && distance_from_outlines(drawing, middle) > 1;
      return out;
  }
}

}  // namespace batten
