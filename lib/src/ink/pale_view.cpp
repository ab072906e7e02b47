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

// Of a construction line to either side of its middle, which is straight to a pixel or two.
constexpr int strip_px = 4;
// Grains of it that count as drawn: 95 of 100 stay below 0.6 of what was drawn, and none is longer than 15 px (52 of
// them in 24 drawings of our own).
constexpr double grain_share = 0.6;
constexpr int longest_grain_px = 24;

bool is_top(const float* above, const float* row, const float* below, int x) {
  const float v = row[x];
  return (v >= row[x - 1] && v > row[x + 1]) || (v >= above[x] && v > below[x]);
}

cv::Mat1b with_flanks(const cv::Mat1b& drawn) {
  const int side = 2 * flank_px + 1;
  cv::Mat1b out;
  cv::dilate(drawn, out, cv::getStructuringElement(cv::MORPH_ELLIPSE, {side, side}));
  return out;
}

// The strip within which a construction line lies, over its whole length.
cv::Mat1b strips_of(const std::vector<std::pair<Point, Point>>& lines, const cv::Size& size) {
  cv::Mat1b out(size, std::uint8_t(0));
  const auto at = [](Point p) { return cv::Point(int(std::lround(p.x)), int(std::lround(p.y))); };
  for (const auto& [from, to] : lines) cv::line(out, at(from), at(to), 255, 2 * strip_px + 1);
  return out;
}

}  // namespace

PaleView view_of(const Ink& ink, const std::stop_token& stop) {
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
  rest.reserve(out.ink.total() / 4);
  for (int y = 1; y + 1 < out.ink.rows; ++y) {
    const float *above = out.smooth[y - 1], *row = out.smooth[y], *below = out.smooth[y + 1];
    for (int x = 1; x + 1 < out.ink.cols; ++x)
      if (row[x] > threshold && is_top(above, row, below, x)) tops.push_back(row[x]);
    for (int x = 4 - y % 4; x + 1 < out.ink.cols; x += 4) rest.push_back(std::abs(row[x]));
  }
  if (stop.stop_requested()) return {};
  out.level = quantile(std::move(tops), 0.75), out.sigma = 1.4826 * median(std::move(rest));
  return out;
}

void cover_drawn(double share, PaleView* view) { view->covered = with_flanks(view->smooth > share * view->level); }

Plane<std::uint8_t> drawn_places(const Plane<float>& ink, double drawn_level, double share) {
  Plane<std::uint8_t> out(ink.width, ink.height);
  with_flanks(gauss(as_mat(ink), smoothing_px) > share * drawn_level).copyTo(as_mat(out));
  return out;
}

Plane<std::uint8_t> drawn_beside(const Plane<float>& ink, double drawn_level,
                                 const std::vector<std::pair<Point, Point>>& lines) {
  const cv::Mat1f smooth = gauss(as_mat(ink), smoothing_px);
  cv::Mat1b drawn = smooth > drawn_share * drawn_level;
  const cv::Mat1b strips = strips_of(lines, drawn.size());
  const MaskPieces pieces = connected_pieces(drawn, 8);
  const cv::Mat1i& labels = pieces.labels;
  std::vector<char> leaves(pieces.boxes.size(), 0);
  std::vector<double> sum(pieces.boxes.size(), 0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (const int k = labels(y, x); k > 0) leaves[k] |= strips(y, x) == 0, sum[k] += smooth(y, x);
  std::vector<char> grain(pieces.boxes.size(), 0);
  for (int i = 1; i < pieces.count(); ++i)
    grain[i] = !leaves[i] && sum[i] < grain_share * drawn_level * pieces.areas_px2[i] &&
               pieces.boxes[i].longest() < longest_grain_px;
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (grain[labels(y, x)]) drawn(y, x) = 0;
  Plane<std::uint8_t> out(ink.width, ink.height);
  with_flanks(drawn).copyTo(as_mat(out));
  return out;
}

}  // namespace batten
