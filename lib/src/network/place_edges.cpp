#include "network/place_edges.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

std::vector<double> kernel_of(double sigma_steps, std::ptrdiff_t half) {
  std::vector<double> out;
  double total = 0;
  for (std::ptrdiff_t k = 0; k <= half; ++k) {
    out.push_back(std::exp(-0.5 * double(k * k) / (sigma_steps * sigma_steps)));
    total += (k ? 2 : 1) * out.back();
  }
  for (double& w : out) w /= total;
  return out;
}

std::vector<double> smooth_values(const std::vector<double>& values, double sigma_steps) {
  const auto n = std::ptrdiff_t(values.size());
  const auto kernel = kernel_of(sigma_steps, std::ptrdiff_t(3 * sigma_steps) + 1);
  std::vector<double> out(values.size());
  const auto at = [&](std::ptrdiff_t i) { return values[std::clamp<std::ptrdiff_t>(i, 0, n - 1)]; };
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    out[i] = kernel[0] * at(i);
    for (std::size_t k = 1; k < kernel.size(); ++k)
      out[i] += kernel[k] * (at(i + std::ptrdiff_t(k)) + at(i - std::ptrdiff_t(k)));
  }
  return out;
}

Polyline smooth_edge(const Polyline& points, bool ring, double sigma_steps) {
  if (!ring) return smooth_open(points, sigma_steps);
  Polyline out(points.begin(), points.end() - 1);
  out = smooth_ring(out, sigma_steps);
  out.push_back(out.front());
  return out;
}

// How far across the line the middle of its ink lies at a point.
double shift_at(const Plane<float>& ink, Point at, Point across, double reach_px) {
  constexpr int samples = 11;
  double sum = 0, weight = 0;
  for (int k = 0; k < samples; ++k) {
    const double u = reach_px * (2. * k / (samples - 1) - 1);
    const Point p = at + u * across;
    const double v = std::max(0., sample(ink, p.x, p.y));
    sum += v * u, weight += v;
  }
  return weight < 1e-3 ? 0 : sum / weight;
}

}  // namespace

Polyline smooth_open(const Polyline& points, double sigma_steps) {
  const auto n = std::ptrdiff_t(points.size());
  if (n < 3) return points;
  const auto kernel = kernel_of(sigma_steps, std::min(std::ptrdiff_t(3 * sigma_steps) + 1, n - 1));
  const auto at = [&](std::ptrdiff_t i) {
    if (i < 0) return 2 * points[0] - points[-i];
    return i < n ? points[i] : 2 * points[n - 1] - points[2 * (n - 1) - i];
  };
  Polyline out(points.size());
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    out[i] = kernel[0] * at(i);
    for (std::size_t k = 1; k < kernel.size(); ++k)
      out[i] = out[i] + kernel[k] * (at(i + std::ptrdiff_t(k)) + at(i - std::ptrdiff_t(k)));
  }
  return out;
}

void place_edges(const Plane<float>& ink, double width_px, LineNetwork* net) {
  for (const int e : net->living()) {
    NetEdge& edge = net->edges[e];
    if (edge.points.size() < 5 || edge.made) continue;
    const bool ring = edge.from == edge.to && net->degree(edge.from) == 2;
    Polyline line = smooth_edge(edge.points, ring, 1.5);
    const auto n = std::ptrdiff_t(line.size());
    std::vector<double> shift(line.size());
    Polyline across(line.size());
    for (std::ptrdiff_t i = 0; i < n; ++i) {
      const std::ptrdiff_t before = i > 0 ? i - 1 : ring ? n - 2 : 0, after = i + 1 < n ? i + 1 : ring ? 1 : n - 1;
      across[i] = left_of(unit(line[after] - line[before]));
      shift[i] = std::clamp(shift_at(ink, line[i], across[i], 0.7 * width_px), -0.5 * width_px, 0.5 * width_px);
    }
    shift = smooth_values(shift, 2);
    const bool from_end = net->degree(edge.from) == 1, to_end = net->degree(edge.to) == 1;
    for (std::ptrdiff_t i = 0; i < n; ++i) {
      double share = 1;
      if (!ring && !from_end) share = std::min(share, double(i) / width_px);
      if (!ring && !to_end) share = std::min(share, double(n - 1 - i) / width_px);
      line[i] = line[i] + share * shift[i] * across[i];
    }
    if (ring) line.back() = line.front();
    if (ring || from_end) net->nodes[edge.from].at = line.front();
    if (!ring && to_end) net->nodes[edge.to].at = line.back();
    line.front() = net->nodes[edge.from].at, line.back() = net->nodes[edge.to].at;
    edge.points = std::move(line);
  }
}

}  // namespace batten
