#pragma once
// A skeleton of pixels turned into a network.

#include <opencv2/core.hpp>

#include "network/line_network.h"

namespace batten {

/// Pixels with three or more neighbours are junctions; those that touch are one, in their middle. Lines between them
/// and ends become edges. Rings without a junction get a node of their own. Grid coordinates of the skeleton.
LineNetwork trace_skeleton(const cv::Mat1b& skeleton);

}  // namespace batten
