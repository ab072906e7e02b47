#include "network/coloured_areas.h"

#include <algorithm>

#include "base/level_loops.h"
#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "locate/locate_edge.h"
#include "locate/loop_noise.h"
#include "network/discs.h"

namespace batten {
namespace {

// Crayon is 0.09 to 0.16 from grey; paper, graphite and the fringes that a lens or a scanner leaves at lines 0.015.
constexpr double coloured_from = 0.05;
// How far a pale part of an area may be from it: smoothed over a line's width, paper
// varies by 0.0005 to 0.007 on scans and by 0.02 on a photograph.
constexpr double pale_from = 0.016;
constexpr double least_side_widths = 8, least_half_widths = 1.5, hole_widths = 6;
constexpr double least_core = 0.25;  // of an area is clearly coloured
constexpr double along_lines =
    0.5;  // of a border: shapes that were coloured in have 0.86 to 1, a bottle without a line 0.32

// Light and paper have a tint that changes slowly: the least within two thirds of the picture's length, of a copy
// smoothed over the grain of colour, and the most of that: no area as large is taken for paper, a slope from side to
// side is.
cv::Mat1f without_paper(const cv::Mat1f& tint, double width_px) {
  const int longest = std::max(tint.cols, tint.rows),
            reduce = std::clamp(longest / 200, 1, std::min(tint.cols, tint.rows));
  cv::Mat1f base = gauss(tint, width_px);
  cv::resize(base, base, {}, 1. / reduce, 1. / reduce, cv::INTER_AREA);
  const int half = std::max(1, longest / reduce / 3);
  cv::morphologyEx(base, base, cv::MORPH_OPEN, cv::Mat1b::ones(2 * half + 1, 2 * half + 1), {-1, -1}, 1,
                   cv::BORDER_REPLICATE);
  cv::blur(base, base, {half, half}, {-1, -1}, cv::BORDER_REPLICATE);
  cv::resize(base, base, tint.size(), 0, 0, cv::INTER_LINEAR);
  return tint - base;
}

cv::Mat1f tint_of(const Scan& scan, const cv::Size& size) {
  cv::Mat1f out = as_mat(scan.brightest) - as_mat(scan.grey);
  if (out.size() != size) cv::resize(out, out, size, 0, 0, cv::INTER_AREA);
  return out;
}

// Small bare places between strokes of colour belong to it.
void fill_small_holes(double most_px2, cv::Mat1b* area) {
  const MaskPieces pieces = connected_pieces(*area == 0, 4);
  std::vector<char> small(pieces.boxes.size(), 0);
  for (int i = 1; i < pieces.count(); ++i) small[i] = pieces.areas_px2[i] < most_px2;
  for (int y = 0; y < area->rows; ++y)
    for (int x = 0; x < area->cols; ++x)
      if (small[pieces.labels(y, x)]) (*area)(y, x) = 255;
}

bool touches_edge(const cv::Rect& box, const cv::Size& size) {
  return box.x <= 0 || box.y <= 0 || box.br().x >= size.width || box.br().y >= size.height;
}

// How much of a loop runs where `near` is on; grid coordinates.
double share_on(const cv::Mat1b& near, const Polyline& points) {
  double count = 0;
  for (const Point p : points)
    count += near(std::clamp(int(std::lround(p.y)), 0, near.rows - 1),
                  std::clamp(int(std::lround(p.x)), 0, near.cols - 1)) != 0;
  return count / double(std::max<std::size_t>(1, points.size()));
}

Loop loop_of(const Polyline& points, double edge_px, const LineMask& mask) {
  Loop loop;
  loop.kind = Kind::filled;
  loop.band_px = edge_px / mask.scale;
  loop.rounding_px = 0.35 * loop.band_px;
  loop.correlation_px = 6 * loop.band_px;
  for (const Point p : points) loop.points.push_back(page_of(to_scan(mask, p)));
  loop.sigma_px = edge_sigma_px(loop.points, loop.band_px, 0.12 * loop.band_px);
  loop.known_sigma_px = known_edge_sigma_px(loop.band_px);
  return loop;
}

class Areas {
 public:
  Areas(const cv::Mat1f& tint, const Ink& ink, const LineMask& mask) : tint_(tint), mask_(mask) {
    cv::resize(as_mat(ink.ink), ink_, tint.size(), 0, 0, cv::INTER_AREA);
    smooth_ = gauss(tint, 0.5 * mask.width_px), fine_ = gauss(tint, 0.15 * mask.width_px);
    near_ = widened((as_mat(mask.lines) != 0) | (as_mat(mask.solid) != 0), 1.5 * mask.width_px);
  }

