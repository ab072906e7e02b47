#include "ink/look_at_copy.h"

#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

// Lengths below are parts of the longer side, px of the reduced copy.
constexpr double line_half_px = 0.015;  // lines narrower than 3 % are closed away; a copy has 400 px at most
// Steps of the logarithm of brightness from one pixel to the next: light and vignettes reach 1.2 %, the edge of a sheet
// on a table 5 % and more. Colour counts double, since light hardly changes it.
constexpr float steepest = 0.022f;
// Added to brightness before dividing by it, so that the colour noise of black places stays small.
constexpr float black_level = 0.08f;

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

cv::Mat1f steepness(const cv::Mat1f& value) {
  const cv::Mat1f smooth = gauss(value, 1.5);
  cv::Mat1f across, down, out;
  cv::Sobel(smooth, across, CV_32F, 1, 0, 3, 1. / 8);
  cv::Sobel(smooth, down, CV_32F, 0, 1, 3, 1. / 8);
  cv::magnitude(across, down, out);
  return out;
}

}  // namespace

Look look_at(const ColourCopy& copy) {
  const cv::Mat1f red = as_mat(copy.red), green = as_mat(copy.green), blue = as_mat(copy.blue);
  const cv::Mat1f grey = 0.299 * red + 0.587 * green + 0.114 * blue;
  const int half_px = std::max(1, int(std::lround(line_half_px * std::max(grey.cols, grey.rows))));
  Look out{median_of(without_lines(grey, half_px)), {}, {}};
  out.redness = median_of(red - grey) / (out.level + black_level);
  out.blueness = median_of(blue - grey) / (out.level + black_level);
  return out;
}

cv::Mat1b even_areas(const Look& look) {
  cv::Mat1f log_level;
  cv::log(look.level + 0.02f, log_level);
  cv::Mat1f steep = cv::max(steepness(log_level), 2 * steepness(look.redness));
  steep = cv::max(steep, 2 * steepness(look.blueness));
  cv::Mat1b even = steep < steepest;
  cv::erode(even, even, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));  // no leaks through single pixels
  return even;
}

Parts parts_of(const cv::Mat1b& mask) {
  Parts out;
  cv::Mat1d middles;
  out.count = cv::connectedComponentsWithStats(mask, out.labels, out.stats, middles, 4);
  return out;
}

int largest_part(const Parts& parts) {
  int largest = 0, area = int(0.3 * double(parts.labels.total()));
  for (int i = 1; i < parts.count; ++i)
    if (parts.area(i) > area) largest = i, area = parts.area(i);
  return largest;
}

float median_where(const cv::Mat1f& values, const cv::Mat1b& where) {
  std::vector<float> list;
  for (int y = 0; y < values.rows; ++y)
    for (int x = 0; x < values.cols; ++x)
      if (where(y, x)) list.push_back(values(y, x));
  return median(std::move(list));
}

}  // namespace batten
