#pragma once
// Arithmetic on points as vectors, and on angles.

#include <cmath>
#include <numbers>

#include "batten/geometry.h"

namespace batten {

inline constexpr double pi = std::numbers::pi;
inline double dot(Point a, Point b) { return a.x * b.x + a.y * b.y; }
/// Positive when b lies clockwise of a on screen (y down).
inline double cross(Point a, Point b) { return a.x * b.y - a.y * b.x; }
inline double norm2(Point a) { return dot(a, a); }
inline double norm(Point a) { return std::sqrt(norm2(a)); }
inline double distance(Point a, Point b) { return norm(a - b); }
inline Point left_of(Point t) { return {-t.y, t.x}; }  // t turned by +90 deg in (x, y)
inline Point unit(Point a) {
  const double n = norm(a);
  return n > 0 ? (1 / n) * a : Point{1, 0};
}
inline Point direction(double angle) { return {std::cos(angle), std::sin(angle)}; }
inline double angle_of(Point a) { return std::atan2(a.y, a.x); }
/// The angle brought into (-pi, pi].
inline double wrap_angle(double a) {
  if (a > -pi && a <= pi) return a;  // nearly always, and the remainder is slow
  a = std::remainder(a, 2 * pi);
  return a <= -pi ? a + 2 * pi : a;
}
/// Signed turn from direction a to direction b, (-pi, pi].
inline double turn_between(Point a, Point b) { return std::atan2(cross(a, b), dot(a, b)); }
/// x to a whole power by squaring: std::pow takes ten times as long, and the solvers do little else.
inline double whole_power(double x, int n) {
  double out = 1;
  for (; n > 0; n /= 2, x *= x)
    if (n % 2) out *= x;
  return out;
}
inline double degrees(double rad) { return rad * (180 / pi); }
inline double radians(double deg) { return deg * (pi / 180); }
/// The direction of the axis that is nearest to a direction, both in rad.
inline double axis_angle(double angle) { return std::round(angle / (pi / 2)) * (pi / 2); }
/// How far a direction (rad) is from the nearest axis, 0..45 degrees.
inline double off_axis_deg(double angle) { return std::abs(degrees(wrap_angle(angle - axis_angle(angle)))); }

}  // namespace batten
