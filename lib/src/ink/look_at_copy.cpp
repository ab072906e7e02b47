#include "ink/look_at_copy.h"

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

template <class T>
Plane<T> plane_of(const cv::Mat_<T>& m) {
  Plane<T> out(m.cols, m.rows);
  m.copyTo(as_mat(out));
  return out;
}

Plane<std::uint8_t> even_areas(const Look& look, bool coloured) {
  cv::Mat1f log_level;
  cv::log(as_mat(look.level) + 0.02f, log_level);
  cv::Mat1f steep = steepness(log_level);
  for (const Plane<float>* colour : {&look.redness, &look.blueness})
    if (coloured) steep = cv::max(steep, 2 * steepness(as_mat(*colour)));
  cv::Mat1b even = (steep < steepest) / 255;
  cv::erode(even, even, cv::getStructuringElement(cv::MORPH_RECT, {3, 3}));  // no leaks through single pixels
  return plane_of(even);
}

}  // namespace

Look look_at(const ColourCopy& copy) {
  const cv::Mat1f red = as_mat(copy.red), green = as_mat(copy.green), blue = as_mat(copy.blue);
  const bool coloured = copy.red.values != copy.green.values || copy.red.values != copy.blue.values;
  const cv::Mat1f grey = 0.299 * red + 0.587 * green + 0.114 * blue;
  const int half_px = std::max(1, int(std::lround(line_half_px * std::max(grey.cols, grey.rows))));
  const cv::Mat1f level = median_of(without_lines(grey, half_px));
  const auto over_grey = [&](const cv::Mat1f& sample) {
    if (!coloured) return Plane<float>(grey.cols, grey.rows);
    return plane_of(cv::Mat1f(median_of(sample - grey) / (level + black_level)));
  };
  Look out{plane_of(level), over_grey(red), over_grey(blue), {}};
  out.even = even_areas(out, coloured);
  return out;
}

Plane<std::uint8_t> Parts::mask(int label) const { return plane_of(cv::Mat1b(as_mat(labels) == label)); }

Parts parts_of(const Plane<std::uint8_t>& marked) {
  MaskPieces pieces = connected_pieces(as_mat(marked), 4);
  return {plane_of(pieces.labels), std::move(pieces.areas_px2), std::move(pieces.boxes)};
}

int largest_part(const Parts& parts) {
  int largest = 0, area = int(0.3 * double(parts.labels.values.size()));
  for (int i = 1; i < parts.count(); ++i)
    if (parts.areas[i] > area) largest = i, area = parts.areas[i];
  return largest;
}

float median_where(const Plane<float>& values, const Plane<std::uint8_t>& where) {
  std::vector<float> list;
  for (std::size_t i = 0; i < values.values.size(); ++i)
    if (where.values[i]) list.push_back(values.values[i]);
  return median(std::move(list));
}

}  // namespace batten
