#include "ink/find_sheet.h"

#include <cmath>

#include "base/plane_cv.h"

namespace batten {
namespace {

// Over the sheet's brightness nearby. Cast shadows measured 0.4 to 0.85, dark tables and frames 0.08 to 0.15.
constexpr float too_dark = 0.33f;

// Marks what has another colour than the paper (1) or is too dark for it (2).
Plane<std::uint8_t> find_foreign(const Look& look, const Plane<std::uint8_t>& paper) {
  cv::Mat1f weight;
  as_mat(paper).convertTo(weight, CV_32F, 1. / 255);
  const double side = std::max(paper.width, paper.height);
  // Far from any bright paper its mean stands for it.
  const cv::Mat1f level = as_mat(look.level);
  const MaskedMean near = masked_mean(level, weight, 0.06 * side);
  const float mean = float(cv::sum(level.mul(weight))[0] / cv::sum(weight)[0]);
  const float red = median_where(look.redness, paper), blue = median_where(look.blueness, paper);
  Plane<std::uint8_t> out(paper.width, paper.height);
  for (int y = 0; y < paper.height; ++y)
    for (int x = 0; x < paper.width; ++x) {
      if (paper.at(x, y)) continue;
      const float bright = near.weight(y, x) > 1e-4f ? near.mean(y, x) : mean;
      if (look.level.at(x, y) < too_dark * bright)
        out.at(x, y) = 2;
      else if (std::hypot(look.redness.at(x, y) - red, look.blueness.at(x, y) - blue) > other_colour)
        out.at(x, y) = 1;
    }
  return out;
}

// What a part of the picture has that is no sheet.
struct AlongFrame {
  double touch_px = 0;     // length on the frame
  bool at_corner = false;  // of the frame
  double inside = 0;       // share of the part within the convex hull of all the rest
  double depth_px = 0;     // how far from its edge it reaches there
  int bends = 0;           // of the hull, inside the picture: corners of the sheet
};

AlongFrame along_frame(const cv::Mat1b& part) {
  AlongFrame out;
  const int right = part.cols - 1, bottom = part.rows - 1;
  for (const int y : {0, bottom}) out.touch_px += cv::countNonZero(part.row(y));
  for (const int x : {0, right}) out.touch_px += cv::countNonZero(part.col(x));
  out.at_corner = part(0, 0) || part(0, right) || part(bottom, 0) || part(bottom, right);
  std::vector<cv::Point> rest, hull, straight;
  cv::findNonZero(part == 0, rest);
  cv::convexHull(rest, hull);
  cv::Mat1b within(part.size(), std::uint8_t(0));
  cv::fillConvexPoly(within, hull, 255);
  cv::Mat1f depth;
  cv::distanceTransform(part, depth, cv::DIST_L2, 3);
  double deepest = 0;
  cv::minMaxLoc(depth, nullptr, &deepest, nullptr, nullptr, within);
  out.depth_px = deepest;
  out.inside = double(cv::countNonZero(part & within)) / std::max(1, cv::countNonZero(part));
  cv::approxPolyDP(hull, straight, 0.01 * std::max(part.cols, part.rows), true);
  for (const cv::Point& p : straight) out.bends += p.x > 1 && p.y > 1 && p.x < right - 1 && p.y < bottom - 1;
  return out;
}

bool is_no_sheet(const cv::Mat1b& part, bool coloured) {
  const AlongFrame along = along_frame(part);
  const double side = std::max(part.cols, part.rows), touch = along.touch_px / std::min(part.cols, part.rows);
  // A coloured corner is told from a drawing by its colour and its straight edge; a black one might be a letter that
  // runs out of the picture, so it has to run along more of the frame.
  if (touch < (coloured && along.at_corner ? 0.06 : 0.3)) return false;
  // A quarter of a disc in a corner has 0.36 inside; edges of sheets that are bent a little measured up to 0.08. Along
  // a narrow strip the share says nothing, but only a strip runs along half of the side and is so narrow.
  const bool convex = along.inside < 0.15 && along.depth_px < 0.02 * side;
  const bool strip = touch > 0.5 && along.depth_px < 0.015 * side;
  return (convex || strip) && along.bends <= 4;
}

}  // namespace

Plane<std::uint8_t> find_no_sheet(const Look& look, const std::stop_token& stop) {
  if (std::min(look.level.width, look.level.height) < 60) return {};  // too coarse to tell a straight edge
  const Parts even = parts_of(look.even);
  const int bright = largest_part(even);
  if (bright == 0 || stop.stop_requested()) return {};
  const Plane<std::uint8_t> foreign = find_foreign(look, even.mask(bright));
  Plane<std::uint8_t> mask(foreign.width, foreign.height), out(foreign.width, foreign.height);
  cv::morphologyEx(as_mat(foreign) > 0, as_mat(mask), cv::MORPH_CLOSE,
                   cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
  const Parts parts = parts_of(mask);
  bool any = false;
  for (int i = 1; i < parts.count(); ++i) {
    if (stop.stop_requested()) return {};
    const PixelBox& box = parts.boxes[i];
    if (box.x > 0 && box.y > 0 && box.right() < mask.width && box.bottom() < mask.height) continue;
    const Plane<std::uint8_t> part = parts.mask(i);
    const bool coloured = 2 * cv::countNonZero(as_mat(part) & (as_mat(foreign) == 1)) > parts.areas[i];
    if (!is_no_sheet(as_mat(part), coloured)) continue;
    as_mat(out).setTo(1, as_mat(part));
    any = true;
  }
  if (!any) return {};
  // The edge of the sheet and its narrow shadow on the table belong to neither.
  cv::dilate(as_mat(out), as_mat(out), cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
  return out;
}

}  // namespace batten
