#include "support/field.h"

#include <algorithm>
#include <cmath>

namespace batten::support {
namespace {

std::vector<float> kernel(double sigma_px) {
  const int r = std::max(1, int(std::ceil(3 * sigma_px)));  // beyond 3 sigma lies 0.3 % of the weight
  std::vector<float> k(std::size_t(2 * r + 1));
  double sum = 0;
  for (int i = -r; i <= r; ++i) sum += k[std::size_t(i + r)] = float(std::exp(-0.5 * i * i / (sigma_px * sigma_px)));
  for (float& v : k) v = float(v / sum);
  return k;
}

/// Filters rows and writes the result turned, so that two calls make the whole filter.
Field filter_and_turn(const Field& in, const std::vector<float>& k) {
  const int r = int(k.size()) / 2;
  Field out(in.height, in.width);
  std::vector<float> row(std::size_t(in.width + 2 * r));
  for (int y = 0; y < in.height; ++y) {
    for (int x = -r; x < in.width + r; ++x) row[std::size_t(x + r)] = in.at(std::clamp(x, 0, in.width - 1), y);
    for (int x = 0; x < in.width; ++x) {
      float sum = 0;
      for (std::size_t i = 0; i < k.size(); ++i) sum += k[i] * row[std::size_t(x) + i];
      out.at(y, x) = sum;
    }
  }
  return out;
}

void normalise(Field& field) {
  double sum = 0, squares = 0;
  for (const float v : field.values) sum += v, squares += double(v) * v;
  const double n = double(field.values.size()), mean = sum / n;
  const double deviation = std::sqrt(std::max(1e-12, squares / n - mean * mean));
  for (float& v : field.values) v = float((v - mean) / deviation);
}

/// Adds the area to the right of an edge, pixel by pixel: each cell holds the change of coverage from its left
/// neighbour, as in the accumulation buffers of font rasterisers.
void add_edge(Field& change, Point a, Point b) {
  if (a.y == b.y) return;
  const double sign = a.y < b.y ? -1 : 1;
  if (a.y > b.y) std::swap(a, b);
  const double slope = (b.x - a.x) / (b.y - a.y);
  const int first = std::max(0, int(std::floor(a.y))), last = std::min(change.height - 1, int(std::ceil(b.y)) - 1);
  for (int y = first; y <= last; ++y) {
    const double y0 = std::max(a.y, double(y)), y1 = std::min(b.y, double(y + 1));
    if (y1 <= y0) continue;
    const double limit = change.width - 1e-6;
    double x0 = std::clamp(a.x + slope * (y0 - a.y), 0.0, limit), x1 = std::clamp(a.x + slope * (y1 - a.y), 0.0, limit);
    if (x0 > x1) std::swap(x0, x1);
    const double height = sign * (y1 - y0);
    const int c0 = int(x0), c1 = int(x1);
    double before = 0;  // share of `height` that lies left of the right side of the cells so far
    for (int c = c0; c <= c1; ++c) {
      // Mean over the strip of the part of the cell right of the edge, by the integral of the clamped ramp.
      const auto integral = [&](double x) {  // of the part of the strip whose edge lies left of x, from x0 on
        const double t = std::clamp((x - x0) / std::max(x1 - x0, 1e-12), 0.0, 1.0);
        return x1 - x0 > 1e-12 ? t * t / 2 * (x1 - x0) + std::max(0.0, x - x1) : std::max(0.0, x - x0);
      };
      const double covered = integral(c + 1) - integral(c);
      change.at(c, y) += float(height * (covered - before));
      before = covered;
    }
    if (c1 + 1 < change.width) change.at(c1 + 1, y) += float(height * (1 - before));
  }
}

}  // namespace

Field blurred(const Field& field, double sigma_px) {
  if (sigma_px <= 0) return field;
  const std::vector<float> k = kernel(sigma_px);
  return filter_and_turn(filter_and_turn(field, k), k);
}

Field noise(int width, int height, double sigma_px, Random& random) {
  Field field(width, height);
  for (float& v : field.values) v = float(random.normal());
  field = blurred(field, sigma_px);
  normalise(field);
  return field;
}

Field slow_noise(int width, int height, double scale_px, Random& random) {
  const int w = int(width / scale_px) + 3, h = int(height / scale_px) + 3;
  Field grid(w, h), field(width, height);
  for (float& v : grid.values) v = float(random.normal());
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const double u = x / scale_px, v = y / scale_px;
      const int i = int(u), j = int(v);
      const double fu = u - i, fv = v - j, a = fu * fu * (3 - 2 * fu), b = fv * fv * (3 - 2 * fv);
      field.at(x, y) = float((grid.at(i, j) * (1 - a) + grid.at(i + 1, j) * a) * (1 - b) +
                             (grid.at(i, j + 1) * (1 - a) + grid.at(i + 1, j + 1) * a) * b);
    }
  return field;
}

Field coverage(int width, int height, const std::vector<Outline>& outlines) {
  Field change(width + 1, height);
  for (const Outline& outline : outlines) {
    const Polyline p = points_of(outline, 0.125);  // such chords leave an arc of 10 px radius by 0.0002 px
    for (std::size_t i = 0; i < p.size(); ++i) add_edge(change, p[i], p[(i + 1) % p.size()]);
  }
  Field ink(width, height);
  for (int y = 0; y < height; ++y) {
    double sum = 0;
    for (int x = 0; x < width; ++x) ink.at(x, y) = float(std::clamp(sum += change.at(x, y), 0.0, 1.0));
  }
  return ink;
}

}  // namespace batten::support
