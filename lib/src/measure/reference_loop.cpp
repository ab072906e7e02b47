#include "measure/reference_loop.h"

#include <algorithm>
#include <cmath>

#include "base/cubic.h"
#include "base/polyline.h"
#include "corners/find_corners.h"
#include "measure/measure_crossings.h"

namespace batten {
namespace {

// A corner of the outline, and how much of the loop beside it is rounded.
struct RoundedCorner {
  Point at;
  double arc, zone_px;
};

double turn_deg_at(const Outline& o, std::size_t i) {
  const std::size_t before = i ? i - 1 : o.nodes.size() - 1;
  const Cubic in = o.segment(before), out = o.segment(i);
  Point a = in[3] - in[2], b = out[1] - out[0];
  if (norm2(a) < 1e-12) a = in[3] - in[0];
  if (norm2(b) < 1e-12) b = out[3] - out[0];
  return std::abs(degrees(turn_between(a, b)));
}

// Corners that lie no farther off the loop than rounding and straying strokes explain, in order along it. What lies
// farther is measured against the loop as it is.
std::vector<RoundedCorner> rounded_corners(const SpacedLoop& loop, const Outline& outline) {
  std::vector<RoundedCorner> out;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i) {
    const bool is_end = !outline.closed && (i == 0 || i + 1 == outline.nodes.size());
    if (outline.nodes[i].smooth || is_end) continue;
    const Point at = outline.nodes[i].at;
    double arc = 0, best = 1e300;
    for (std::size_t k = 0; k < loop.curve.drawn_count(); ++k) {
      const double d2 = norm2(loop.curve.points[k] - at);
      if (d2 < best) best = d2, arc = double(k) * loop.curve.step_px;
    }
    const double turn_deg = turn_deg_at(outline, i), farthest_px = farthest_apex_px(loop, turn_deg);
    const double refined = nearest_arc(loop.curve, at, arc, 2 * loop.curve.step_px);
    if (!loop.open() || refined <= loop.curve.line_px) arc = refined;  // else it left the line at its end
    if (best >= farthest_px * farthest_px) continue;
    out.push_back({at, arc, corner_zone_px(loop, turn_deg)});
    // Half of what is left of an open line stays what it is judged against.
    if (loop.open()) out.back().zone_px = std::min(out.back().zone_px, 0.5 * std::min(arc, loop.curve.line_px - arc));
  }
  std::sort(out.begin(), out.end(), [](const RoundedCorner& a, const RoundedCorner& b) { return a.arc < b.arc; });
  return out;
}

// Corners whose zones leave no loop between them to read an arm from, and the lengths of loop free before and after
// them.
struct CornerGroup {
  RoundedCorner first, last;
  double before_px, after_px;
};

std::vector<CornerGroup> groups_of(const SpacedLoop& loop, const std::vector<RoundedCorner>& corners) {
  const std::size_t n = corners.size();
  std::vector<double> gap(n, loop.curve.length_px());  // from each corner's zone to the next one's
  for (std::size_t i = 0; i < n && n > 1; ++i) {
    const RoundedCorner &a = corners[i], &b = corners[(i + 1) % n];
    gap[i] = loop.curve.ahead(a.arc, b.arc) - a.zone_px - b.zone_px;
  }
  // An open line is free up to its ends.
  if (loop.open() && n > 0) gap[n - 1] = loop.curve.length_px();
  const double least = std::max(2.0, 0.5 * loop.scale_px);
  std::vector<CornerGroup> out;
  for (std::size_t i = 0; i < n; ++i) {
    if (n > 1 && gap[(i + n - 1) % n] < least) continue;  // not the first of its group
    std::size_t last = i;
    while (gap[last % n] < least) ++last;
    out.push_back({corners[i], corners[last % n], gap[(i + n - 1) % n], gap[last % n]});
    CornerGroup& g = out.back();
    if (loop.open()) {
      g.before_px = std::min(g.before_px, std::max(least, g.first.arc - g.first.zone_px));
      g.after_px = std::min(g.after_px, std::max(least, loop.curve.line_px - g.last.arc - g.last.zone_px));
    }
  }
  return out;
}

// The two arms beside a group of corners, each continued along its own direction as far as the corner it leads to, and
// not past the other arm. The corner need not reach the place where they meet: at an acute tip, or beyond a short side,
// that may lie many px away from the ink.
struct ArmEnds {
  double from, length_px;  // the stretch of loop that they replace
  Point in, out;           // where they end
};

ArmEnds arms_of(const SpacedLoop& loop, const CornerGroup& g) {
  const double window = std::max(4.0, 2 * loop.scale_px);
  const double from = g.first.arc - g.first.zone_px, to = g.last.arc + g.last.zone_px;
  const LocalFit in = local_quadratic(loop.curve, from - std::min(window, g.before_px), from, from);
  const LocalFit out = local_quadratic(loop.curve, to, to + std::min(window, g.after_px), to);
  double on_in = std::max(0.0, dot(g.first.at - in.at, in.tangent));
  double on_out = std::max(0.0, dot(out.at - g.last.at, out.tangent));
  const double den = cross(in.tangent, out.tangent);
  if (std::abs(den) > 0.1) {  // sine of 6 degrees: below it no place where they meet can be told
    const double meet_in = cross(out.at - in.at, out.tangent) / den,
                 meet_out = cross(out.at - in.at, in.tangent) / -den;
    if (meet_in > 0 && meet_out > 0) on_in = std::min(on_in, meet_in), on_out = std::min(on_out, meet_out);
  }
  return {from, loop.curve.ahead(g.first.arc, g.last.arc) + g.first.zone_px + g.last.zone_px,
          in.at + on_in * in.tangent, out.at - on_out * out.tangent};
}

double off_px(Point p, const std::vector<Point>& line) {
  double least2 = norm2(p - line.front());
  for (std::size_t i = 1; i < line.size(); ++i)
    least2 = std::min(least2, norm2(p - nearest_on_segment(p, line[i - 1], line[i])));
  return std::sqrt(least2);
}

// How far the outline is from one reading of a group of corners, both ways: its nodes there, and the points of the
// reading.
double apart_px(const std::vector<Point>& reading, const std::vector<Point>& corners, const std::vector<Point>& drawn) {
  double most = 0;
  for (const Point at : corners) most = std::max(most, off_px(at, reading));
  for (const Point p : reading) most = std::max(most, off_px(p, drawn));
  return most;
}

// Arms of written lines are short and bend, and where they meet may lie anywhere: there the line as it was located is
// as good a reading of the corner, and the outline is measured against the one that it follows.
bool follows_line(const SpacedLoop& loop, const CornerGroup& g, const ArmEnds& arms, const std::vector<Point>& drawn) {
  if (loop.kind != Kind::line) return false;
  std::vector<Point> located;
  for (double u = 0; u <= arms.length_px; u += loop.curve.step_px) located.push_back(loop.curve.at(arms.from + u));
  if (located.empty()) return false;
  const std::vector<Point> sides{located.front(), arms.in, arms.out, located.back()};
  const std::vector<Point> corners{g.first.at, g.last.at};
  return apart_px(located, corners, drawn) < apart_px(sides, corners, drawn);
}

// A line that was said to end on a curve, or where others end, leads on to there: locating it may end beside the band
// of the other. No farther than such a band explains.
bool leads_on_to(const SpacedLoop& loop, const LineEnd& end, Point located, Point delivered) {
  const bool said = end.on_loop >= 0 || end.junction >= 0;
  return said && distance(located, delivered) <= loop.band_px + 2 * loop.limit_px;
}

}  // namespace

