#pragma once
// One cubic Bezier segment: values, tangents, curvature, extremes and nearest points. Polynomial forms: Farin, "Curves
// and Surfaces for CAGD", 5th edition 2002, chapter 5.

#include <array>
#include <utility>

#include "base/vec.h"

namespace batten {

Point evaluate(const Cubic& c, double t);
Point first_derivative(const Cubic& c, double t);
Point second_derivative(const Cubic& c, double t);
/// The four Bernstein weights at t.
std::array<double, 4> bernstein(double t);
/// The parts before and after t, by de Casteljau.
std::pair<Cubic, Cubic> split(const Cubic& c, double t);
/// px, by 24 chords: less than 0.1 % short for a smooth cubic.
double length(const Cubic& c);
/// Unit direction of travel at the ends, towards the next control point that lies elsewhere.
Point start_tangent(const Cubic& c);
Point end_tangent(const Cubic& c);
/// How far a cubic leaves the box of its own end points, and where: an extreme without a node.
struct ExtremumExcess {
  double depth_px = 0;
  double t = 0;
  bool in_x = false;  ///< to the left or right, not up or down
};
/// The deepest excess along each axis, x first.
std::array<ExtremumExcess, 2> pokes(const Cubic& c);
/// The deeper of the two.
ExtremumExcess poke(const Cubic& c);
/// Signed curvature, 1/px; positive turns clockwise on screen. 0 where the derivative vanishes.
double curvature(const Cubic& c, double t);

/// Nearest point on one cubic, by a table of places and Newton steps. Beyond the ends the curve goes on along its end
/// tangents, so that a point off the end is judged by its offset across the tangent only.
class FootFinder {
 public:
  explicit FootFinder(const Cubic& c);
  struct Foot {
    double t = 0;          ///< 0..1
    double beyond_px = 0;  ///< distance along the end tangent past an end (0 inside); negative before the start
    Point at;              ///< nearest place
    Point normal;          ///< unit normal there, left_of(tangent)
    double offset_px = 0;  ///< signed: dot(p - at, normal)
  };
  /// Looks for the foot among parameters [t_low, t_high] only.
  Foot foot(Point p, double t_low = 0, double t_high = 1) const;
  /// Looks only where the share of the arc length is within `window` of the given one. (The parameter itself would not
  /// do: where a long handle stands against a short one, its middle lies near an end of the arc.)
  Foot foot_near(Point p, double share, double window) const {
    return foot(p, parameter_at(share - window), parameter_at(share + window));
  }
  /// Parameter at a share of the arc length; 0..1 outside.
  double parameter_at(double share) const;

 private:
  static constexpr int table_size = 25;  // finer than a third of a cubic's three monotone bends
  Point place(double t) const { return c_[0] + t * (k1_ + t * (k2_ + t * k3_)); }
  Point slope(double t) const { return k1_ + t * (2 * k2_ + (3 * t) * k3_); }
  Cubic c_;
  Point k1_, k2_, k3_;  // power form: c0 + k1 t + k2 t^2 + k3 t^3
  std::array<Point, table_size> table_;
  std::array<float, table_size> near_x_, near_y_;  // the table from c0 on: the nearest of it is found four at a time
  std::array<double, table_size> share_;           // of the arc length, up to each place of the table
};

}  // namespace batten
