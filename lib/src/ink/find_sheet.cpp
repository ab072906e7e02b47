#include "ink/find_sheet.h"

#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Lengths below are parts of the longer side, px of the reduced copy.
constexpr double line_half_px = 0.015;  // lines narrower than 3 % are closed away; a copy has 400 px at most
// Steps of the logarithm of brightness from one pixel to the next: light and vignettes reach 1.2 %, the edge of a sheet
// on a table 5 % and more. Colour counts double, since light hardly changes it.
constexpr float steepest = 0.022f;
// Distance of two colours (each sample less grey, over grey). Measured: 0.02 to 0.07 between places of one sheet in
// warm and cold light, 0.24 to 0.48 from sheets to wooden tables.
constexpr float other_colour = 0.1f;
// Over the sheet's brightness nearby. Cast shadows measured 0.4 to 0.85, dark tables and frames 0.08 to 0.15.
constexpr float too_dark = 0.33f;
// Added to brightness before dividing by it, so that the colour noise of black places stays small.
constexpr float black_level = 0.08f;

struct Look {
  cv::Mat1f level;              // brightness, lines closed away
  cv::Mat1f redness, blueness;  // what red and blue have over grey, as a share of it
};

cv::Mat1f median_of(const cv::Mat1f& in) {
  cv::Mat1f out;
  cv::medianBlur(in, out, 5);
  return out;
}

// Fills what is dark and narrow. The border is repeated, so that a dark strip along the frame is not filled.
cv::Mat1f without_lines(const cv::Mat1f& grey, int half_px) {
  cv::Mat1f padded, closed;
  cv::copyMakeBorder(grey, padded, half_px, half_px, half_px, half_px, cv::BORDER_REPLICATE);
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {2 * half_px + 1, 2 * half_px + 1});
  cv::morphologyEx(padded, closed, cv::MORPH_CLOSE, square);
  return closed(cv::Rect(half_px, half_px, grey.cols, grey.rows)).clone();
}

Look look_at(const ColourCopy& copy) {
  const cv::Mat1f red = as_mat(copy.red), green = as_mat(copy.green), blue = as_mat(copy.blue);
  const cv::Mat1f grey = 0.299 * red + 0.587 * green + 0.114 * blue;
  const int half_px = std::max(1, int(std::lround(line_half_px * std::max(grey.cols, grey.rows))));
  Look out{median_of(without_lines(grey, half_px)), {}, {}};
  out.redness = median_of(red - grey) / (out.level + black_level);
  out.blueness = median_of(blue - grey) / (out.level + black_level);
  return out;
}

cv::Mat1f steepness(const cv::Mat1f& value) {
  const cv::Mat1f smooth = gauss(value, 1.5);
  cv::Mat1f across, down, out;
  cv::Sobel(smooth, across, CV_32F, 1, 0, 3, 1. / 8);
  cv::Sobel(smooth, down, CV_32F, 0, 1, 3, 1. / 8);
  cv::magnitude(across, down, out);
  return out;
}

struct Parts {
  cv::Mat1i labels, stats;
  int count = 0;
};
Parts parts_of(const cv::Mat1b& mask) {
  Parts out;
  cv::Mat1d middles;
  out.count = cv::connectedComponentsWithStats(mask, out.labels, out.stats, middles, 4);
  return out;
}

// The largest area without a step of brightness or colour: the bright paper of the sheet. Empty if there is none that
// covers three tenths of the picture.
cv::Mat1b bright_paper(const Look& look) {
  cv::Mat1f log_level;
  cv::log(look.level + 0.02f, log_level);
  cv::Mat1f steep = cv::max(steepness(log_level), 2 * steepness(look.redness));
  steep = cv::max(steep, 2 * steepness(look.blueness));
  cv::Mat1b even = steep < steepest;
  cv::erode(even, even, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));  // no leaks through single pixels
  const Parts parts = parts_of(even);
  int largest = 0, area = int(0.3 * double(even.total()));
  for (int i = 1; i < parts.count; ++i)
    if (parts.stats(i, cv::CC_STAT_AREA) > area) largest = i, area = parts.stats(i, cv::CC_STAT_AREA);
  return largest > 0 ? cv::Mat1b(parts.labels == largest) : cv::Mat1b();
}

float median_where(const cv::Mat1f& values, const cv::Mat1b& where) {
  std::vector<float> list;
  for (int y = 0; y < values.rows; ++y)
    for (int x = 0; x < values.cols; ++x)
      if (where(y, x)) list.push_back(values(y, x));
  return median(std::move(list));
}

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
  const ColourCopy& copy = scan.colours;
  if (std::min(copy.red.width, copy.red.height) < 60) return {};  // too coarse to tell a straight edge
  const Look look = look_at(copy);
  if (stop.stop_requested()) return {};
  const cv::Mat1b paper = bright_paper(look);
  if (paper.empty() || stop.stop_requested()) return {};
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