Reference reference_loop(const SpacedLoop& loop, const Outline& outline) {
  Reference out;
  std::vector<std::pair<double, Point>> points;  // by arc
  std::vector<char> dropped(loop.curve.size(), 0);
  std::vector<Point> drawn;
  if (loop.kind == Kind::line)
    for (std::size_t i = 0; i < outline.segment_count(); ++i)
      for (int k = 0; k <= 16; ++k) drawn.push_back(evaluate(outline.segment(i), k / 16.));
  for (const CornerGroup& g : groups_of(loop, rounded_corners(loop, outline))) {
    const ArmEnds arms = arms_of(loop, g);
    if (follows_line(loop, g, arms, drawn)) continue;
    for (double u = 0; u <= arms.length_px; u += loop.curve.step_px)
      dropped[loop.curve.index(std::ptrdiff_t(std::lround((arms.from + u) / loop.curve.step_px)))] = 1;
    const double middle = loop.curve.wrap(arms.from + 0.5 * arms.length_px);
    points.emplace_back(middle, arms.in);
    points.emplace_back(middle, arms.out);
  }
  for (std::size_t i = 0; i < loop.curve.drawn_count(); ++i) {
    if (!dropped[i])
      points.emplace_back(double(i) * loop.curve.step_px, loop.curve.points[i]);
    else
      out.replaced_px += loop.curve.step_px;
  }
  std::stable_sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  const bool line = loop.open() && !outline.closed && !outline.nodes.empty();
  const auto lead_on = [&](const LineEnd& end, double arc, Point to) {
    if (line && leads_on_to(loop, end, loop.curve.at(arc), to)) out.points.push_back(to);
  };
  lead_on(loop.start, 0, outline.nodes.empty() ? Point{} : outline.nodes.front().at);
  for (const auto& p : points) out.points.push_back(p.second);
  lead_on(loop.end, loop.curve.line_px, outline.nodes.empty() ? Point{} : outline.nodes.back().at);
  return out;
}

bool crosses_itself(const SpacedLoop& loop) {
  return loop.exact() && !loop.open() && polygon_crosses_itself(loop.curve.points);
}

}  // namespace batten
