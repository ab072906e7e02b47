#include "support/noise.h"

#include <algorithm>
#include <cmath>

namespace batten::support {
namespace {

// What white noise is averaged by, for noise of variance 1.
std::vector<double> kernel_of(Alike alike, double samples) {
  std::vector<double> out;
  if (alike == Alike::bell) {
    const double s = samples / std::sqrt(2.0);  // the correlation is the kernel with itself: wider by that
    for (int k = -int(4 * s) - 1; k <= int(4 * s) + 1; ++k) out.push_back(std::exp(-0.5 * k * k / (s * s)));
  } else if (alike == Alike::mean) {
    out.assign(std::size_t(std::max(1.0, std::round(samples))), 1.0);
  } else {
    for (int k = 0; k <= int(6 * samples); ++k) out.push_back(std::exp(-k / samples));
  }
  double power = 0;
  for (const double v : out) power += v * v;
  for (double& v : out) v /= std::sqrt(power);
  return out;
}

// A closed row of noise: the end leads on into the beginning.
std::vector<double> row_of(std::size_t count, const std::vector<double>& kernel, Random* random) {
  std::vector<double> white(count), out(count, 0.0);
  for (double& v : white) v = random->normal();
  for (std::size_t i = 0; i < count; ++i)
    for (std::size_t k = 0; k < kernel.size(); ++k) out[i] += kernel[k] * white[(i + k) % count];
  return out;
}

}  // namespace

std::vector<std::vector<Point>> with_noise(std::vector<std::vector<Point>> loops, double noise_px, Alike alike,
                                           double alike_px, Random* random) {
  for (std::vector<Point>& loop : loops) {
    double length_px = 0;
    for (std::size_t i = 0; i + 1 < loop.size(); ++i)
      length_px += std::hypot(loop[i + 1].x - loop[i].x, loop[i + 1].y - loop[i].y);
    const double samples = alike_px / (length_px / double(loop.size() - 1));
    const std::vector<double> kernel = alike == Alike::no ? std::vector<double>{1} : kernel_of(alike, samples);
    const std::vector<double> x = row_of(loop.size(), kernel, random), y = row_of(loop.size(), kernel, random);
    for (std::size_t i = 0; i < loop.size(); ++i) loop[i].x += noise_px * x[i], loop[i].y += noise_px * y[i];
  }
  return loops;
}

std::vector<Point> places_on(const Cubic& c, double step_px) {
  const double legs_px = std::hypot(c[1].x - c[0].x, c[1].y - c[0].y) + std::hypot(c[2].x - c[1].x, c[2].y - c[1].y) +
                         std::hypot(c[3].x - c[2].x, c[3].y - c[2].y);
  const int steps = std::max(1, int(std::ceil(legs_px / step_px)));
  std::vector<Point> out;
  for (int k = 0; k <= steps; ++k) {
    const double t = double(k) / steps, u = 1 - t;
    out.push_back(u * u * u * c[0] + 3 * u * u * t * c[1] + 3 * u * t * t * c[2] + t * t * t * c[3]);
  }
  return out;
}

}  // namespace batten::support
