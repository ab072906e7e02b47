#include "api/polyline_loop.h"

#include <algorithm>
#include <cmath>

#include "base/polyline.h"
#include "base/widened_step.h"
#include "corners/space_loops.h"
#include "locate/alike_noise.h"
#include "locate/steady_samples.h"

namespace batten {
namespace {

constexpr double farthest_px = 1e9;        // no place on a sheet, as for judge() and the writers
constexpr double most_sigma_px = 1e6;      // more is no measurement of anything on a sheet
constexpr double longest_alike_px = 1000;  // nor is a pencil line wider
// What noise leaves of a corner is as soft as the edge of a shaded shape (SpacedLoop::band_px): a wider band would take
// the two corners of a serif for one.
constexpr double soft_px = 6;
constexpr double good_to = 1.33;  // of alike_noise()

// The caller's number that is out of range, or that does not fit the points.
std::optional<Error> check_noise(const PolylineView& p, const std::string& place) {
  const auto bad = [&](const char* sentence) { return Error{ErrorCode::bad_polyline, sentence, place}; };
  const auto fits = [](double px, double most) { return px >= 0 && px <= most; };
  if ((p.sigma_px && !fits(*p.sigma_px, most_sigma_px)) ||
      !std::all_of(p.sigmas_px.begin(), p.sigmas_px.end(), [&](double px) { return fits(px, most_sigma_px); }))
    return bad("A standard deviation of points must lie between 0 and 1,000,000 px.");
  if (!p.sigmas_px.empty() && p.sigmas_px.size() != p.points.size())
    return bad("There are more or fewer standard deviations than points: give one for each, or none.");
  if (!fits(p.correlation_px, longest_alike_px) || !fits(p.band_px, longest_alike_px))
    return bad("A length over which errors are alike, and the width of a band, must lie between 0 and 1000 px.");
  return std::nullopt;
}

// What the caller says of the noise, one standard deviation; of several the root of their mean square.
std::optional<double> given_sigma_px(const PolylineView& p) {
  if (p.sigmas_px.empty()) return p.sigma_px;
  double sum = 0;
  for (const double px : p.sigmas_px) sum += px * px;
  return std::sqrt(sum / double(p.sigmas_px.size()));
}

// Noise is new from sample to sample where differences of neighbours show at least half of it.
bool is_new_each_time(const PolylineView& p, double sigma_px, double step_px) {
  if (p.correlation_px > 0) return p.correlation_px < 2 * step_px;
  return sample_noise_px(p.points, p.closed) >= 0.5 * sigma_px;
}

void take_steady(SteadySamples steady, Loop* loop) {
  // Samples with noise are a line of which corners are known no better than its window tells.
  loop->points = std::move(steady.points);
  loop->sigma_px = steady.sigma_px;
  loop->band_px = std::clamp(steady.window_px, 2.0, soft_px);
  loop->rounding_px = 0.3 * std::max(2.0, steady.window_px), loop->correlation_px = steady.window_px;
}

// What is alike over some px cannot be averaged out, but how it changes from sample to sample can: as much as of noise
// of the same size that is new each time.
void take_alike(double sigma_px, double correlation_px, Loop* loop) {
  const std::vector<double> sigmas_px(loop->points.size(), sigma_px);
  if (auto steady = steady_samples(loop->points, !loop->open, sigmas_px)) take_steady(std::move(*steady), loop);
  loop->sigma_px = sigma_px, loop->correlation_px = std::max(loop->correlation_px, correlation_px);
  loop->band_px = soft_px;
}

}  // namespace

std::optional<Error> check_polyline(const PolylineView& p, std::size_t index) {
  const std::string place = "polyline " + std::to_string(index);
  if (p.points.size() < (p.closed ? 3u : 2u))
    return Error{ErrorCode::bad_polyline,
                 p.closed ? "A closed polyline needs at least 3 points." : "An open polyline needs at least 2 points.",
                 place};
  PointBox box;
  for (const Point q : p.points) {
    if (!(std::abs(q.x) <= farthest_px && std::abs(q.y) <= farthest_px))
      return Error{ErrorCode::bad_polyline, "A polyline has a point that is not finite or over 1,000,000,000 px away.",
                   place};
    box.add(q);
  }
  if (std::max(box.high.x - box.low.x, box.high.y - box.low.y) < 2)
    return Error{ErrorCode::bad_polyline, "A polyline is smaller than 2 px: scale it up or leave it out.", place};
  return check_noise(p, place);
}

Loop loop_of(const PolylineView& p, Point origin, double tolerance_px) {
  Loop loop;
  for (const Point q : p.points) loop.points.push_back(q - origin);
  loop.open = !p.closed;
  const double step_px = widened_step_px(loop.points, 0.5);
  std::vector<double> sigmas_px(p.sigmas_px.begin(), p.sigmas_px.end());
  if (p.closed && loop.points.front() == loop.points.back()) {
    loop.points.pop_back();
    if (!sigmas_px.empty()) sigmas_px.pop_back();
  }
  loop.kind = loop.open ? Kind::line : Kind::filled;
  loop.rounding_px = 0.1;  // nothing has rounded the corners of a polyline but its spacing
  loop.correlation_px = 2;
  const std::optional<double> given_px = given_sigma_px(p);
  if (p.band_px > 0) {  // the middle of a pencil line: what locating knows of one
    if (p.closed) loop.kind = Kind::outlined;
    loop.band_px = p.band_px, loop.rounding_px = 0.3 * p.band_px;
    loop.correlation_px = p.correlation_px > 0 ? p.correlation_px : p.band_px;
    loop.sigma_px = given_px.value_or(0);
    return loop;
  }
  const ArcLoop spaced = loop.open ? resample_line(loop.points, step_px, 10) : resample(loop.points, step_px);
  loop.sigma_px = polyline_sigma(spaced, 4);
  if (given_px && !is_new_each_time(p, *given_px, step_px)) {
    if (*given_px > seen_noise_px) take_alike(*given_px, p.correlation_px, &loop);
    loop.sigma_px = *given_px;
    return loop;
  }
  if (given_px && sigmas_px.empty()) sigmas_px.assign(loop.points.size(), *given_px);
  if (given_px) loop.sigma_px = *given_px;
  if (auto steady = steady_samples(loop.points, p.closed, sigmas_px)) take_steady(std::move(*steady), &loop);
  if (given_px) return loop;
  const ArcLoop steadied = loop.open ? resample_line(loop.points, step_px, 10) : resample(loop.points, step_px);
  const AlikeNoise alike = alike_noise(steadied);
  // A wave that an outline has to follow is drawn, whatever it looks like. What is found is good to a third, and the
  // tolerance is never raised for it.
  const double most_px = tolerance_px / known_sigmas;
  if (alike.sigma_px > loop.sigma_px && alike.sigma_px <= good_to * most_px)
    take_alike(std::min(alike.sigma_px, most_px), alike.length_px, &loop);
  return loop;
}

}  // namespace batten
