#pragma once
// Masks shrunk and grown by discs. Only pixel sources (*.cpp) include this.

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

#include "ink/bounded_distance.h"

namespace batten {

/// Distance of each pixel that is on to the nearest that is off, px; what lies beyond the edges counts as on.
inline cv::Mat1f depth_in(const cv::Mat1b& mask) {
  cv::Mat1f out;
  cv::distanceTransform(mask, out, cv::DIST_L2, 5);
  return out;
}

/// What is farther than that from all that is off: depth_in(mask) > radius_px.
inline cv::Mat1b shrunk(const cv::Mat1b& mask, double radius_px) { return within(mask == 0, radius_px, {}) == 0; }
inline cv::Mat1b widened(const cv::Mat1b& mask, double radius_px) { return within(mask, radius_px, {}); }
inline cv::Mat1b closed(const cv::Mat1b& mask, double radius_px) { return shrunk(widened(mask, radius_px), radius_px); }

/// Where a distance is as large as anywhere beside it, and at least 1 px.
inline cv::Mat1b crests_of(const cv::Mat1f& depth) {
  cv::Mat1f highest;
  cv::dilate(depth, highest, cv::Mat1b::ones(3, 3));
  return (depth >= highest) & (depth >= 1);
}

}  // namespace batten
