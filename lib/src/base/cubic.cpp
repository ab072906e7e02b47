#include "base/cubic.h"

#include <algorithm>
#include <limits>

namespace batten {

std::array<double, 4> bernstein(double t) {
  const double s = 1 - t;
  return {s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t};
}

Point evaluate(const Cubic& c, double t) {
  const auto b = bernstein(t);
  return b[0] * c[0] + b[1] * c[1] + b[2] * c[2] + b[3] * c[3];
}

Point first_derivative(const Cubic& c, double t) {
  const double s = 1 - t;
  return 3 * s * s * (c[1] - c[0]) + 6 * s * t * (c[2] - c[1]) + 3 * t * t * (c[3] - c[2]);
}

Point second_derivative(const Cubic& c, double t) {
  return 6 * (1 - t) * (c[2] - 2 * c[1] + c[0]) + 6 * t * (c[3] - 2 * c[2] + c[1]);
}

std::pair<Cubic, Cubic> split(const Cubic& c, double t) {
  const auto mix = [t](Point a, Point b) { return (1 - t) * a + t * b; };
  const Point a = mix(c[0], c[1]), b = mix(c[1], c[2]), d = mix(c[2], c[3]);
  const Point ab = mix(a, b), bd = mix(b, d), m = mix(ab, bd);
  return {Cubic{c[0], a, ab, m}, Cubic{m, bd, d, c[3]}};
}

double length(const Cubic& c) {
  double sum = 0;
  Point last = c[0];
  constexpr int n = 24;  // chords of a smooth cubic: error below 0.1 %
  for (int i = 1; i <= n; ++i) {
    const Point p = evaluate(c, i / double(n));
    sum += distance(last, p);
    last = p;
  }
  return sum;
}

Point start_tangent(const Cubic& c) {
  for (int i = 1; i < 4; ++i)
    if (norm2(c[i] - c[0]) > 1e-12) return unit(c[i] - c[0]);
  return {1, 0};
}

Point end_tangent(const Cubic& c) {
  for (int i = 2; i >= 0; --i)
    if (norm2(c[3] - c[i]) > 1e-12) return unit(c[3] - c[i]);
  return {1, 0};
}

std::array<ExtremumExcess, 2> pokes(const Cubic& c) {
  std::array<ExtremumExcess, 2> worst;
  worst[0].in_x = true;
  const auto along = [&](double p0, double p1, double p2, double p3, bool in_x) {
    const double a = p3 - 3 * p2 + 3 * p1 - p0, b = 2 * (p2 - 2 * p1 + p0), d = p1 - p0;
    double roots[2];
    int n = 0;
    if (std::abs(a) < 1e-12) {
      if (std::abs(b) > 1e-12) roots[n++] = -d / b;
    } else {
      const double disc = b * b - 4 * a * d;
      if (disc >= 0) {
        const double q = -0.5 * (b + std::copysign(std::sqrt(disc), b));
        roots[n++] = q / a;
        if (std::abs(q) > 1e-300) roots[n++] = d / q;
      }
    }
    const double lo = std::min(p0, p3), hi = std::max(p0, p3);
    for (int i = 0; i < n; ++i) {
      const double t = roots[i];
      if (!(t > 0 && t < 1)) continue;
      const auto f = bernstein(t);
      const double v = f[0] * p0 + f[1] * p1 + f[2] * p2 + f[3] * p3;
      const double depth = std::max(lo - v, v - hi);
      ExtremumExcess& w = worst[in_x ? 0 : 1];
      if (depth > w.depth_px) w = {depth, t, in_x};
    }
  };
  along(c[0].x, c[1].x, c[2].x, c[3].x, true);
  along(c[0].y, c[1].y, c[2].y, c[3].y, false);
  return worst;
}

ExtremumExcess poke(const Cubic& c) {
  const std::array<ExtremumExcess, 2> both = pokes(c);
  return both[0].depth_px > both[1].depth_px ? both[0] : both[1];
}

double curvature(const Cubic& c, double t) {
  const Point d = first_derivative(c, t);
  const double n = norm(d);
  return n > 1e-9 ? cross(d, second_derivative(c, t)) / (n * n * n) : 0;
}

FootFinder::FootFinder(const Cubic& c)
    : c_(c), k1_(3 * (c[1] - c[0])), k2_(3 * (c[2] - 2 * c[1] + c[0])), k3_(c[3] - 3 * c[2] + 3 * c[1] - c[0]) {
  for (int i = 0; i < table_size; ++i) {
    table_[i] = place(i / double(table_size - 1));
    near_x_[i] = float(table_[i].x - c[0].x), near_y_[i] = float(table_[i].y - c[0].y);
  }
  share_[0] = 0;
  for (int i = 1; i < table_size; ++i) share_[i] = share_[i - 1] + distance(table_[i - 1], table_[i]);
  const double whole = share_[table_size - 1];
  for (int i = 1; i < table_size; ++i) share_[i] = whole > 1e-12 ? share_[i] / whole : i / double(table_size - 1);
}

double FootFinder::parameter_at(double share) const {
  if (share <= 0) return 0;
  if (share >= 1) return 1;
  const auto after = std::upper_bound(share_.begin(), share_.end(), share);
  const auto k = after - share_.begin() - 1;
  const double step = *after - share_[std::size_t(k)];
  return (double(k) + (step > 0 ? (share - share_[std::size_t(k)]) / step : 0)) / double(table_size - 1);
}

FootFinder::Foot FootFinder::foot(Point p, double t_low, double t_high) const {
  constexpr double last = table_size - 1;
  // Rounded down and up: parameters are not negative.
  const int lo = std::clamp(int(t_low * last), 0, table_size - 1), below = int(t_high * last);
  const int hi = std::clamp(below + (below < t_high * last), lo, table_size - 1);
  std::array<float, table_size> far2;
  const float x = float(p.x - c_[0].x), y = float(p.y - c_[0].y);
  for (int i = 0; i < table_size; ++i)
    far2[i] = (near_x_[i] - x) * (near_x_[i] - x) + (near_y_[i] - y) * (near_y_[i] - y);
  int best = lo;
  float least = far2[lo];
  for (int i = lo + 1; i <= hi; ++i)
    if (far2[i] < least) best = i, least = far2[i];
  const double best_d2 = norm2(p - table_[best]);
  double t = best / last;
  const double t_min = std::max(0.0, (best - 1) / last), t_max = std::min(1.0, (best + 1) / last);
  if (best > 0 && best + 1 < table_size) {  // the lowest point of the parabola through three of the table
    const double before = norm2(p - table_[best - 1]) - best_d2, after = norm2(p - table_[best + 1]) - best_d2;
    if (before > 0 && after > 0) t += 0.5 * (before - after) / (before + after) / last;
  }
  Point at = place(t), d = slope(t);
  for (int k = 0; k < 5; ++k) {  // Newton on dot(B - p, B') = 0; quadratic from a table this fine
    const Point e = at - p;
    const double bend = norm2(d) + dot(e, 2 * k2_ + 6 * t * k3_);
    if (bend <= 1e-12) break;
    const double next = std::clamp(t - dot(e, d) / bend, t_min, t_max), step = std::abs(next - t);
    t = next, at = place(t), d = slope(t);
    if (step < 1e-4) break;  // what is left is of the order of its square: 1e-8 along, 1e-13 across
  }
  Foot f;
  f.t = t;
  f.at = at;
  const Point tangent = norm2(d) > 1e-12 ? unit(d) : (t < 0.5 ? start_tangent(c_) : end_tangent(c_));
  f.normal = left_of(tangent);
  if (t <= 0 || t >= 1) {
    const double past = dot(p - f.at, tangent);
    if ((t >= 1 && past > 0) || (t <= 0 && past < 0)) {
      f.beyond_px = past;
      f.at = f.at + past * tangent;
    }
  }
  f.offset_px = dot(p - f.at, f.normal);
  return f;
}

}  // namespace batten
