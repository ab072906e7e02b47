#pragma once
// Distances of pixels to a mask as far as they matter, and what is made of them.

#include <opencv2/core.hpp>
#include <stop_token>
#include <vector>

namespace batten {

/// Nobody asks about distances over this, seven widths of the broadest pencil stroke.
constexpr int farthest_px = 256;

/// How distances are measured: how far they matter, px, and on how many threads.
struct Reach {
  int px = farthest_px, threads = 1;
  std::stop_token stop;
};

/// Distance to the nearest place of the mask, px; beyond the reach any larger value. A whole sheet goes in strips of
/// rows, each with the rows beside it that can matter, so that a stop is heard between them and threads can share them.
cv::Mat1f distance_to(const cv::Mat1b& zero_there, const Reach& reach);

/// Places at most that far from the mask: distance_to(mask) <= radius_px in a tenth of its time, whatever the reach.
cv::Mat1b within(const cv::Mat1b& mask, double radius_px, const Reach& reach);

/// Where a disc of that radius fits into the places that are no ink. Nowhere when asked to stop: each step on a whole
/// sheet takes some 50 ms at most, so that a stop is looked for between any two of them.
cv::Mat1b opened(const cv::Mat1b& ink, double radius_px, const Reach& reach);

/// How deep the middle of the mask lies in it, row by row: the distances of ridge_of(), where they are within the
/// reach.
std::vector<float> ridge_depths(const cv::Mat1b& mask, const Reach& reach);

/// Pixels of `mask` that are farther from its edge than their neighbours.
cv::Mat1b ridge_of(const cv::Mat1b& mask, const cv::Mat1f& depth);

}  // namespace batten
