#include "ink/turn_over.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Brightness 0..1. The frame of 290 scans of dark lines was never darker than 0.43, dark photographs among them.
constexpr float dark_ground = 0.45f, dark_frame = 0.5f, black_frame = 0.35f;
constexpr double frame_part = 0.02;        // of the longer side: how broad a frame is looked at
constexpr double surroundings_part = 0.3;  // of the longer side: what is narrower than half of it stands out
constexpr float stands_out = 0.12f;        // more than any light falls off within that
constexpr double least_drawn = 0.002;      // part of the picture

cv::Mat1f copy_of(const Scan& scan) {
  return 0.299 * as_mat(scan.copy.red) + 0.587 * as_mat(scan.copy.green) + 0.114 * as_mat(scan.copy.blue);
}

// Four fifths of the frame are darker than this.
float frame_brightness(const cv::Mat1f& copy, int broad) {
  std::vector<float> values;
  for (int y = 0; y < copy.rows; ++y)
    for (int x = 0; x < copy.cols; ++x)
      if (std::min({x, y, copy.cols - 1 - x, copy.rows - 1 - y}) < broad) values.push_back(copy(y, x));
  return quantile(std::move(values), 0.8);
}

struct Tails {
  double bright = 0, dark = 0;  // parts of the picture that stand out from their surroundings
};
Tails tails_of(const cv::Mat1f& copy, int half) {
  cv::Mat1b bytes, padded;
  copy.convertTo(bytes, CV_8U, 255);
  cv::copyMakeBorder(bytes, padded, half, half, half, half, cv::BORDER_REPLICATE);
  cv::medianBlur(padded, padded, 2 * half + 1);
  Tails out;
  for (int y = 0; y < copy.rows; ++y)
    for (int x = 0; x < copy.cols; ++x) {
      const float off = copy(y, x) - float(padded(y + half, x + half)) / 255;
      out.bright += off > stands_out, out.dark += off < -stands_out;
    }
  out.bright /= double(copy.total()), out.dark /= double(copy.total());
  return out;
}

bool is_negative(const cv::Mat1f& copy) {
  const double side = std::max(copy.cols, copy.rows);
  if (median<float>({copy.begin(), copy.end()}) >= dark_ground) return false;
  const float frame = frame_brightness(copy, std::max(2, int(frame_part * side)));
  if (frame >= dark_frame) return false;
  const Tails tails = tails_of(copy, std::max(1, int(surroundings_part / 2 * side)));
  // Broad shapes stand out at their corners only, dark and bright alike; then the frame must be black.
  return tails.bright > least_drawn &&
         (tails.bright > 3 * tails.dark || (frame < black_frame && tails.bright > tails.dark));
}

void invert(Plane<float>* plane) {
  for (float& v : plane->values) v = 1 - v;
}

}  // namespace

Result<Scan> turn_over(Scan scan, const Progress& progress, std::vector<Finding>* findings) {
  const bool negative = is_negative(copy_of(scan));
  if (progress.stopped()) return progress.cancelled();
  if (!negative) return scan;
  for (Plane<float>* plane : {&scan.grey, &scan.copy.red, &scan.copy.green, &scan.copy.blue}) invert(plane);
  scan.brightest = {};  // coloured guides are darker than chalk: they need not be told apart
  findings->push_back({.what = Finding::What::turned_over,
                       .text = "The lines are lighter than the ground: the picture was turned over to be traced."});
  return scan;
}

}  // namespace batten
