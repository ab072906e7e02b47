#include "network/line_mask.h"

#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "network/fill_bundles.h"
#include "network/find_solids.h"
#include "network/thin_mask.h"

namespace batten {
namespace {

// A4 at 200 dpi; what is smaller is never halved.
constexpr int large_px = 2400;

// Grain, as a share of how dark lines are, that a scan may have to be read in its own size. There it is about twice as
// strong as in the halved copy, and five times that must stay below the least of a line. Clean scans of pencil and pen
// measure 0.003 to 0.009, a photograph of rough paper 0.04.
constexpr double most_grain = 0.02;

cv::Mat1b box(int half) { return cv::Mat1b::ones(2 * half + 1, 2 * half + 1); }

// How much darker each place is than the lightest ink within 1.2 % of the sheet: slow shading, stains and rests of
// shadows go, lines stay. The lightest is taken of smoothed ink: the lightest grain alone would turn tone into texture.
cv::Mat1f local_ink(const cv::Mat1f& ink) {
  const int r = std::max(7, int(0.012 * std::max(ink.cols, ink.rows)));
  // What is as wide as that shows in a smaller copy as well; of a narrow strip something must be left.
  const int reduce = std::clamp(r / 10, 1, std::min(ink.cols, ink.rows));
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
// all crests print-through that covers much of a sheet would drag the thresholds down.
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

// Lines: above the weak level, and above a third of the darkest place within three pixels, which keeps apart lines that
// run side by side; each connected piece at least four pixels strong.
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

// The scan in the size in which lines are looked for, and what stands out in it as line at first.
struct Sheet {
  double scale = 1;
  cv::Mat1b valid;
  cv::Mat1f soft, local, smooth;  // ink; darker than what lies around; the same without its finest grain
  double grain = 0;
  Levels levels;
  cv::Mat1b lines;
};

Sheet read_sheet(const Ink& ink, const Plane<std::uint8_t>& left_out, double scale, const std::stop_token& stop) {
  Sheet out;
  if (std::min(ink.ink.width, ink.ink.height) * scale < 1) scale = 1;  // nothing would be left
  out.scale = scale;
  cv::Mat1f plane = as_mat(ink.ink).clone();
  out.valid = left_out.empty() ? cv::Mat1b(plane.size(), std::uint8_t(255)) : cv::Mat1b(as_mat(left_out) == 0);
  if (scale < 1) {
    cv::resize(plane, plane, {}, scale, scale, cv::INTER_AREA);
    cv::resize(out.valid, out.valid, plane.size(), 0, 0, cv::INTER_NEAREST);
  }
  if (stop.stop_requested()) return out;
  out.soft = gauss(plane, 0.7);
  out.local = local_ink(out.soft);
  if (stop.stop_requested()) return out;
  out.grain = grain_of(out.local, out.valid);
  out.smooth = gauss(out.local, 0.6);
  if (stop.stop_requested()) return out;
  out.levels = levels_of(out.smooth, out.valid, out.grain);
  if (stop.stop_requested()) return out;
  out.lines = hysteresis(out.smooth, out.valid, out.levels);
  return out;
}

// A large scan is halved where its paper has much grain: it has less in a smaller copy. Elsewhere handwriting is read
// better in full size, since its strokes do not run together.
Sheet read_sheet(const Ink& ink, const Plane<std::uint8_t>& left_out, const std::stop_token& stop) {
  if (std::max(ink.ink.width, ink.ink.height) <= large_px) return read_sheet(ink, left_out, 1, stop);
  Sheet half = read_sheet(ink, left_out, 0.5, stop);
  if (stop.stop_requested() || half.grain > most_grain * half.levels.dark) return half;
  return read_sheet(ink, left_out, 1, stop);
}

}  // namespace

Result<LineMask> find_lines(const Ink& ink, const Plane<std::uint8_t>& left_out, int threads,
                            const Progress& progress) {
  const auto stopped = [&] { return progress.stopped(); };
  const std::stop_token& stop = progress.stop_token();
  const Sheet sheet = read_sheet(ink, left_out, stop);
  if (stopped()) return progress.cancelled();
  Levels levels = sheet.levels;
  cv::Mat1b lines = sheet.lines, solid(lines.size(), std::uint8_t(0));
  // Solid areas are told by the width of a line, and the width of a line by what is no solid area: two rounds.
  double thin_px = thin_ridge_px(lines);
  for (int round = 0; round < 2 && !stopped(); ++round) {
    solid = find_solids(sheet.soft, sheet.valid, thin_px, threads, stop);
    if (cv::countNonZero(solid) == 0) break;
    cv::Mat1b near;
    cv::dilate(solid, near, box(2));
    const cv::Mat1b open = sheet.valid & ~near;
    levels = levels_of(sheet.smooth, open, sheet.grain);
    lines = hysteresis(sheet.smooth, open, levels);
    thin_px = std::min(thin_px, thin_ridge_px(lines));
  }
  if (stopped()) return progress.cancelled();
  const cv::Mat1b toned = find_tones(sheet.soft, thin_px);
  if (stopped()) return progress.cancelled();
  lines &= hysteresis(without_texture(sheet.smooth, toned, levels.dark, thin_px), sheet.valid, levels);
  if (stopped()) return progress.cancelled();
  const double stroke_px = mean_width_px(lines, thinned(lines, stop));
  if (stopped()) return progress.cancelled();
  lines = fill_slivers(fill_bundles(lines, stroke_px, threads, stop), threads, stop);
  if (stopped()) return progress.cancelled();
  const cv::Mat1b dots = find_dots(lines, toned, stroke_px, stop);
  if (stopped()) return progress.cancelled();
  if (cv::countNonZero(dots) > 0) {
    cv::Mat1b near;
    cv::dilate(dots, near, box(2));
    solid |= dots, lines &= ~near;
  }
  LineMask out;
  out.scale = sheet.scale;
  out.width_px = mean_width_px(lines, thinned(lines, stop));
  out.stroke_px = std::min(stroke_px, out.width_px);
  if (stopped()) return progress.cancelled();
  out.toned = plane_of(toned), out.lines = plane_of(lines), out.solid = plane_of(solid);
  out.dark = levels.dark;
  out.ink = Plane<float>(lines.cols, lines.rows);
  cv::Mat1f kept = as_mat(out.ink);
  gauss(sheet.local, 0.8).copyTo(kept, sheet.valid);
  return out;
}

}  // namespace batten
