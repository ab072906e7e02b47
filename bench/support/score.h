#pragma once
// Compares a traced drawing with the outlines that were drawn: what a lettering artist would look at, in numbers.

#include <string>
#include <vector>

#include "batten/geometry.h"

namespace batten::support {

/// Counts over all outlines of one drawing; distances in px.
struct Score {
  std::size_t truth_outlines = 0, outlines = 0, paired = 0;  ///< missing = truth - paired, extra = outlines - paired
  std::size_t truth_segments = 0, segments = 0;              ///< of the paired outlines
  double rms_px = 0, p95_px = 0, max_px = 0;                 ///< both ways, over the paired outlines by length
  std::size_t truth_corners = 0, corners_found = 0;          ///< truth turns over 25 deg; found within 8 px
  std::size_t false_corners = 0;    ///< traced turns over 15 deg where the truth does not turn 25 deg within 6 px
  std::size_t missed_extremes = 0;  ///< segments that leave the box of their ends by over 0.3 px
  std::size_t kinks = 0;            ///< nodes that turn by 0.5..15 deg: neither smooth nor a corner
  std::size_t bumps = 0;            ///< changes of turning direction over 3 deg that the truth does not have
  std::size_t crossing = 0;         ///< outlines that cross themselves
  std::size_t handles_near_axis = 0, handles_on_axis = 0;    ///< within 3 deg of level or vertical; within 0.02 deg
  std::size_t axis_straights = 0, axis_straights_found = 0;  ///< level or vertical straights of the truth over 12 px
  std::size_t wrong_way = 0;         ///< outer not clockwise on screen, counter not the other way
  std::size_t start_off_corner = 0;  ///< outlines that have corners and do not start at one
  std::size_t open = 0;

  double nodes() const { return truth_segments ? double(segments) / double(truth_segments) : 0; }
  std::size_t missing() const { return truth_outlines - paired; }
  std::size_t extra() const { return outlines - paired; }
};

Score score(const std::vector<Outline>& truth, const std::vector<Outline>& traced);
/// Sums counts; distances are added by length-weighted squares (rms) or as the largest (p95, max).
Score sum(const Score& a, const Score& b);
/// One line for a log or a failed test.
std::string text_of(const Score& score);

/// Turn at node i in degrees, 0..180, from the directions of the segments there.
double turn_deg(const Outline& outline, std::size_t i);
/// Direction of a cubic at its start (end = false) or end; the first control point that differs decides.
Point direction(const Cubic& cubic, bool end);
/// How far a segment leaves the box of its end points, px.
double leaves_box_px(const Cubic& cubic);
/// Changes of the turning direction by more than 3 deg between corners.
std::size_t turning_changes(const Outline& outline);

}  // namespace batten::support
