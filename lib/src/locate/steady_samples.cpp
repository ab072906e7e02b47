#include "locate/steady_samples.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <numeric>

#include "base/statistics.h"
#include "base/vec.h"

namespace batten {
namespace {

constexpr double steady_px = 0.07;           // what is left of more
constexpr double farthest_window_px = 12;    // corners nearer to one another than that become one
constexpr double stairs_px = 0.29;           // of rounding to whole numbers: the root of 1/12
constexpr double stairs_window_px = 5;       // or treads of some px are not seen as noise
constexpr double least_window_px = 3;        // corners are looked for by windows that are no shorter
constexpr std::size_t fewest_samples = 24;   // fewer are a polygon
constexpr std::size_t apart = 8;             // samples between which steps are measured, so that noise counts little
constexpr std::size_t least_neighbours = 3;  // a quadratic through fewer is the samples themselves

// A place by its index, over the end of a closed polyline.
struct Samples {
  std::span<const Point> points;
  bool closed;
  std::size_t size() const { return points.size(); }
  std::size_t runs(std::size_t length) const { return closed ? size() : size() - std::min(size(), length); }
  Point at(std::size_t i) const { return points[i % size()]; }
};

bool is_staircase(const Samples& s) {
  for (std::size_t i = 0; i < s.runs(1); ++i) {
    const Point p = s.at(i), step = s.at(i + 1) - p;
    if (p.x != std::floor(p.x) || p.y != std::floor(p.y)) return false;
    if (std::abs(step.x) > 1 || std::abs(step.y) > 1) return false;
  }
  return true;
}

// Half the squared length of a plane normal deviate of variance 1 has this median, twice the logarithm of 2.
const double median_of_squares = 2 * std::log(2.0);

double from_differences(const Samples& s, std::span<const double> weights) {
  double power = 0;
  for (const double w : weights) power += w * w;
  std::vector<double> squares;
  for (std::size_t i = 0; i < s.runs(weights.size() - 1); ++i) {
    Point d;
    for (std::size_t k = 0; k < weights.size(); ++k) d = d + weights[k] * s.at(i + k);
    squares.push_back(dot(d, d));
  }
  return squares.empty() ? 0 : std::sqrt(median(std::move(squares)) / (power * median_of_squares));
}

// Usual step from one sample to the next; 0 where they are spaced unevenly.
double spacing_px(const Samples& s) {
  std::vector<double> steps;
  for (std::size_t i = 0; i < s.runs(apart); ++i) steps.push_back(distance(s.at(i), s.at(i + apart)) / apart);
  if (steps.empty()) return 0;
  constexpr double uneven = 2.5;  // a diagonal step among pixels is 1.4 times as long
  const double usual = median(steps);
  return quantile(std::move(steps), 0.95) > uneven * usual ? 0 : usual;
}

// The quadratic's value in the middle of 2 k + 1 evenly spaced samples.
Point middle_of_quadratic(const Samples& s, std::size_t i, std::size_t k) {
  const double K = double(k), scale = 3 / ((2 * K - 1) * (2 * K + 1) * (2 * K + 3));
  Point sum;
  for (std::size_t j = 0; j <= 2 * k; ++j) {
    const double u = double(j) - K;
    sum = sum + scale * (3 * K * K + 3 * K - 1 - 5 * u * u) * s.at(i + s.size() - k + j);
  }
  return sum;
}

// The same where samples are known by different measure: each counts by the inverse of its variance. u and the weights
// make the three equations of the quadratic; its value in the middle is their first unknown.
Point middle_by_weight(const Samples& s, std::span<const double> sigmas_px, std::size_t i, std::size_t k) {
  double moment[5] = {};
  Point sums[3];
  for (std::size_t j = 0; j <= 2 * k; ++j) {
    const std::size_t at = (i + s.size() - k + j) % s.size();
    const double u = (double(j) - double(k)) / double(k);
    const double sigma = std::max(sigmas_px[at], 0.1 * seen_noise_px);  // nothing is known exactly
    double w = 1 / (sigma * sigma);
    for (int power = 0; power < 5; ++power, w *= u) {
      moment[power] += w;
      if (power < 3) sums[power] = sums[power] + w * s.at(at);
    }
  }
  // Cramer's rule for the first unknown.
  const auto [a, b, c, d, e] = moment;
  const double first = c * e - d * d, second = c * d - b * e, third = b * d - c * c;
  const double determinant = a * first + b * second + c * third;
  if (!(determinant > 0)) return s.at(i);
  return (1 / determinant) * (first * sums[0] + second * sums[1] + third * sums[2]);
}

bool all_alike(std::span<const double> values) {
  return std::adjacent_find(values.begin(), values.end(), std::not_equal_to<>()) == values.end();
}

}  // namespace

double sample_noise_px(std::span<const Point> points, bool closed) {
  const Samples s{points, closed};
  constexpr double second[] = {1, -2, 1}, fourth[] = {1, -4, 6, -4, 1};
  const double noise = std::min(from_differences(s, second), from_differences(s, fourth));
  return is_staircase(s) ? std::max(noise, stairs_px) : noise;
}

std::optional<SteadySamples> steady_samples(std::span<const Point> points, bool closed,
                                            std::span<const double> sigmas_px) {
  if (points.size() < fewest_samples) return std::nullopt;
  const Samples s{points, closed};
  SteadySamples out;
  out.noise_px = sigmas_px.empty()
                     ? sample_noise_px(points, closed)
                     : std::sqrt(std::inner_product(sigmas_px.begin(), sigmas_px.end(), sigmas_px.begin(), 0.) /
                                 double(sigmas_px.size()));
  const double step_px = spacing_px(s);
  if (out.noise_px <= seen_noise_px || !(step_px > 0)) return std::nullopt;
  // The middle of a quadratic through n samples errs by 9/4 of their variance over n.
  const double n = 2.25 * std::pow(out.noise_px / steady_px, 2);
  double window_px = std::clamp(0.5 * n * step_px, least_window_px, farthest_window_px);
  if (is_staircase(s)) window_px = std::max(window_px, stairs_window_px);
  const std::size_t k =
      std::min(std::size_t(std::max(double(least_neighbours), window_px / step_px)), (points.size() - 1) / 4);
  out.window_px = double(k) * step_px;
  if (out.window_px > farthest_window_px) return std::nullopt;  // so far apart that they are corners
  out.sigma_px = out.noise_px * std::sqrt(2.25 / double(2 * k + 1));
  const bool weighted = !all_alike(sigmas_px);
  for (std::size_t i = 0; i < s.size(); ++i) {
    const std::size_t near = closed ? k : std::min({k, i, s.size() - 1 - i});
    out.points.push_back(near == 0  ? s.at(i)
                         : weighted ? middle_by_weight(s, sigmas_px, i, near)
                                    : middle_of_quadratic(s, i, near));
  }
  return out;
}

}  // namespace batten
