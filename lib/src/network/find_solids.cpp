#include "network/find_solids.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "network/discs.h"

namespace batten {
namespace {

cv::Mat1f steepness(const cv::Mat1f& ink) {
  cv::Mat1f x, y, out;
  cv::Sobel(ink, x, CV_32F, 1, 0, 3, 1. / 8, 0, cv::BORDER_REPLICATE);
  cv::Sobel(ink, y, CV_32F, 0, 1, 3, 1. / 8, 0, cv::BORDER_REPLICATE);
  cv::magnitude(x, y, out);
  return out;
}

// How far a piece runs along the frame of the sheet, px.
int along_frame_px(const cv::Mat1i& labels, int piece) {
  int out = 0;
  for (int x = 0; x < labels.cols; ++x) out += (labels(0, x) == piece) + (labels(labels.rows - 1, x) == piece);
  for (int y = 0; y < labels.rows; ++y) out += (labels(y, 0) == piece) + (labels(y, labels.cols - 1) == piece);
  return out;
}

// Standard deviation of what a Gaussian takes out of the ink. Even ink scatters by 1 to 2 % of its darkness, graphite
// by 8 to 12 % (both measured on scans).
double scatter_of(const cv::Mat1f& ink, const cv::Mat1f& smooth, const cv::Mat1b& where) {
  cv::Scalar mean, deviation;
  cv::meanStdDev(ink - smooth, mean, deviation, where);
  return deviation[0];
}

}  // namespace

cv::Mat1b find_solids(const cv::Mat1f& ink, const cv::Mat1b& valid, double line_px, int threads,
                      const std::stop_token& stop) {
  const cv::Mat1f smooth = gauss(ink, 2);
  std::vector<float> all = values_at(smooth, valid);
  cv::Mat1b out(ink.size(), std::uint8_t(0));
  if (all.empty() || stop.stop_requested()) return out;
  const double top = quantile(std::move(all), 0.997);
  const cv::Mat1b dark = (smooth > 0.47 * std::max(top, 0.15)) & (valid != 0);
  const double radius_px = std::max(4., std::round(2.5 * line_px));
  const cv::Mat1b core = shrunk(dark, radius_px);
  if (cv::countNonZero(core) == 0 || stop.stop_requested()) return out;
  const cv::Mat1f depth = depth_in(dark);
  if (stop.stop_requested()) return out;
  cv::Mat1b thick, thin;
  MaskPieces pieces;
  cv::Mat1f steep;
  const auto look = [&](std::size_t part) {  // none of these needs another
    if (part == 0) {
      thick = widened(core, radius_px), steep = steepness(smooth);
    } else {
      thin = widened(depth > 1.2 * line_px, 1.2 * line_px);
      pieces = connected_pieces(dark, 8);
    }
  };
  share_out(2, threads, look, [](std::size_t) {});
  if (stop.stop_requested()) return out;
  const cv::Mat1i& labels = pieces.labels;
  for (int i = 1; i < pieces.count() && !stop.stop_requested(); ++i) {
    const int area_px2 = pieces.areas_px2[i];
    if (area_px2 < 150 * line_px * line_px) continue;
    const cv::Rect at = as_rect(pieces.boxes[i]);
    const cv::Mat1b piece = labels(at) == i;
    const int thick_px2 = cv::countNonZero(piece & thick(at));
    if (thick_px2 < 150 * line_px * line_px) continue;
    if (along_frame_px(labels, i) > 0.3 * std::min(ink.cols, ink.rows)) continue;  // a table, the shadow of an edge
    double deepest = 0;
    cv::minMaxLoc(depth(at), nullptr, &deepest, nullptr, nullptr, piece);
    const double plateau = median(values_at(smooth(at), piece & (depth(at) > 0.6 * deepest)));
    const double edge = median(values_at(steep(at), piece & (depth(at) < 2.5)));
    // The width of the edge's slope over the thickness: small where the ink has a plateau.
    const double flat = plateau / std::max(1e-6, edge * 2 * deepest);
    if (thick_px2 > 0.5 * area_px2 && flat < 0.11 && area_px2 > 1200 * line_px * line_px) {
      out(at).setTo(255, piece);
    } else if (scatter_of(ink(at), smooth(at), piece & (depth(at) > 4)) < 0.05 * plateau) {
      // Thick places of a drawing: in even ink they are filled, in graphite they are lines that run together. The thin
      // parts of what is filled come along, lines that lead to it do not.
      cv::Mat1b grown;
      cv::dilate(thin(at), grown, cv::Mat1b::ones(3, 3));
      out(at).setTo(255, piece & grown);
    }
  }
  return out;
}

cv::Mat1b find_dots(const cv::Mat1b& lines, const cv::Mat1b& toned, double line_px, const std::stop_token& stop) {
  cv::Mat1b out(lines.size(), std::uint8_t(0));
  const cv::Mat1b core = shrunk(lines, line_px);
  if (cv::countNonZero(core) == 0 || stop.stop_requested()) return out;
  const cv::Mat1b thick = widened(core, line_px);
  std::vector<std::vector<cv::Point>> borders;
  cv::findContours(thick, borders, cv::RETR_EXTERNAL, cv::CHAIN_APPROX_NONE);
  const MaskPieces pieces = connected_pieces(lines, 8);
  for (const std::vector<cv::Point>& border : borders) {
    const double area_px2 = cv::contourArea(border);
    std::vector<cv::Point> hull;
    cv::convexHull(border, hull);
    // Of the hull, since a border of pixels is longer than what it goes round. A circle has 1, a square 0.79, an
    // equal-sided triangle 0.6: arrow heads are lines.
    const double length_px = cv::arcLength(hull, true), hull_px2 = cv::contourArea(hull);
    const bool round = 4 * CV_PI * hull_px2 > 0.85 * length_px * length_px && area_px2 > 0.9 * hull_px2;
    const bool shaded = std::any_of(border.begin(), border.end(), [&](cv::Point p) { return toned(p) != 0; });
    // The border of a dot is rounder than its ragged rim: a third more belongs to it.
    const bool alone = pieces.areas_px2[pieces.labels(border.front())] < 1.33 * area_px2;
    if (round && alone && !shaded && area_px2 > 12 * line_px * line_px)
      cv::drawContours(out, std::vector<std::vector<cv::Point>>{border}, 0, 255, cv::FILLED);
  }
  return out;
}

cv::Mat1b find_tones(const cv::Mat1f& ink, double line_px) {
  const cv::Mat1b dark = gauss(ink, 1.5 * line_px) > 0.16;
  const cv::Mat1b core = shrunk(dark, 4 * line_px);
  return cv::countNonZero(core) == 0 ? core : shrunk(widened(core, 4 * line_px), 1.5 * line_px);
}

}  // namespace batten
