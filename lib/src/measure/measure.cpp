// The independent judge of a fit. Standard headers only; shares no code with the stages that make curves.
//
// 1. Sample the outline and the polyline densely (chain.h).
// 2. Match them coarsely (match_chains.h).
// 3. For each sample take the distance to the nearest edge of the other chain within a window about its matched
//    stretch, and sum these distances up.
#include "batten/measure.h"

#include <algorithm>

#include "measure/match_chains.h"

namespace batten {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// Farther away is no place on a sheet, and its squares and counts of samples would overflow.
bool is_place(Point a) {
  constexpr double largest_px = 1e9;
  return std::abs(a.x) <= largest_px && std::abs(a.y) <= largest_px;
}

/// The distance that 95 % of the length stays below; halves the range by weight until one sample is left.
template <class Sample>
double percentile95(std::vector<Sample>& samples) {
  double total = 0;
  for (const Sample& s : samples) total += s.weight_px;
  double above = 0.05 * total;  // weight that may lie above
  auto first = samples.begin(), last = samples.end();
  while (last - first > 1) {
    auto middle = first + (last - first) / 2;
    std::nth_element(first, middle, last,
                     [](const Sample& a, const Sample& b) { return a.distance_px < b.distance_px; });
    double upper = 0;
    for (auto s = middle; s != last; ++s) upper += s->weight_px;
    if (upper > above)
      first = middle;
    else
      above -= upper, last = middle;
  }
  return first->distance_px;
}

/// `located` is the polyline itself, `cut` the same with samples put on its edges.
Deviation compare(const Chain& outline, const Chain& located, const Chain& cut, std::vector<DistanceSample>* all) {
  const ChainMatching windows = match_chains(outline, located);
  Deviation result;
  std::vector<EdgeDistance> samples;
  samples.reserve(outline.size() + cut.size());
  result.worst = outline.points[0];
  add_distances(outline, located, windows.on_located, &samples, &result);
  add_distances(cut, outline, windows.on_outline, &samples, &result);
  double sum = 0, total = 0;
  for (const EdgeDistance& s : samples) sum += s.weight_px * s.distance_px * s.distance_px, total += s.weight_px;
  result.rms_px = total > 0 ? std::sqrt(sum / total) : result.max_px;
  all->assign(samples.begin(), samples.end());
  result.p95_px = percentile95(samples);
  return result;
}

bool usable(const Outline& outline, std::span<const Point> polyline) {
  if (outline.nodes.empty() || polyline.empty()) return false;
  return std::all_of(polyline.begin(), polyline.end(), is_place) &&
         std::all_of(outline.nodes.begin(), outline.nodes.end(), [](const Node& n) {
           return is_place(n.at) && is_place(n.handle_before) && is_place(n.handle_after);
         });
}

// Below 2 % of a circle's area for its length (a figure of eight, a sliver) the sign says nothing.
bool sign_says_nothing(double area_px2, double length_px) {
  return std::abs(area_px2) < 0.02 * length_px * length_px / 12.57;
}

}  // namespace

double percentile95_px(std::vector<DistanceSample> samples) {
  return samples.empty() ? infinity : percentile95(samples);
}

Deviation measure(const Outline& outline, std::span<const Point> polyline, double step_px,
                  std::vector<DistanceSample>* samples) {
  Deviation unknown;
  unknown.max_px = unknown.rms_px = unknown.p95_px = infinity;
  if (!usable(outline, polyline) || !(step_px > 0)) return unknown;
  const Chain drawn(sample(outline, step_px));
  std::vector<Point> points(polyline.begin(), polyline.end());
  if (!outline.closed) points = there_and_back(points);
  // Along one edge of the polyline the distance hardly changes: half as many samples as on the outline will do.
  std::vector<DistanceSample> one_way, other_way;
  const auto against = [&](std::vector<DistanceSample>* all) {
    return compare(drawn, Chain(points), Chain(sample(points, 2 * step_px)), all);
  };
  const auto keep = [&](const std::vector<DistanceSample>& all) {
    if (samples) samples->insert(samples->end(), all.begin(), all.end());
  };
  const double area_a = signed_area(drawn.points), area_b = signed_area(points);
  const bool unclear =
      sign_says_nothing(area_a, drawn.length_px()) || sign_says_nothing(area_b, Chain(points).length_px());
  const bool same_way = !unclear && (area_a > 0) == (area_b > 0);
  const Deviation forward = unclear || same_way ? against(&one_way) : unknown;
  if (same_way) return keep(one_way), forward;
  std::reverse(points.begin(), points.end());
  const Deviation backward = against(&other_way);
  const bool is_forward = forward.max_px <= backward.max_px;
  keep(is_forward ? one_way : other_way);
  return is_forward ? forward : backward;
}

std::vector<std::vector<double>> deviation_along(const Outline& outline, std::span<const Point> polyline,
                                                 double spacing_px) {
  std::vector<std::vector<double>> of_segment;
  if (!usable(outline, polyline) || !(spacing_px > 0)) return of_segment;
  std::vector<Point> points;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const double steps = std::min(steps_of(outline, i, spacing_px), 1e4);
    append_segment(outline, i, steps, &points);
    of_segment.emplace_back(std::size_t(steps));
  }
  std::vector<Point> other(polyline.begin(), polyline.end());
  if (!outline.closed) {
    points.push_back(outline.nodes.back().at);
    points = there_and_back(points), other = there_and_back(other);
  }
  if (outline.closed && (signed_area(points) > 0) != (signed_area(other) > 0)) std::reverse(other.begin(), other.end());
  const Chain drawn(points), located(other);
  std::vector<EdgeDistance> samples;
  Deviation ignored;
  add_distances(drawn, located, match_chains(drawn, located).on_located, &samples, &ignored);
  std::size_t i = 0;
  for (std::vector<double>& segment : of_segment)
    for (double& signed_px : segment) {
      const Point before = points[i == 0 ? points.size() - 1 : i - 1], travel = drawn.next(i) - before;
      const Point a = located.points[samples[i].edge], along = located.next(samples[i].edge) - a, v = points[i] - a;
      const double t =
          squared_length(along) > 0 ? std::clamp((along.x * v.x + along.y * v.y) / squared_length(along), 0.0, 1.0) : 0;
      const Point away = a + t * along - points[i];
      // Left of the direction of travel (y down): the cross product is negative there.
      signed_px = travel.x * away.y - travel.y * away.x > 0 ? -samples[i].distance_px : samples[i].distance_px;
      ++i;
    }
  return of_segment;
}

}  // namespace batten
