// Order: one sketch, the curve half several times.

#include "batten/sweep.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <utility>

namespace batten {
namespace {

double middle_sigma_px(const Drawing& drawing) {
  std::vector<double> sigmas;
  for (const Outline& outline : drawing.outlines) sigmas.push_back(outline.sigma_px);
  if (sigmas.empty()) return 0;
  std::nth_element(sigmas.begin(), sigmas.begin() + std::ptrdiff_t(sigmas.size() / 2), sigmas.end());
  return sigmas[sigmas.size() / 2];
}

std::size_t recommended(const Sweep& sweep) {
  constexpr double finest_px = 0.5;  // half a pixel: below it a scan has no place to speak of
  const double known_px = std::max(finest_px, middle_sigma_px(sweep.conversions.front().drawing));
  std::size_t i = sweep.knee.value_or(0);
  while (i + 1 < sweep.conversions.size() && sweep.conversions[i].report.tolerance_px < known_px) ++i;
  return i;
}

}  // namespace

std::vector<double> spread_tolerances(double least_px, double most_px, std::size_t count) {
  std::vector<double> tolerances;
  for (std::size_t i = 0; i < count; ++i) {
    const double part = count > 1 ? double(i) / double(count - 1) : 0;
    tolerances.push_back(i + 1 == count && count > 1 ? most_px : least_px * std::pow(most_px / least_px, part));
  }
  return tolerances;
}

std::optional<std::size_t> knee_of(std::span<const Point> points) {
  // What no other point beats in both: a wider tolerance that costs nodes and error at once is no choice.
  std::vector<std::size_t> order(points.size()), front;
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t i, std::size_t k) {
    return std::pair(points[i].x, points[i].y) < std::pair(points[k].x, points[k].y);
  });
  for (const std::size_t i : order)
    if (front.empty() || points[i].y < points[front.back()].y) front.push_back(i);
  if (front.size() < 3) return std::nullopt;
  const auto logarithm = [](double v) { return std::log(std::max(v, 1e-6)); };
  const auto at = [&](std::size_t i) { return Point{logarithm(points[i].x), logarithm(points[i].y)}; };
  const Point a = at(front.front()), chord = at(front.back()) - a;
  double farthest = 1e-6;  // of a logarithm: rounding on a straight is no knee
  std::optional<std::size_t> knee;
  for (const std::size_t i : front) {
    // The chord falls, so the origin's side is where the cross product is positive.
    const Point v = at(i) - a;
    const double off = (chord.y * v.x - chord.x * v.y) / std::hypot(chord.x, chord.y);
    if (off > farthest) farthest = off, knee = i;
  }
  return knee;
}

Result<Sweep> sweep(const Located& sketch, std::span<const double> tolerances_px, const Options& options,
                    const Job& job) {
  std::vector<double> ascending(tolerances_px.begin(), tolerances_px.end());
  if (ascending.empty())
    return Error{ErrorCode::bad_option, "A sweep needs at least one tolerance: try 0.5 px to 4 px.", "tolerances_px"};
  std::sort(ascending.begin(), ascending.end());
  Sweep out;
  std::vector<Point> curve;
  for (std::size_t i = 0; i < ascending.size(); ++i) {
    Options one = options;
    one.tolerance_px = ascending[i];
    Job part = job;
    if (job.progress)
      part.progress = [&, i](Stage stage, double done) {
        job.progress(stage, (double(i) + done) / double(ascending.size()));
      };
    const auto begin = std::chrono::steady_clock::now();
    Result<Conversion> conversion = convert(sketch, one, part);
    if (!conversion) return conversion.error();
    out.seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count());
    curve.push_back({double(conversion->report.segments), conversion->report.rms_px});
    out.conversions.push_back(std::move(*conversion));
  }
  out.knee = knee_of(curve);
  out.recommended = recommended(out);
  return out;
}

}  // namespace batten
