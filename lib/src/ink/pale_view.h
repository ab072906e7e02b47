#pragma once
// What the searches for pale lines see of a sheet: smoothed ink, and where something darker was drawn.

#include <opencv2/core.hpp>
#include <stop_token>
#include <utility>
#include <vector>

#include "base/pixel_grid.h"
#include "ink/separate_ink.h"

namespace batten {

struct PaleView {
  int reduction = 1;  ///< pixels of the sheet in one of this picture, each way
  cv::Mat1f ink;      ///< the sheet's own, reduced
  cv::Mat1f smooth;   ///< thin lines keep their darkness
  cv::Mat1b covered;  ///< what was drawn, with its flanks
  double level = 0;   ///< of what was drawn, 0..1; 0 where nothing was
  double sigma = 0;   ///< of smooth bare paper
};

/// Over the level of what was drawn, the least that counts as drawn. Measured: lines set out before a drawing and folds
/// 0.05 to 0.21; the palest lines of a drawing 0.26.
inline constexpr double drawn_share = 0.4;

/// Nothing is covered yet. Empty for sheets under 100 px, bare sheets, and when asked to stop.
PaleView view_of(const Ink& ink, const std::stop_token& stop);

/// Covers ink darker than `share` of what was drawn, with its flanks.
void cover_drawn(double share, PaleView* view);

/// Marks what was drawn, darker than construction, and a few pixels round it.
Plane<std::uint8_t> drawn_places(const Plane<float>& ink, double drawn_level, double share = drawn_share);

/// The same but for the darker grains of pale lines, each from one end to the other: pieces that do not leave a line's
/// own strip and are little darker than construction may be. What was drawn across a line, or along it and round a
/// corner, leaves it.
Plane<std::uint8_t> drawn_beside(const Plane<float>& ink, double drawn_level,
                                 const std::vector<std::pair<Point, Point>>& lines);

/// A place of the reduced picture on the sheet's grid.
inline Point on_sheet(Point p, int reduction) { return grid_of(double(reduction) * page_of(p)); }

}  // namespace batten
