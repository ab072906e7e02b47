#include "support/shapes.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace batten::support {
namespace {

double length(Point a) { return std::hypot(a.x, a.y); }

/// Direction of a cubic at its start; the first control point that differs from it decides.
Point start_direction(const Cubic& c) {
  for (int i = 1; i < 4; ++i)
    if (const Point d = c[i] - c[0]; length(d) > 0) return (1 / length(d)) * d;
  return {};
}

Cubic backwards(const Cubic& c) { return {c[3], c[2], c[1], c[0]}; }

}  // namespace

Outline outline_from(const std::vector<Cubic>& cubics) {
  Outline outline;
  const std::size_t n = cubics.size();
  for (std::size_t i = 0; i < n; ++i) {
    const Cubic &before = cubics[(i + n - 1) % n], &after = cubics[i];
    Node node{before[2], after[0], after[1], true, Reason::added};
    const Point in = -1.0 * start_direction(backwards(before)), out = start_direction(after);
    const double turn = std::atan2(in.x * out.y - in.y * out.x, in.x * out.x + in.y * out.y);
    node.smooth = std::abs(turn) < std::numbers::pi / 180;
    if (!node.smooth) node.reason = Reason::corner;
    outline.nodes.push_back(node);
  }
  return outline;
}

double standard_handle(int n) { return 4.0 / 3.0 * std::tan(std::numbers::pi / (2.0 * n)); }

Outline circle(Point centre, double radius, int n, double k, double node_radius, double turn_rad) {
  Outline outline;
  for (int i = 0; i < n; ++i) {
    const double a = turn_rad + 2 * std::numbers::pi * i / n;
    const Point out{std::cos(a), std::sin(a)}, along{-out.y, out.x};
    const Point at = centre + (radius * node_radius) * out;
    const double handle = k * radius * node_radius;
    outline.nodes.push_back({at - handle * along, at, at + handle * along, true, Reason::added});
  }
  return outline;
}

Outline polygon(const Polyline& corners) {
  Outline outline;
  for (const Point p : corners) outline.nodes.push_back({p, p, p, false, Reason::corner});
  return outline;
}

Polyline circle_points(Point centre, double radius, double step_px) {
  return ellipse_points(centre, radius, radius, 0, step_px);
}

Polyline ellipse_points(Point centre, double a, double b, double turn_rad, double step_px) {
  const int n = int(std::ceil(2 * std::numbers::pi * std::max(a, b) / step_px));
  const double c = std::cos(turn_rad), s = std::sin(turn_rad);
  Polyline points;
  for (int i = 0; i < n; ++i) {
    const double t = 2 * std::numbers::pi * i / n, x = a * std::cos(t), y = b * std::sin(t);
    points.push_back(centre + Point{c * x - s * y, s * x + c * y});
  }
  return points;
}

Point at(const Cubic& c, double t) {
  const double s = 1 - t;
  return s * s * s * c[0] + 3 * s * s * t * c[1] + 3 * s * t * t * c[2] + t * t * t * c[3];
}

Point derivative(const Cubic& c, double t) {
  const double s = 1 - t;
  return 3 * s * s * (c[1] - c[0]) + 6 * s * t * (c[2] - c[1]) + 3 * t * t * (c[3] - c[2]);
}

Polyline points_of(const Outline& outline, double step_px) {
  Polyline points;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i) {
    const Cubic c = outline.segment(i);
    // Arc length table: 64 chords and one more per 2 px of control polygon keep its error far below a step.
    const int m = 64 + int((length(c[1] - c[0]) + length(c[2] - c[1]) + length(c[3] - c[2])) / 2);
    std::vector<double> s(std::size_t(m) + 1, 0);
    for (int k = 1; k <= m; ++k)
      s[std::size_t(k)] = s[std::size_t(k) - 1] + length(at(c, double(k) / m) - at(c, double(k - 1) / m));
    const int steps = std::max(1, int(std::ceil(s.back() / step_px)));
    for (int q = 0, k = 0; q < steps; ++q) {
      const double target = s.back() * q / steps;
      while (k + 1 < m && s[std::size_t(k) + 1] <= target) ++k;
      const double piece = s[std::size_t(k) + 1] - s[std::size_t(k)];
      points.push_back(at(c, (k + (piece > 0 ? (target - s[std::size_t(k)]) / piece : 0)) / m));
    }
  }
  return points;
}

Outline moved(const Outline& outline, double scale, double turn_rad, Point shift) {
  const double c = scale * std::cos(turn_rad), s = scale * std::sin(turn_rad);
  const auto move = [&](Point p) { return Point{c * p.x - s * p.y, s * p.x + c * p.y} + shift; };
  Outline result = outline;
  for (Node& node : result.nodes)
    node.handle_before = move(node.handle_before), node.at = move(node.at), node.handle_after = move(node.handle_after);
  return result;
}

Outline reversed(const Outline& outline) {
  Outline result = outline;
  std::reverse(result.nodes.begin(), result.nodes.end());
  for (Node& node : result.nodes) std::swap(node.handle_before, node.handle_after);
  return result;
}

}  // namespace batten::support
