#pragma once
// Outlines with a known formula, and plain ways to sample an outline (no code of the library is used).

#include <vector>

#include "batten/geometry.h"

namespace batten::support {

using Polyline = std::vector<Point>;

/// Closed outline from cubics that follow each other (each ends where the next begins). A cubic whose handles lie in
/// its ends is a straight. `smooth` and `reason` are set from the geometry: turns below 1 degree are smooth.
Outline outline_from(const std::vector<Cubic>& cubics);

/// A circle of n equal arcs, clockwise on screen; handles of length k * radius; nodes at radius * node_radius.
Outline circle(Point centre, double radius, int n, double k, double node_radius = 1, double turn_rad = 0);
/// The usual handle length of an arc of 2 pi / n: 4/3 tan(alpha/4).
double standard_handle(int n);

Outline polygon(const Polyline& corners);

Polyline circle_points(Point centre, double radius, double step_px);
Polyline ellipse_points(Point centre, double a, double b, double turn_rad, double step_px);

Point at(const Cubic& cubic, double t);
Point derivative(const Cubic& cubic, double t);

/// Points of an outline, step_px apart along it (arc length by dense chords), nodes included; last != first.
Polyline points_of(const Outline& outline, double step_px);

Outline moved(const Outline& outline, double scale, double turn_rad, Point shift);
/// The same outline the other way round.
Outline reversed(const Outline& outline);

}  // namespace batten::support
