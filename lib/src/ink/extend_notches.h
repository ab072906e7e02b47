#pragma once
// Notches of an outline end where their two walls meet, not where the paper between them does.

#include <opencv2/core.hpp>
#include <stop_token>

#include "base/plane.h"

namespace batten {

/// `marks`: labels of paper; `wide`: where it is wider than a notch. Each tapering notch of it is carried on along its
/// axis, one pixel wide, through the ink towards where the middles of its walls meet, as far as ink goes and short of
/// that by a width of a wall. `to_ink`: distance to the ink, px; `ink`: strokes; `rim_px`: width of the walls. When
/// asked to stop it returns soon.
void extend_notches(const cv::Mat1b& wide, const cv::Mat1f& to_ink, const cv::Mat1b& ink, double rim_px,
                    const std::stop_token& stop, Plane<std::int32_t>* marks);

}  // namespace batten
