#include "network/solid_loops.h"

#include <algorithm>
#include <cmath>

#include "base/level_loops.h"
#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "locate/locate_edge.h"
#include "locate/loop_noise.h"
#include "network/discs.h"

namespace batten {
namespace {

// The edge of graphite behaves like a band of 6 px, and a point on it strays by 0.12 of that; see locate_loops.
constexpr double edge_px = 6;

// Ink over half of an area's own level is positive, within the area and a little beyond; all else is paper.
Plane<float> contrast_of(const cv::Mat1f& ink, const cv::Mat1b& area, double level) {
  Plane<float> out(ink.cols, ink.rows, -0.5f);
  const cv::Mat1b near = widened(area, edge_px);
  const cv::Mat1f smooth = gauss(ink, 1);
  for (int y = 0; y < ink.rows; ++y)
    for (int x = 0; x < ink.cols; ++x)
      if (near(y, x)) out.at(x, y) = std::max(-0.5f, smooth(y, x) / float(level) - 0.5f);
  return out;
}

void add_loops(const Plane<float>& contrast, Point origin, double least_px2, std::vector<Loop>* out) {
  for (const Polyline& rough : level_loops(contrast, 0)) {
    if (std::abs(signed_area_px2(rough)) < least_px2) continue;
    const Polyline points = locate_edge(rough, contrast, {.step_px = 0.5, .search_px = 4, .averaging_px = 3});
    Loop loop;
    loop.kind = Kind::filled;
    loop.band_px = edge_px;
    loop.rounding_px = 0.35 * edge_px;
    loop.correlation_px = 40;
    loop.sigma_px = edge_sigma_px(points, edge_px, 0.12 * edge_px);
    loop.known_sigma_px = known_edge_sigma_px(edge_px);
    for (const Point p : points) loop.points.push_back(page_of(p + origin));
    out->push_back(std::move(loop));
  }
}

// Areas smaller than this are spots of lines, not shapes. W: width of a line.
double least_area_px2(double line_px) { return 10 * line_px * line_px; }

Point scan_place(const LineMask& mask, std::size_t pixel) {
  return to_scan(mask, {double(pixel % mask.lines.width), double(pixel / mask.lines.width)});
}

double ink_at(const Ink& ink, const LineMask& mask, std::size_t pixel) {
  const Point at = scan_place(mask, pixel);
  return sample(ink.ink, at.x, at.y);
}

struct Solids {
  double px2 = 0;    // of the mask
  double level = 0;  // how dark they are; 0 where there are none
};

Solids solids_of(const Ink& ink, const LineMask& mask, const Plane<std::uint8_t>& filled) {
  std::vector<float> dark;
  for (std::size_t i = 0; i < mask.solid.values.size(); ++i)
    if (mask.solid.values[i]) dark.push_back(float(ink_at(ink, mask, i)));
  double px2 = double(dark.size());
  for (std::size_t i = 0; i < filled.values.size(); ++i)
    if (filled.values[i]) dark.push_back(ink.ink.values[i]), px2 += mask.scale * mask.scale;
  return {px2, dark.empty() ? 0 : median(std::move(dark))};
}

}  // namespace

std::vector<Loop> solid_loops(const Ink& ink, const LineMask& mask, const std::stop_token& stop) {
  std::vector<Loop> out;
  cv::Mat1b solid = as_mat(mask.solid) != 0;
  if (cv::countNonZero(solid) == 0) return out;
  cv::resize(solid, solid, {ink.ink.width, ink.ink.height}, 0, 0, cv::INTER_NEAREST);
  const MaskPieces pieces = connected_pieces(solid, 8);
  const double least_px2 = least_area_px2(mask.width_px / mask.scale);
  for (int i = 1; i < pieces.count() && !stop.stop_requested(); ++i) {
    if (pieces.areas_px2[i] < least_px2) continue;
    const PixelBox b = grown(pieces.boxes[i], 12, ink.ink.width, ink.ink.height);
    const cv::Rect at(b.x, b.y, b.width, b.height);
    const cv::Mat1b area = pieces.labels(at) == i;
    const cv::Mat1f own_ink = as_mat(ink.ink)(at);
    const double level = median(values_at(own_ink, area));
    if (level > 0) add_loops(contrast_of(own_ink, area, level), {double(b.x), double(b.y)}, least_px2, &out);
  }
  std::erase_if(out, [&](const Loop& loop) {
    std::vector<Point> points;
    for (const Point p : loop.points) points.push_back(grid_of(p));
    return lies_in_hole(ink.holes, points);
  });
  return out;
}

bool lines_are_construction(const Ink& ink, const LineMask& mask, const Plane<std::uint8_t>& filled) {
  const Solids solids = solids_of(ink, mask, filled);
  const auto line_px2 = double(std::count(mask.lines.values.begin(), mask.lines.values.end(), 1));
  return solids.px2 > line_px2 && mask.dark < 0.5 * solids.level;
}

LineMask with_small_solids(const Ink& ink, const Plane<std::uint8_t>& left_out, const Plane<std::uint8_t>& filled,
                           LineMask mask) {
  const auto is_left_out = [&](std::size_t pixel) {
    const Point at = scan_place(mask, pixel);
    return !left_out.values.empty() &&
           left_out.at(std::min(int(at.x), left_out.width - 1), std::min(int(at.y), left_out.height - 1)) != 0;
  };
  const double level = 0.5 * (mask.dark + solids_of(ink, mask, filled).level);
  cv::Mat1b dark(mask.lines.height, mask.lines.width), solid = as_mat(mask.solid);
  for (std::size_t i = 0; i < mask.lines.values.size(); ++i)
    dark.data[i] = !is_left_out(i) && ink_at(ink, mask, i) > level;
  const MaskPieces pieces = connected_pieces(dark, 8);
  const cv::Mat1i& labels = pieces.labels;
  std::vector<char> added(std::size_t(pieces.count()), 0);
  for (int i = 1; i < pieces.count(); ++i) added[i] = pieces.areas_px2[i] >= least_area_px2(mask.width_px);
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (solid(y, x)) added[std::size_t(labels(y, x))] = 0;
  for (int y = 0; y < labels.rows; ++y)
    for (int x = 0; x < labels.cols; ++x)
      if (added[std::size_t(labels(y, x))]) solid(y, x) = 1;
  return mask;
}

}  // namespace batten
