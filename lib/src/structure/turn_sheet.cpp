#include "structure/turn_sheet.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

struct Rotation {
  Point middle;
  double cosine = 1, sine = 0;
  Point vector(Point v) const { return {cosine * v.x - sine * v.y, sine * v.x + cosine * v.y}; }
  Point place(Point p) const { return middle + vector(p - middle); }
};

Point middle_of(const SpacedLoops& loops) {
  Point lo{1e300, 1e300}, hi{-1e300, -1e300};
  for (const SpacedLoop& l : loops.loops)
    for (Point p : l.curve.points)
      lo = {std::min(lo.x, p.x), std::min(lo.y, p.y)}, hi = {std::max(hi.x, p.x), std::max(hi.y, p.y)};
  return loops.loops.empty() ? Point{} : 0.5 * (lo + hi);
}

}  // namespace

TurnedSheet turn_sheet(const SpacedLoops& loops, const Corners& corners, const std::vector<Guide>& guides, double deg) {
  const Rotation t{middle_of(loops), std::cos(radians(deg)), std::sin(radians(deg))};
  TurnedSheet out{loops, corners, {}, t.middle};
  for (SpacedLoop& l : out.loops.loops)
    for (Point& p : l.curve.points) p = t.place(p);
  for (ArcLoop& l : out.corners.relocated)
    for (Point& p : l.points) p = t.place(p);
  for (auto& loop : out.corners.of_loop)
    for (Corner& c : loop) c.apex = t.place(c.apex), c.into = t.vector(c.into), c.out_of = t.vector(c.out_of);
  for (const Guide& g : guides) {
    const Point a = t.place({t.middle.x, g.y0_px + g.slope * t.middle.x}), along = t.vector({1, g.slope});
    if (std::abs(along.x) < 1e-6) continue;
    out.guides.push_back({a.y - along.y / along.x * a.x, along.y / along.x});
  }
  return out;
}

std::vector<Pin> turn_pins(const std::vector<Pin>& pins, Point middle, double deg) {
  const Rotation t{middle, std::cos(radians(deg)), std::sin(radians(deg))};
  std::vector<Pin> out = pins;
  for (Pin& pin : out)
    for (Point& p : pin.places) p = t.place(p);
  return out;
}

}  // namespace batten
