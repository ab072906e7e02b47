#pragma once
// What the reduced copy of a picture shows of its paper: brightness and colour without lines, areas without steps. Only
// pixel sources (*.cpp) include this.

#include "base/plane_cv.h"
#include "ink/load_scan.h"

namespace batten {

struct Look {
  cv::Mat1f level;              // brightness, lines closed away
  cv::Mat1f redness, blueness;  // what red and blue have over grey, as a share of it
};
Look look_at(const ColourCopy& copy);

/// Distance of two colours (each sample less grey, over grey). Measured: 0.02 to 0.07 between places of one sheet in
/// warm and cold light, 0.24 to 0.48 from sheets to wooden tables.
inline constexpr float other_colour = 0.1f;

/// Where neither brightness nor colour steps.
cv::Mat1b even_areas(const Look& look);

struct Parts {
  cv::Mat1i labels, stats;
  int count = 0;
  int area(int label) const { return stats(label, cv::CC_STAT_AREA); }
};
Parts parts_of(const cv::Mat1b& mask);

/// The largest part if it covers three tenths of the picture: the bright paper of the sheet. 0 if there is none.
int largest_part(const Parts& parts);

float median_where(const cv::Mat1f& values, const cv::Mat1b& where);

}  // namespace batten
