// sweep(): the curve stages run once for each tolerance, on lines that are located once.

#include "batten/sweep.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <numeric>
#include <utility>

#include "api/keep_finer.h"
#include "corners/space_loops.h"
#include "judge/judge_outlines.h"

namespace batten {
namespace {

// The knee, or the next tolerance that every outline could be held to and that is not finer than the line is known.
std::size_t recommended(const Sweep& sweep) {
  const auto is_held = [](const Report& report) {
    return report.tolerance_px >= std::max(finest_auto_tolerance_px, report.known_px) &&
           std::none_of(report.outlines.begin(), report.outlines.end(),
                        [](const OutlineReport& o) { return o.limit_px > o.tolerance_px + 1e-9; });
  };
  std::size_t i = sweep.knee.value_or(0);
  while (i + 1 < sweep.conversions.size() && !is_held(sweep.conversions[i].report)) ++i;
  return i;
}

}  // namespace

void take_in(double tolerance_px, Conversion conversion, double seconds, Sweep* sweep) {
  std::size_t drawn_at = sweep->conversions.size();
  if (drawn_at > 0 && conversion.report.segments > sweep->conversions.back().report.segments) {
    conversion = sweep->conversions.back();
    widen_tolerance(tolerance_px, &conversion.report);
    drawn_at = sweep->drawn_at.back();
  }
  sweep->conversions.push_back(std::move(conversion));
  sweep->seconds.push_back(seconds);
  sweep->drawn_at.push_back(drawn_at);
}

std::size_t finer_than_known(const Sweep& sweep) {
  const auto known = std::find_if(sweep.conversions.begin(), sweep.conversions.end(),
                                  [](const Conversion& c) { return c.report.tolerance_px >= c.report.known_px; });
  return std::size_t(known - sweep.conversions.begin());
}

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
  double farthest = 1e-6;  // in logarithms: rounding on a straight is no knee
  std::optional<std::size_t> knee;
  for (const std::size_t i : front) {
    // The chord falls, so the origin's side is where the cross product is positive.
    const Point v = at(i) - a;
    const double off = (chord.y * v.x - chord.x * v.y) / std::hypot(chord.x, chord.y);
    if (off > farthest) farthest = off, knee = i;
  }
  return knee;
}

Result<Sweep> sweep(const Located& located, std::span<const double> tolerances_px, const Options& options,
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
    Result<Conversion> conversion = convert(located, one, part);
    if (!conversion) return conversion.error();
    take_in(ascending[i], std::move(*conversion),
            std::chrono::duration<double>(std::chrono::steady_clock::now() - begin).count(), &out);
    curve.push_back({double(out.conversions.back().report.segments), out.conversions.back().report.rms_px});
  }
  out.knee = knee_of(curve);
  out.recommended = recommended(out);
  return out;
}

}  // namespace batten
