// Order: one drawing beside another. Standard measure, both ways.

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/cubic.h"
#include "batten/measure.h"
#include "judge/match_outlines.h"
#include "judge/name_nodes.h"

namespace batten {
namespace {

std::vector<Point> polyline_of(const Outline& o) {
  constexpr double step_px = 0.5;
  std::vector<Point> points;
  for (std::size_t i = 0; i < o.segment_count(); ++i) {
    const Cubic c = o.segment(i);
    const double steps = std::clamp(std::ceil(length(c) / step_px), 1.0, 1e4);
    for (double k = 0; k < steps; ++k)
      points.push_back(o.is_straight(i) ? c[0] + (k / steps) * (c[3] - c[0]) : evaluate(c, k / steps));
  }
  if (!o.closed) points.push_back(o.nodes.back().at);
  return points;
}

std::vector<Point> corners_of(const Outline& o) {
  std::vector<Point> corners;
  const std::size_t ends = o.closed ? 0 : 1;  // of a line are no corners
  for (std::size_t i = ends; i + ends < o.nodes.size(); ++i)
    if (turn_deg_at(o, i) >= corner_turn_deg) corners.push_back(o.nodes[i].at);
  return corners;
}

void compare_corners(const Outline& outline, const Outline& truth, Comparison& out) {
  constexpr double reach_px = 5;
  std::vector<Point> own = corners_of(outline);
  for (const Point p : corners_of(truth)) {
    const auto near =
        std::min_element(own.begin(), own.end(), [&](Point a, Point b) { return distance(a, p) < distance(b, p); });
    if (near == own.end() || distance(*near, p) > reach_px) {
      ++out.corners_missing;
      continue;
    }
    ++out.corners_found;
    own.erase(near);
  }
  out.corners_extra += own.size();
}

}  // namespace

Comparison compare(const Drawing& drawing, const Drawing& truth) {
  std::vector<std::vector<Point>> polylines;
  std::vector<char> open;
  for (const Outline& o : truth.outlines) polylines.push_back(polyline_of(o)), open.push_back(!o.closed);
  constexpr double most_px = 12;  // mean distance: more than any hand would call the same outline
  const std::vector<int> match = match_outlines(drawing.outlines, polylines, most_px, open);
  Comparison out;
  double sum = 0, total = 0;
  std::vector<DistanceSample> samples;
  for (std::size_t i = 0; i < match.size(); ++i) {
    if (match[i] < 0) {
      ++out.extra;
      continue;
    }
    const Outline &o = drawing.outlines[i], &right = truth.outlines[std::size_t(match[i])];
    double length_px = 0;
    for (std::size_t k = 0; k < right.segment_count(); ++k) length_px += length(right.segment(k));
    // Outlines may be as large as they like here, and still take no more time than those of the largest scans.
    constexpr double step_px = 0.25, most_samples = 1e6;
    const Deviation d =
        measure(o, polylines[std::size_t(match[i])], std::max(step_px, length_px / most_samples), &samples);
    ++out.outlines;
    out.segments += o.segment_count(), out.truth_segments += right.segment_count();
    if (d.max_px >= out.max_px) out.max_px = d.max_px, out.worst = d.worst;
    sum += d.rms_px * d.rms_px * length_px, total += length_px;
    compare_corners(o, right, out);
  }
  out.missing = truth.outlines.size() - out.outlines;
  out.rms_px = total > 0 ? std::sqrt(sum / total) : 0;
  out.p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
  if (out.outlines == 0)  // figures of nothing are no numbers
    out.max_px = out.rms_px = out.p95_px = std::numeric_limits<double>::infinity();
  return out;
}

}  // namespace batten
