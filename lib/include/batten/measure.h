#pragma once
/// \file
/// The independent judge: dense, both ways, and sharing no code with the fitter.

#include <span>

#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

struct Deviation {
  double max_px = 0, rms_px = 0, p95_px = 0;
  Point worst;  ///< on the outline or the polyline, where max_px is
};

/// Distance between a closed outline and a closed polyline, both ways: samples of the outline (at most step_px apart)
/// to the polyline's edges, and samples of the polyline to the flattened outline. Distances are to the nearest place of
/// the matching stretch: a place that lies more than a window of arc length away from the matched position does not
/// count, so that a spur that runs along a neighbouring wall is not excused by that wall.
/// step_px > 0. An empty side gives infinite distances.
BATTEN_EXPORT Deviation measure(const Outline& outline, std::span<const Point> polyline, double step_px = 0.25);

/// Does the outline cross itself or another one? Flattened to flatness_px.
BATTEN_EXPORT bool crosses_itself(const Outline& outline, double flatness_px = 0.1);
BATTEN_EXPORT bool cross_each_other(const Outline& a, const Outline& b, double flatness_px = 0.1);

/// Area enclosed, px^2; positive when the outline runs clockwise on screen (y down). Exact (Green's theorem).
BATTEN_EXPORT double signed_area_px2(const Outline& outline);

}  // namespace batten
