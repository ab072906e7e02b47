#include "support/recursive_split.h"

#include <algorithm>
#include <cmath>
#include <span>

namespace batten::support {
namespace {

using Run = std::span<const Point>;

double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
double length(Point a) { return std::sqrt(dot(a, a)); }
Point unit(Point a) { return length(a) > 0 ? (1 / length(a)) * a : Point{}; }

std::vector<double> chord_lengths(Run p) {
  std::vector<double> u(p.size(), 0);
  for (std::size_t i = 1; i < p.size(); ++i) u[i] = u[i - 1] + length(p[i] - p[i - 1]);
  for (double& v : u) v /= std::max(u.back(), 1e-300);
  return u;
}

/// Handle lengths along the two tangents by least squares; Wu and Barsky's third of the chord where they fail.
Cubic least_squares(Run p, const std::vector<double>& u, Point t0, Point t1) {
  const Point first = p.front(), last = p.back();
  double c00 = 0, c01 = 0, c11 = 0, x0 = 0, x1 = 0;
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double t = u[i], s = 1 - t, b0 = s * s * s, b1 = 3 * s * s * t, b2 = 3 * s * t * t, b3 = t * t * t;
    const Point a0 = b1 * t0, a1 = b2 * t1, rest = p[i] - ((b0 + b1) * first + (b2 + b3) * last);
    c00 += dot(a0, a0), c01 += dot(a0, a1), c11 += dot(a1, a1);
    x0 += dot(rest, a0), x1 += dot(rest, a1);
  }
  const double det = c00 * c11 - c01 * c01, chord = length(last - first);
  double alpha = 0, beta = 0;
  if (std::abs(det) > 1e-12) alpha = (x0 * c11 - x1 * c01) / det, beta = (c00 * x1 - c01 * x0) / det;
  if (alpha < 1e-6 * chord || beta < 1e-6 * chord) alpha = beta = chord / 3;
  return {first, first + alpha * t0, last + beta * t1, last};
}

/// One step of Newton towards the foot of each point.
void reparametrise(Run p, const Cubic& c, std::vector<double>& u) {
  for (std::size_t i = 0; i < p.size(); ++i) {
    const double t = u[i], s = 1 - t;
    const Point off = at(c, t) - p[i], d1 = derivative(c, t);
    const Point d2 = 6 * s * (c[2] - 2 * c[1] + c[0]) + 6 * t * (c[3] - 2 * c[2] + c[1]);
    const double den = dot(d1, d1) + dot(off, d2);
    if (std::abs(den) > 1e-12) u[i] = t - dot(off, d1) / den;
  }
}

double worst_at(Run p, const Cubic& c, const std::vector<double>& u, std::size_t& split) {
  double worst = 0;
  split = p.size() / 2;
  for (std::size_t i = 1; i + 1 < p.size(); ++i)
    if (const double d = length(at(c, u[i]) - p[i]); d >= worst) worst = d, split = i;
  return worst;
}

void fit(Run p, Point t0, Point t1, double tolerance_px, std::vector<Cubic>& out) {
  if (p.size() == 2) {
    const double third = length(p[1] - p[0]) / 3;
    out.push_back({p[0], p[0] + third * t0, p[1] + third * t1, p[1]});
    return;
  }
  std::vector<double> u = chord_lengths(p);
  Cubic c = least_squares(p, u, t0, t1);
  std::size_t split = 0;
  double worst = worst_at(p, c, u, split);
  // Near enough (twice the tolerance; four times its square in the description) it is worth moving the parameters.
  for (int round = 0; round < 4 && worst >= tolerance_px && worst < 2 * tolerance_px; ++round) {
    reparametrise(p, c, u);
    c = least_squares(p, u, t0, t1);
    worst = worst_at(p, c, u, split);
  }
  if (worst < tolerance_px) {
    out.push_back(c);
    return;
  }
  const Point middle = unit(p[split - 1] - p[split + 1]);
  fit(p.subspan(0, split + 1), t0, middle, tolerance_px, out);
  fit(p.subspan(split), -1.0 * middle, t1, tolerance_px, out);
}

}  // namespace

Outline recursive_split(const Polyline& points, const std::vector<std::size_t>& corners, double tolerance_px) {
  const std::size_t n = points.size();
  std::vector<std::size_t> cuts = corners;
  if (cuts.empty()) cuts = {0};
  std::vector<Cubic> cubics;
  for (std::size_t k = 0; k < cuts.size(); ++k) {
    const std::size_t from = cuts[k], to = cuts[(k + 1) % cuts.size()] + (k + 1 == cuts.size() ? n : 0);
    Polyline run;
    for (std::size_t i = from; i <= to; ++i) run.push_back(points[i % n]);
    if (run.size() < 2) continue;
    Point t0 = unit(run[1] - run[0]), t1 = unit(run[run.size() - 2] - run.back());
    if (corners.empty()) t0 = unit(run[1] - run[run.size() - 2]), t1 = -1.0 * t0;
    fit(run, t0, t1, tolerance_px, cubics);
  }
  return outline_from(cubics);
}

}  // namespace batten::support
