#include "ink/pale_view.h"

#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/measure_patch.h"

namespace batten {
namespace {

constexpr double smoothing_px = 0.7;  // thin lines keep their darkness
constexpr int most_side_px = 2400;    // of the reduced picture on which lines are looked for
constexpr int flank_px = 4;           // beside a drawn line its own edge is pale

bool is_top(const cv::Mat1f& m, int x, int y) {
  const float v = m(y, x);
  return (v >= m(y, x - 1) && v > m(y, x + 1)) || (v >= m(y - 1, x) && v > m(y + 1, x));
}

cv::Mat1b with_flanks(const cv::Mat1f& smooth, double least) {
  const int side = 2 * flank_px + 1;
  cv::Mat1b out = smooth > least;
  cv::dilate(out, out, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}));
  return out;
}

}  // namespace

PaleView view_of(const Ink& ink, const std::stop_token& stop, double share) {
  PaleView out;
  out.reduction = (std::max(ink.ink.width, ink.ink.height) + most_side_px - 1) / most_side_px;
  if (std::min(ink.ink.width, ink.ink.height) < 100 * out.reduction || stop.stop_requested()) return {};
  out.ink = as_mat(ink.ink);
  if (out.reduction > 1)
    cv::resize(as_mat(ink.ink), out.ink, {ink.ink.width / out.reduction, ink.ink.height / out.reduction}, 0, 0,
               cv::INTER_AREA);
  out.smooth = gauss(out.ink, smoothing_px);
  if (stop.stop_requested()) return {};
  std::vector<float> tops, rest;
  const float threshold = float(ink_threshold(ink.noise));
  for (int y = 1; y + 1 < out.ink.rows; ++y)
    for (int x = 1; x + 1 < out.ink.cols; ++x) {
      const float v = out.smooth(y, x);
      if (v > threshold && is_top(out.smooth, x, y)) tops.push_back(v);
      if ((x + y) % 4 == 0) rest.push_back(std::abs(v));
    }
  if (stop.stop_requested()) return {};
  out.level = quantile(std::move(tops), 0.75), out.sigma = 1.4826 * median(std::move(rest));
  out.covered = with_flanks(out.smooth, share * out.level);
  return out;
}

Plane<std::uint8_t> drawn_places(const Plane<float>& ink, double drawn_level, double share) {
  Plane<std::uint8_t> out(ink.width, ink.height);
  with_flanks(gauss(as_mat(ink), smoothing_px), share * drawn_level).copyTo(as_mat(out));
  return out;
}

}  // namespace batten