  ColouredAreas find(const std::stop_token& stop) {
    const double w = mask_.width_px;
    // A single line of colour smears over twice its width where it is looked at as softly as a pale area must be.
    const cv::Mat1b core = broad(smooth_ > coloured_from);
    if (cv::countNonZero(core) == 0 || stop.stop_requested()) return {};
    const cv::Mat1b area = broad(gauss(tint_, w) > pale_from);
    const MaskPieces pieces = connected_pieces(area, 8);
    ColouredAreas out;
    for (int i = 1; i < pieces.count() && !stop.stop_requested(); ++i) {
      const cv::Rect box = as_rect(pieces.boxes[i]);
      if (pieces.areas_px2[i] < least_px2() || touches_edge(box, area.size())) continue;
      const int coloured = cv::countNonZero((pieces.labels(box) == i) & core(box));
      if (coloured < least_core * pieces.areas_px2[i]) continue;
      add(pieces.labels, i, box, &out);
    }
    return out;
  }

 private:
  double least_px2() const { return least_side_widths * mask_.width_px * least_side_widths * mask_.width_px; }

  cv::Mat1b broad(cv::Mat1b area) const {
    const double w = mask_.width_px;
    fill_small_holes(hole_widths * w * hole_widths * w, &area);
    return widened(shrunk(area, least_half_widths * w), least_half_widths * w);
  }

  void add(const cv::Mat1i& labels, int label, const cv::Rect& box, ColouredAreas* out) {
    const int beside = int(3 * mask_.width_px);
    const cv::Rect at = cv::Rect(box.x - beside, box.y - beside, box.width + 2 * beside, box.height + 2 * beside) &
                        cv::Rect({0, 0}, labels.size());
    const cv::Mat1b own = labels(at) == label;
    const cv::Mat1f smooth = smooth_(at);
    const cv::Mat1f level = cv::max(masked_mean(smooth, weight_of(own), 3 * mask_.width_px).mean, 1.3 * pale_from);
    // How dark it is between lines: those drawn over it must stand out.
    const cv::Mat1b between = own & (as_mat(mask_.lines)(at) == 0);
    const cv::Mat1f dark = cv::max(masked_mean(ink_(at), weight_of(between), 3 * mask_.width_px).mean, 0.01);
    if (out->empty()) out->tint = out->darkness = Plane<float>(labels.cols, labels.rows);
    Plane<float> contrast(at.width, at.height, -0.5f);
    const cv::Mat1b near = widened(own, 2 * mask_.width_px);
    for (int y = 0; y < at.height; ++y)
      for (int x = 0; x < at.width; ++x) {
        if (near(y, x)) contrast.at(x, y) = std::max(-0.5f, smooth(y, x) / level(y, x) - 0.5f);
        if (!own(y, x)) continue;
        out->tint.at(at.x + x, at.y + y) = fine_(at.y + y, at.x + x) / level(y, x);
        out->darkness.at(at.x + x, at.y + y) = ink_(at.y + y, at.x + x) / dark(y, x);
      }
    add_loops(contrast, {double(at.x), double(at.y)}, &out->loops);
  }

  static cv::Mat1f weight_of(const cv::Mat1b& own) {
    cv::Mat1f out;
    own.convertTo(out, CV_32F, 1 / 255.);
    return out;
  }

  void add_loops(const Plane<float>& contrast, Point origin, std::vector<Loop>* out) {
    std::vector<Polyline> edges;
    for (const Polyline& rough : level_loops(contrast, 0)) {
      if (std::abs(signed_area_px2(rough)) < least_px2()) continue;
      edges.push_back(
          locate_edge(rough, contrast, {.step_px = 0.5, .search_px = mask_.width_px, .averaging_px = mask_.width_px}));
      for (Point& p : edges.back()) p = p + origin;
    }
    const auto larger = [](const Polyline& a, const Polyline& b) {
      return std::abs(signed_area_px2(a)) < std::abs(signed_area_px2(b));
    };
    const auto outer = std::max_element(edges.begin(), edges.end(), larger);
    // Bare places in a shape that was coloured in are no counters.
    if (outer == edges.end() || share_on(near_, *outer) >= along_lines) return;
    for (const Polyline& edge : edges)
      if (share_on(near_, edge) < along_lines) out->push_back(loop_of(edge, mask_.width_px, mask_));
  }

  const cv::Mat1f& tint_;
  const LineMask& mask_;
  cv::Mat1f ink_, smooth_, fine_;
  cv::Mat1b near_;
};

}  // namespace

ColouredAreas coloured_areas(const Scan& scan, const Ink& ink, const LineMask& mask, const std::stop_token& stop) {
  if (scan.brightest.empty()) return {};
  const cv::Mat1f tint = without_paper(tint_of(scan, {mask.ink.width, mask.ink.height}), mask.width_px);
  if (stop.stop_requested()) return {};
  return Areas(tint, ink, mask).find(stop);
}

}  // namespace batten
