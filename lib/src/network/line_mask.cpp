#include "network/line_mask.h"

#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "network/fill_bundles.h"
#include "network/find_solids.h"
#include "network/thin_mask.h"

namespace batten {
namespace {

// Beyond this a scan shows a pencil line in 6 pixels and more, and half as many tell the same in a quarter of the time.
constexpr int large_px = 9000;

cv::Mat1b box(int half) { return cv::Mat1b::ones(2 * half + 1, 2 * half + 1); }

// How much darker each place is than the lightest ink within 1.2 % of the sheet: slow shading, stains and rests of
// shadows go, lines stay. The lightest is taken of smoothed ink: the lightest grain alone would turn tone into texture.
cv::Mat1f local_ink(const cv::Mat1f& ink) {
  const int r = std::max(7, int(0.012 * std::max(ink.cols, ink.rows)));
  const int reduce = std::max(1, r / 10);  // what is as wide as that shows in a smaller copy as well
  cv::Mat1f base = gauss(ink, 2);
  cv::resize(base, base, {}, 1. / reduce, 1. / reduce, cv::INTER_NEAREST);
  const int half = std::max(1, r / reduce);
  cv::morphologyEx(base, base, cv::MORPH_OPEN, box(half), {-1, -1}, 1, cv::BORDER_REPLICATE);
  cv::blur(base, base, {half, half}, {-1, -1}, cv::BORDER_REPLICATE);
  cv::resize(base, base, ink.size(), 0, 0, cv::INTER_LINEAR);
  return (ink - base) / cv::max(1 - base, 0.05f);
}

std::vector<float> every(const cv::Mat1f& values, const cv::Mat1b& where, int step) {
  std::vector<float> out;
  for (int y = step / 2; y < values.rows; y += step)
    for (int x = step / 2; x < values.cols; x += step)
      if (where(y, x)) out.push_back(values(y, x));
  return out;
}

float median_distance(std::vector<float> values, float from) {
  for (float& v : values) v = std::abs(v - from);
  return median(std::move(values));
}

// One standard deviation of the grain of the paper: of what a Gaussian of 1.5 px takes away.
double grain_of(const cv::Mat1f& ink, const cv::Mat1b& valid) {
  const cv::Mat1f fine = ink - gauss(ink, 1.5);
  return std::max(0.002, 1.4826 * double(median_distance(every(fine, valid, 3), 0)));
}

struct Levels {
  double dark = 0.2, strong = 0, weak = 0;
};

// Crests of noise, print-through and rests of ruling are low and those of pencil high: Otsu's threshold (1979) on the
// square roots of their heights parts them, and the median of the high ones is how dark a line is. With the median of
// all crests a few square metres of print-through would drag the thresholds down with them.
Levels levels_of(const cv::Mat1f& smooth, const cv::Mat1b& valid, double grain) {
  Levels out;
  const double least = std::max(5 * grain, 0.03);
  cv::Mat1f highest;
  cv::dilate(smooth, highest, box(1));
  std::vector<float> heights;
  for (int y = 0; y < smooth.rows; ++y)
    for (int x = 0; x < smooth.cols; ++x)
      if (valid(y, x) && smooth(y, x) > least && smooth(y, x) >= highest(y, x)) heights.push_back(smooth(y, x));
  if (heights.size() > 9) {
    cv::Mat1b roots(1, int(heights.size())), ignored;
    for (std::size_t i = 0; i < heights.size(); ++i)
      roots(0, int(i)) = cv::saturate_cast<std::uint8_t>(255 * std::sqrt(heights[i]));
    const double parted = cv::threshold(roots, ignored, 0, 255, cv::THRESH_BINARY | cv::THRESH_OTSU) / 255;
    std::erase_if(heights, [&](float h) { return h <= parted * parted; });
    if (!heights.empty()) out.dark = median(std::move(heights));
  }
  out.strong = std::max(least, 0.27 * out.dark);
  out.weak = std::max(0.6 * least, 0.13 * out.dark);
  return out;
}

// Lines: above the weak level, and above about half of the darkest place within three pixels, which keeps apart lines
// that run side by side; each connected piece at least four pixels strong.
cv::Mat1b hysteresis(const cv::Mat1f& smooth, const cv::Mat1b& valid, const Levels& levels) {
  cv::Mat1f nearby;
  cv::dilate(smooth, nearby, cv::getStructuringElement(cv::MORPH_ELLIPSE, {7, 7}));
  const cv::Mat1b weak = (smooth > levels.weak) & (smooth > 0.35 * nearby) & (valid != 0);
  cv::Mat1i labels;
  const int count = cv::connectedComponents(weak, labels, 8, CV_32S);
  std::vector<int> strong(std::size_t(count), 0);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) strong[labels(y, x)] += smooth(y, x) > levels.strong;
  strong[0] = 0;
  cv::Mat1b out(weak.size(), std::uint8_t(0));
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x) out(y, x) = strong[labels(y, x)] >= 4 ? 255 : 0;
  return out;
}

