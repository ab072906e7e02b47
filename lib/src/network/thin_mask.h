#pragma once
// A mask thinned to its middle lines, one pixel wide.

#include <opencv2/core.hpp>
#include <stop_token>

namespace batten {

/// Zhang & Suen, "A fast parallel algorithm for thinning digital patterns", 1984, then every pixel goes whose removal
/// joins or parts nothing (Yokoi's number for 8-connected figures is 1) and that is no end: what is left is one pixel
/// wide. When asked to stop it returns soon, and what it returns is to be thrown away.
cv::Mat1b thinned(const cv::Mat1b& mask, const std::stop_token& stop);

}  // namespace batten
