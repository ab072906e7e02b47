#pragma once
/// \file
/// The independent judge: dense, both ways, and sharing no code with the fitter.

#include <optional>
#include <span>
#include <vector>

#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// How far two curves are apart, both ways.
struct Deviation {
  double max_px = 0;  ///< largest distance
  double rms_px = 0;  ///< root mean square, by length
  double p95_px = 0;  ///< 95 % of the length lies nearer
  Point worst;        ///< on the outline or the polyline, where max_px is
};

/// One of the distances that a Deviation sums up.
struct DistanceSample {
  double distance_px = 0;  ///< from one side to the other
  double weight_px = 0;    ///< the length that it stands for
};

/// The distance below which 95 % of the length lies, for samples of one or several outlines; infinite if there are
/// none.
BATTEN_EXPORT double percentile95_px(std::vector<DistanceSample> samples);

/// Distance between an outline and a polyline, both closed, both ways: samples of the outline (at most step_px apart)
/// to the polyline's edges, and samples of the polyline to the flattened outline. Distances are to the nearest place of
/// the matching stretch: a place that lies more than a window of arc length away from the matched position does not
/// count, so that a spur that runs along a neighbouring wall is not excused by that wall.
/// An open outline is held against the polyline as an open one, ends included.
/// step_px > 0. An empty outline or polyline, or a place that is none (not a number, over 1e9 px), gives infinite
/// distances. All samples are appended to `samples` if given.
///
/// \snippet polyline.cpp measure
BATTEN_EXPORT Deviation measure(const Outline& outline, std::span<const Point> polyline, double step_px = 0.25,
                                std::vector<DistanceSample>* samples = nullptr);

/// How far the polyline lies off an outline, along the outline: for each segment the distances at the parameters
/// k/n, k = 0..n-1 (the end is the next segment's beginning), n such that they are at most spacing_px apart. Signed:
/// positive where the polyline lies left of the direction of travel, which for outlines in the usual direction (outer
/// ones clockwise on screen) is the side of the paper. Matched as measure() does. Empty where measure() is infinite.
BATTEN_EXPORT std::vector<std::vector<double>> deviation_along(const Outline& outline, std::span<const Point> polyline,
                                                               double spacing_px = 4);

/// Does the outline cross itself? Flattened to flatness_px > 0. An open line is not closed for that.
BATTEN_EXPORT bool crosses_itself(const Outline& outline, double flatness_px = 0.1);
/// Where it crosses itself, px: the crossing farthest left, or another beside it; empty where it does not.
BATTEN_EXPORT std::optional<Point> crossing_of(const Outline& outline, double flatness_px = 0.1);
/// Do two outlines cross? Flattened to flatness_px > 0.
BATTEN_EXPORT bool cross_each_other(const Outline& a, const Outline& b, double flatness_px = 0.1);

/// Area enclosed, px^2; positive when the outline runs clockwise on screen (y down). Exact (Green's theorem). 0 for an
/// open line.
BATTEN_EXPORT double signed_area_px2(const Outline& outline);

/// How a drawing compares with the right one.
struct Comparison {
  std::size_t outlines = 0;         ///< in both
  std::size_t missing = 0;          ///< outlines of the truth without one in the drawing
  std::size_t extra = 0;            ///< outlines of the drawing without one in the truth
  std::size_t segments = 0;         ///< of the drawing's outlines that are in both
  std::size_t truth_segments = 0;   ///< of the truth's
  std::size_t corners_found = 0;    ///< corners of the truth with one of the drawing within 5 px
  std::size_t corners_missing = 0;  ///< corners of the truth without one
  std::size_t corners_extra = 0;    ///< corners of the drawing that are none in the truth
  double max_px = 0;                ///< largest distance as measure() has it, over all outlines that are in both;
                                    ///< infinite, as the next two, where none is
  double rms_px = 0;                ///< over the same, by length
  double p95_px = 0;                ///< 95 % of the length lies nearer, over the same
  Point worst;                      ///< where max_px is
};

/// Compares outlines that are paired by where they lie; both drawings are in px of the same sheet.
BATTEN_EXPORT Comparison compare(const Drawing& drawing, const Drawing& truth);

}  // namespace batten