// Within shading every grain is a small crest. What stands out less there than the shading's own mean is no line: where
// the mean over three lines' widths is over 0.3 of a line, 1.5 times the excess is taken off. Beside a line the mean is
// 0.1 to 0.3.
cv::Mat1f without_texture(const cv::Mat1f& smooth, const cv::Mat1b& toned, double dark, double line_px) {
  if (cv::countNonZero(toned) == 0) return smooth;
  const cv::Mat1f mean = gauss(cv::min(cv::max(smooth, 0), dark), 3 * line_px);
  cv::Mat1f out = smooth.clone();
  cv::Mat1f less = smooth - 1.5 * cv::max(mean - 0.3 * dark, 0);
  less.copyTo(out, toned);
  return out;
}

// Area over length. Twice the largest distance to paper would jump by whole pixels, and every rule with it.
double mean_width_px(const cv::Mat1b& mask, const cv::Mat1b& skeleton) {
  const int length = cv::countNonZero(skeleton);
  return length > 0 ? std::max(2.5, double(cv::countNonZero(mask)) / length) : 4;
}

Plane<std::uint8_t> plane_of(const cv::Mat1b& mask) {
  Plane<std::uint8_t> out(mask.cols, mask.rows);
  for (int y = 0; y < mask.rows; ++y)
    for (int x = 0; x < mask.cols; ++x) out.at(x, y) = mask(y, x) != 0;
  return out;
}

struct Reduced {
  cv::Mat1f ink;
  cv::Mat1b valid;
  double scale = 1;
};

Reduced reduced(const Ink& ink, const Plane<std::uint8_t>& left_out) {
  Reduced out;
  out.scale = std::max(ink.ink.width, ink.ink.height) > large_px ? 0.5 : 1;
  out.ink = as_mat(ink.ink).clone();
  out.valid = left_out.empty() ? cv::Mat1b(out.ink.size(), std::uint8_t(255)) : cv::Mat1b(as_mat(left_out) == 0);
  if (out.scale < 1) {
    cv::resize(out.ink, out.ink, {}, out.scale, out.scale, cv::INTER_AREA);
    cv::resize(out.valid, out.valid, out.ink.size(), 0, 0, cv::INTER_NEAREST);
  }
  return out;
}

}  // namespace

Result<LineMask> find_lines(const Ink& ink, const Plane<std::uint8_t>& left_out, const Progress& progress) {
  const auto stopped = [&] { return progress.stopped(); };
  const std::stop_token& stop = progress.stop_token();
  LineMask out;
  const Reduced sheet = reduced(ink, left_out);
  out.scale = sheet.scale;
  if (stopped()) return progress.cancelled();
  const cv::Mat1f soft = gauss(sheet.ink, 0.7), local = local_ink(soft);
  if (stopped()) return progress.cancelled();
  const double grain = grain_of(local, sheet.valid);
  const cv::Mat1f smooth = gauss(local, 0.6);
  if (stopped()) return progress.cancelled();
  Levels levels = levels_of(smooth, sheet.valid, grain);
  cv::Mat1b lines = hysteresis(smooth, sheet.valid, levels);
  if (stopped()) return progress.cancelled();
  // Solid areas are told by the width of a line, and the width of a line by what is no solid area: two rounds.
  double thin_px = thin_ridge_px(lines);
  cv::Mat1b solid(lines.size(), std::uint8_t(0));
  for (int round = 0; round < 2 && !stopped(); ++round) {
    solid = find_solids(soft, sheet.valid, thin_px, stop);
    if (cv::countNonZero(solid) == 0) break;
    cv::Mat1b near;
    cv::dilate(solid, near, box(2));
    const cv::Mat1b open = sheet.valid & ~near;
    levels = levels_of(smooth, open, grain);
    lines = hysteresis(smooth, open, levels);
    thin_px = std::min(thin_px, thin_ridge_px(lines));
  }
  if (stopped()) return progress.cancelled();
  const cv::Mat1b toned = find_tones(soft, thin_px);
  if (stopped()) return progress.cancelled();
  lines &= hysteresis(without_texture(smooth, toned, levels.dark, thin_px), sheet.valid, levels);
  if (stopped()) return progress.cancelled();
  const double stroke_px = mean_width_px(lines, thinned(lines, stop));
  if (stopped()) return progress.cancelled();
  lines = fill_slivers(fill_bundles(lines, stroke_px, stop), stop);
  if (stopped()) return progress.cancelled();
  out.width_px = mean_width_px(lines, thinned(lines, stop));
  out.stroke_px = std::min(stroke_px, out.width_px);
  if (stopped()) return progress.cancelled();
  out.toned = plane_of(toned);
  out.lines = plane_of(lines), out.solid = plane_of(solid);
  out.dark = levels.dark, out.weak = levels.weak;
  out.ink = Plane<float>(local.cols, local.rows);
  cv::Mat1f kept = as_mat(out.ink);
  gauss(local, 0.8).copyTo(kept, sheet.valid);
  return out;
}

}  // namespace batten
