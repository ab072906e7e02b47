#include "ink/find_sheet.h"

#include <cmath>

#include "ink/look_at_copy.h"

namespace batten {
namespace {

// Over the sheet's brightness nearby. Cast shadows measured 0.4 to 0.85, dark tables and frames 0.08 to 0.15.
constexpr float too_dark = 0.33f;
// Marks what has another colour than the paper (1) or is too dark for it (2).
cv::Mat1b find_foreign(const Look& look, const cv::Mat1b& paper) {
  cv::Mat1f weight;
  paper.convertTo(weight, CV_32F, 1. / 255);
  const double side = std::max(paper.cols, paper.rows);
  // Far from any bright paper its mean stands for it.
  const MaskedMean near = masked_mean(look.level, weight, 0.06 * side);
  const float mean = float(cv::sum(look.level.mul(weight))[0] / cv::sum(weight)[0]);
  const float red = median_where(look.redness, paper), blue = median_where(look.blueness, paper);
  cv::Mat1b out(paper.size(), std::uint8_t(0));
  for (int y = 0; y < paper.rows; ++y)
    for (int x = 0; x < paper.cols; ++x) {
      if (paper(y, x)) continue;
      const float bright = near.weight(y, x) > 1e-4f ? near.mean(y, x) : mean;
      if (look.level(y, x) < too_dark * bright)
        out(y, x) = 2;
      else if (std::hypot(look.redness(y, x) - red, look.blueness(y, x) - blue) > other_colour)
        out(y, x) = 1;
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

Plane<std::uint8_t> find_no_sheet(const Scan& scan, const std::stop_token& stop) {
  const ColourCopy& copy = scan.copy;
  if (std::min(copy.red.width, copy.red.height) < 60) return {};  // too coarse to tell a straight edge
  const Look look = look_at(copy);
  if (stop.stop_requested()) return {};
  const Parts even = parts_of(even_areas(look));
  const int bright = largest_part(even);
  if (bright == 0 || stop.stop_requested()) return {};
  const cv::Mat1b paper = even.labels == bright;
  cv::Mat1b foreign = find_foreign(look, paper), mask = foreign > 0;
  cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));
  const Parts parts = parts_of(mask);
  Plane<std::uint8_t> out(copy.red.width, copy.red.height);
  bool any = false;
  for (int i = 1; i < parts.count; ++i) {
    if (stop.stop_requested()) return {};
    const int x = parts.stats(i, cv::CC_STAT_LEFT), y = parts.stats(i, cv::CC_STAT_TOP);
    const bool at_frame = x == 0 || y == 0 || x + parts.stats(i, cv::CC_STAT_WIDTH) == mask.cols ||
                          y + parts.stats(i, cv::CC_STAT_HEIGHT) == mask.rows;
    if (!at_frame) continue;
    const cv::Mat1b part = parts.labels == i;
    const bool coloured = 2 * cv::countNonZero(part & (foreign == 1)) > parts.stats(i, cv::CC_STAT_AREA);
    if (!is_no_sheet(part, coloured)) continue;
    as_mat(out).setTo(1, part);
    any = true;
  }
  if (!any) return {};
  // The edge of the sheet and its narrow shadow on the table belong to neither.
  cv::dilate(as_mat(out), as_mat(out), cv::getStructuringElement(cv::MORPH_RECT, {5, 5}));
  return out;
}

}  // namespace batten
