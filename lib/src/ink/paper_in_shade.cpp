#include "ink/paper_in_shade.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"

namespace batten {
namespace {

// From paper that is surely lit to paper that is surely shaded, as a part of the longer side: what even areas lose at
// their rims, and the half-shadow. What lies between at a greater distance is dense shading.
constexpr double edge_part = 0.07;
// Lines up to twice this part of the longer side are closed away in the picture itself; at least so many px.
constexpr double line_half_part = 0.01;
constexpr int least_line_half_px = 8;
// Where the closing is darker than the shaded paper by this there is dense shading: it tells nothing of the paper.
constexpr float dense = 0.95f;
constexpr int strip_px = 128;  // rows between two looks at whether to stop

cv::Mat1b where(const Plane<Ground>& ground, Ground which) {
  cv::Mat1b out(ground.height, ground.width);
  for (int y = 0; y < ground.height; ++y)
    for (int x = 0; x < ground.width; ++x) out(y, x) = ground.at(x, y) == which ? 255 : 0;
  return out;
}

// Paper of one kind alone: the other kind, and what lies around it, count as no sheet.
Paper paper_of(const Plane<float>& grey, const cv::Mat1b& own, const cv::Mat1b& other, int edge_px,
               const Plane<std::uint8_t>& no_sheet, const std::stop_token& stop) {
  Plane<std::uint8_t> outside(own.cols, own.rows);
  cv::Mat1b mask;
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {2 * edge_px + 1, 2 * edge_px + 1});
  cv::dilate(other, mask, square);
  as_mat(outside).setTo(1, mask & (own == 0));
  if (!no_sheet.empty()) as_mat(outside).setTo(1, as_mat(no_sheet));
  return estimate_paper(grey, outside, stop);
}

// Distance to the nearest place that is marked, px of the copy.
cv::Mat1f distance_to(const cv::Mat1b& marked) {
  cv::Mat1f out;
  cv::distanceTransform(marked == 0, out, cv::DIST_L2, 5);
  return out;
}

// Rows first .. last-1 of the picture with lines closed away, edges kept. The border is repeated: a shadow that narrows
// towards the frame is no line.
cv::Mat1f closed_rows(const Plane<float>& grey, int first, int last, int half_px) {
  const int margin = 2 * half_px + 2, from = std::max(0, first - margin), to = std::min(grey.height, last + margin);
  cv::Mat1f rows, padded;
  cv::medianBlur(as_mat(grey).rowRange(from, to), rows, 5);  // without grain: a closing takes the brightest
  const int side = 2 * half_px;
  cv::copyMakeBorder(rows, padded, side, side, side, side, cv::BORDER_REPLICATE);
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {2 * half_px + 1, 2 * half_px + 1});
  cv::morphologyEx(padded, padded, cv::MORPH_CLOSE, square);
  return padded(cv::Rect(side, side + first - from, grey.width, last - first));
}

}  // namespace

ShadedPaper paper_in_shade(const Plane<float>& grey, const Plane<Ground>& ground, const Plane<std::uint8_t>& no_sheet,
                           const std::stop_token& stop) {
  const cv::Mat1b lit = where(ground, Ground::lit), shaded = where(ground, Ground::shaded);
  const int side = std::max(ground.width, ground.height), edge_px = std::max(2, int(std::lround(edge_part * side)));
  ShadedPaper out;
  out.lit = paper_of(grey, lit, shaded, edge_px, no_sheet, stop);
  if (stop.stop_requested()) return out;
  const Paper dark = paper_of(grey, shaded, lit, edge_px, no_sheet, stop);
  if (stop.stop_requested()) return out;
  const cv::Mat1f to_lit = distance_to(lit), to_shaded = distance_to(shaded);
  cv::Mat1f bright_full, dark_full;
  cv::resize(as_mat(out.lit.brightness), bright_full, {grey.width, grey.height}, 0, 0, cv::INTER_LINEAR);
  cv::resize(as_mat(dark.brightness), dark_full, {grey.width, grey.height}, 0, 0, cv::INTER_LINEAR);
  const int half_px =
      std::max(least_line_half_px, int(std::lround(line_half_part * std::max(grey.width, grey.height))));
  out.brightness = Plane<float>(grey.width, grey.height);
  for (int first = 0; first < grey.height && !stop.stop_requested(); first += strip_px) {
    const int last = std::min(grey.height, first + strip_px);
    cv::Mat1f closed;  // of this strip, once a pixel asks for it
    for (int y = first; y < last; ++y)
      for (int x = 0; x < grey.width; ++x) {
        const int cx = x * ground.width / grey.width, cy = y * ground.height / grey.height;
        const float light = bright_full(y, x), shade = std::min(dark_full(y, x), light);
        float& paper = out.brightness.at(x, y);
        paper = to_lit(cy, cx) <= to_shaded(cy, cx) ? light : shade;
        if (to_lit(cy, cx) + to_shaded(cy, cx) > float(edge_px)) continue;
        if (closed.empty()) closed = closed_rows(grey, first, last, half_px);
        if (const float g = closed(y - first, x); g > dense * shade) paper = std::clamp(g, shade, light);
      }
  }
  return out;
}

}  // namespace batten
