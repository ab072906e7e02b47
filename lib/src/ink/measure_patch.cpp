#include "ink/measure_patch.h"

#include <cmath>
#include <vector>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// The middle of the ink: pixels of the distance map that none of their eight neighbours exceeds.
cv::Mat1b ridge_of(const cv::Mat1f& distance, const std::stop_token& stop) {
  cv::Mat1b ridge(distance.size());
  constexpr int strip_px = 256;  // rows between two looks at `stop`
  for (int y = 0; y < distance.rows && !stop.stop_requested(); y += strip_px) {
    const cv::Range rows(y, std::min(y + strip_px, distance.rows));
    const cv::Mat1f strip = distance.rowRange(rows);
    cv::Mat1f highest;
    cv::dilate(strip, highest, cv::Mat());  // sees the rows beside the strip
    cv::Mat1b((strip >= highest) & (strip >= 1)).copyTo(ridge.rowRange(rows));
  }
  return ridge;
}

}  // namespace

double ink_threshold(double noise) { return std::max(1.6 * noise, 0.04); }

// A pen line has a plateau like a shaded shape, but nobody shades a shape this thin: 9 px are 0.75 mm at 300 dpi.
constexpr double widest_pen_px = 9;

double unevenness(const PatchMeasure& m) {
  const double edge = std::sqrt(m.edge_over_thickness * m.edge_over_largest);
  return std::sqrt(edge * m.grain / std::max(m.top, 1e-6));
}

// Shaded shapes were 0.11 uneven at most (75 drawings).
constexpr double as_even_as_a_shape = 0.14;

Kind kind_of(const PatchMeasure& m, int longest_px) {
  if (m.crisp) {
    const bool thin = m.typical_px > 0 && m.typical_px <= 8 && m.typical_px < 0.03 * longest_px;
    return thin && m.largest_px < 2.2 * m.typical_px ? Kind::outlined : Kind::filled;
  }
  if (m.typical_px <= widest_pen_px) return Kind::outlined;
  // A line in a blunt soft lead is as even as the thinnest shading, 0.19 to 0.21, but 24 to 53 times as long as thick
  // (9 drawings of 576); shaded letters were 18 times as long at most.
  constexpr double as_thin_as_a_line = 1 / 22.;
  const bool thin = m.typical_px < as_thin_as_a_line * longest_px;
  return unevenness(m) < (thin ? as_even_as_a_shape : 0.21) ? Kind::filled : Kind::outlined;
}

bool is_line_beside(const PatchMeasure& m, const PatchMeasure& outlined) {
  constexpr double about = 1.5;
  return !m.crisp && unevenness(m) >= as_even_as_a_shape && outlined.area_px2 >= m.area_px2 &&
         m.typical_px <= about * outlined.typical_px && outlined.typical_px <= about * m.typical_px;
}

bool has_thick_places(const PatchMeasure& m) {
  constexpr double far_thicker = 3;  // where two bands of an outline fuse they are twice as thick
  return m.largest_px > far_thicker * m.typical_px;
}

bool is_solid_with_lines(const PatchMeasure& dark, const PatchMeasure& all, int longest_px) {
  constexpr double nearly_all = 0.8;
  return !dark.crisp && dark.area_px2 >= nearly_all * all.area_px2 && unevenness(dark) < as_even_as_a_shape &&
         kind_of(dark, longest_px) == Kind::filled;
}

PatchMeasure measure_patch(const Plane<float>& ink, double noise, double smoothing_px, const std::stop_token& stop,
                           double least_share) {
  PatchMeasure m;
  m.crisp = is_crisp_scan(noise);
  if (stop.stop_requested()) return m;
  const cv::Mat1f k = as_mat(ink), g = gauss(k, smoothing_px);
  const double threshold = ink_threshold(noise);
  if (stop.stop_requested()) return m;
  std::vector<float> values;
  for (const float v : all_values(g))
    if (v > threshold) values.push_back(v);
  if (values.empty() || stop.stop_requested()) return m;
  m.top = quantile(std::move(values), 0.75);
  if (stop.stop_requested()) return m;

  cv::Mat1b mask = g > std::max(least_share * m.top, 0.75 * threshold);
  if (smoothing_px > 1)  // grain and hatching leave holes
    cv::morphologyEx(mask, mask, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  if (stop.stop_requested()) return m;
  cv::copyMakeBorder(mask, mask, 1, 1, 1, 1, cv::BORDER_CONSTANT, 0);
  if (stop.stop_requested()) return m;
  cv::Mat1f distance;
  cv::distanceTransform(mask, distance, cv::DIST_L2, cv::DIST_MASK_PRECISE);
  distance = distance(cv::Rect(1, 1, k.cols, k.rows));
  if (stop.stop_requested()) return m;
  const cv::Mat1b ridge = ridge_of(distance, stop);
  if (stop.stop_requested()) return m;
  std::vector<float> thickness;
  for (const float depth : values_at(distance, ridge)) thickness.push_back(2 * depth);
  if (thickness.empty()) return m;
  m.band_px = quantile(thickness, 0.75);
  m.typical_px = quantile(thickness, 0.5);
  m.largest_px = *std::max_element(thickness.begin(), thickness.end());

  cv::Mat1f gx, gy;
  cv::Sobel(g, gx, CV_32F, 1, 0, 3, 1. / 8, 0, cv::BORDER_REPLICATE);
  cv::Sobel(g, gy, CV_32F, 0, 1, 3, 1. / 8, 0, cv::BORDER_REPLICATE);
  if (stop.stop_requested()) return m;
  std::vector<float> plateau, plateau_largest, slope, rest;
  for (int y = 0; y < k.rows; ++y) {
    const float* depth = distance[y];
    for (int x = 0; x < k.cols; ++x) {
      const float d = depth[x];
      if (d <= 0) continue;
      m.area_px2 += 1;
      if (d > 0.3 * m.typical_px) plateau.push_back(g(y, x));
      if (d > 0.3 * m.largest_px) plateau_largest.push_back(g(y, x));
      if (d <= 2.5) slope.push_back(std::hypot(gx(y, x), gy(y, x)));
    }
  }
  if (stop.stop_requested()) return m;
  const double rim = std::max<double>(quantile(std::move(slope), 0.5), 1e-6);
  if (stop.stop_requested()) return m;
  const double level = quantile(std::move(plateau), 0.5);
  m.edge_over_thickness = level / (rim * m.typical_px);
  if (stop.stop_requested()) return m;
  m.edge_over_largest = quantile(std::move(plateau_largest), 0.5) / (rim * m.largest_px);
  if (stop.stop_requested()) return m;
  const double clear_px = std::max(2., 0.3 * m.typical_px);
  for (int y = 0; y < k.rows; ++y) {
    const float* depth = distance[y];
    for (int x = 0; x < k.cols; ++x)
      if (depth[x] > clear_px) rest.push_back(std::abs(k(y, x) - float(level)));
  }
  m.grain = 1.4826 * quantile(std::move(rest), 0.5);
  m.crisp = m.crisp && m.grain <= 0.02;
  return m;
}

}  // namespace batten
