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
  std::size_t node;
  Point at;
  double arc, zone_px, turn_deg;
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
    out.push_back({i, at, arc, corner_zone_px(loop, turn_deg), turn_deg});
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
  double hidden_px;  // the largest of the group's corners'
};

double half_inner_rad(double turn_deg) { return 0.5 * radians(std::max(1.0, 180 - turn_deg)); }

// How far a corner may lie off its arms before that says anything. Two bands of width W run together within W / 2 over
// the sine of half their angle from where their middles meet, and neither side shows by itself there. Half a width is
// seven times the deviation of a pencil line; what is known better is hidden by less.
double hidden_px(const SpacedLoop& loop, double turn_deg) {
  constexpr double half_width_sigmas = 7;
  if (loop.exact()) return 0;
  return half_width_sigmas * loop.known_sigma_px.value_or(loop.sigma_px) / std::sin(half_inner_rad(turn_deg));
}

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
    double hidden = hidden_px(loop, corners[i].turn_deg);
    while (gap[last % n] < least) ++last, hidden = std::max(hidden, hidden_px(loop, corners[last % n].turn_deg));
    out.push_back({corners[i], corners[last % n], gap[(i + n - 1) % n], gap[last % n], hidden});
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

// How nearly the place of a corner is known, one standard deviation. Of 2100 corners that six simulated hands and
// another simulation drew, outlines lie 0.13 widths over the sine of half the angle off the truth there, at acute ones
// 0.45; a width is 14 deviations of its line.
double hidden_sigma_px(const SpacedLoop& loop, double turn_deg) {
  constexpr double straight_on = 0.13, most = 0.45, sigmas = 14;
  const double sigma_px = loop.known_sigma_px.value_or(loop.sigma_px);
  return sigmas * sigma_px * std::min(most, straight_on / std::sin(half_inner_rad(turn_deg)));
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

// The outline in points, sixteen of each segment, from its first node on.
class Drawn {
 public:
  explicit Drawn(const Outline& outline) : closed_(outline.closed) {
    for (std::size_t i = 0; i < outline.segment_count(); ++i)
      for (int k = 0; k < each; ++k) points_.push_back(evaluate(outline.segment(i), k / double(each)));
    if (!outline.nodes.empty()) points_.push_back(closed_ ? points_.front() : outline.nodes.back().at);
  }
  const std::vector<Point>& points() const { return points_; }

  // Its points from within before_px of one node to within after_px of another, the way the outline runs.
  std::vector<Point> stretch(std::size_t from_node, double before_px, std::size_t to_node, double after_px) const {
    std::vector<Point> out;
    const std::ptrdiff_t n = std::ptrdiff_t(points_.size()) - 1, from = std::ptrdiff_t(from_node) * each;
    const auto at = [&](std::ptrdiff_t i) { return points_[std::size_t(closed_ ? ((i % n) + n) % n : i)]; };
    std::ptrdiff_t first = from, last = std::ptrdiff_t(to_node) * each;
    if (closed_ && last < first) last += n;
    const auto may_go_to = [&](std::ptrdiff_t i) { return closed_ ? last - first < n - 1 : i >= 0 && i <= n; };
    for (double way = 0; may_go_to(first - 1); --first)
      if ((way += distance(at(first), at(first - 1))) > before_px) break;
    for (double way = 0; may_go_to(last + 1); ++last)
      if ((way += distance(at(last), at(last + 1))) > after_px) break;
    for (std::ptrdiff_t i = first; i <= last; ++i) out.push_back(at(i));
    if (out.empty()) out.push_back(at(first));  // an open line that runs the other way
    return out;
  }

 private:
  static constexpr int each = 16;
  bool closed_;
  std::vector<Point> points_;
};

double length_px(const std::vector<Point>& line) {
  double length = 0;
  for (std::size_t i = 1; i < line.size(); ++i) length += distance(line[i - 1], line[i]);
  return length;
}

// What the bands hide at a group of corners is not measured: there the outline itself counts as where the line ran.
// Empty where the outline lies farther off its arms than they hide.
std::vector<Point> hidden_stretch(const SpacedLoop& loop, const CornerGroup& g, const ArmEnds& arms,
                                  const Drawn& drawn) {
  if (!(g.hidden_px > 0)) return {};
  const std::vector<Point> sides{loop.curve.at(arms.from), arms.in, arms.out,
                                 loop.curve.at(arms.from + arms.length_px)};
  if (apart_px(sides, {g.first.at, g.last.at}, drawn.points()) > g.hidden_px) return {};
  // It may run against the loop, and then the way from the first corner to the last leads round all the rest.
  std::vector<Point> along = drawn.stretch(g.first.node, g.first.zone_px, g.last.node, g.last.zone_px);
  std::vector<Point> against = drawn.stretch(g.last.node, g.last.zone_px, g.first.node, g.first.zone_px);
  std::reverse(against.begin(), against.end());
  const auto misfit_px = [&](const std::vector<Point>& p) {
    return distance(p.front(), sides.front()) + distance(p.back(), sides.back()) +
           std::abs(length_px(p) - arms.length_px);
  };
  std::vector<Point>* best = misfit_px(along) <= misfit_px(against) ? &along : &against;
  if (misfit_px(*best) > arms.length_px + 2 * loop.scale_px) return {};  // it takes another way here
  return std::move(*best);
}

// A line that was said to end on a curve, or where others end, leads on to there: locating it may end beside the band
// of the other. No farther than such a band explains.
bool leads_on_to(const SpacedLoop& loop, const LineEnd& end, Point located, Point delivered) {
  const bool said = end.on_loop >= 0 || end.junction >= 0;
  return said && distance(located, delivered) <= loop.band_px + 2 * loop.limit_px;
}

}  // namespace

Reference reference_loop(const SpacedLoop& loop, const Outline& outline, bool leave_out_hidden) {
  Reference out;
  std::vector<std::pair<double, Point>> points;  // by arc
  std::vector<char> dropped(loop.curve.size(), 0);
  const Drawn drawn(loop.kind == Kind::line || leave_out_hidden ? outline : Outline{});
  const std::vector<RoundedCorner> corners = rounded_corners(loop, outline);
  for (const CornerGroup& g : groups_of(loop, corners)) {
    const ArmEnds arms = arms_of(loop, g);
    if (follows_line(loop, g, arms, drawn.points())) continue;
    for (double u = 0; u <= arms.length_px; u += loop.curve.step_px)
      dropped[loop.curve.index(std::ptrdiff_t(std::lround((arms.from + u) / loop.curve.step_px)))] = 1;
    const double middle = loop.curve.wrap(arms.from + 0.5 * arms.length_px);
    std::vector<Point> between;
    if (leave_out_hidden) between = hidden_stretch(loop, g, arms, drawn);
    out.hidden_px += length_px(between);
    if (between.empty()) between = {arms.in, arms.out};
    for (const Point at : between) points.emplace_back(middle, at);
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
  for (const RoundedCorner& c : corners)
    if (!loop.exact()) out.hidden.push_back({c.node, hidden_sigma_px(loop, c.turn_deg)});
  std::sort(out.hidden.begin(), out.hidden.end(),
            [](const HiddenCorner& a, const HiddenCorner& b) { return a.node < b.node; });
  return out;
}

bool crosses_itself(const SpacedLoop& loop) {
  return loop.exact() && !loop.open() && polygon_crosses_itself(loop.curve.points);
}

}  // namespace batten
