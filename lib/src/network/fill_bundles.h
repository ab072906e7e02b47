#pragma once
// Lines that were drawn with many strokes become one line each.

#include <opencv2/core.hpp>
#include <stop_token>

namespace batten {

/// The lower quartile of twice the distance to paper over the crests of a mask, px; 4 where there is none.
double thin_ridge_px(const cv::Mat1b& mask);

/// Pieces that closing by 1.2 strokes makes clearly wider, evenly wide and nearly full are bundles of strokes: there
/// the closed band is the line.
cv::Mat1b fill_bundles(const cv::Mat1b& mask, double stroke_px, int threads, const std::stop_token& stop);

/// Gaps between the strokes of a bundle are no faces: holes thinner than 0.35 of the line round them, or long, without
/// an island and thinner than 0.8 of it and of the lines beside them, are filled.
cv::Mat1b fill_slivers(cv::Mat1b mask, int threads, const std::stop_token& stop);

}  // namespace batten
