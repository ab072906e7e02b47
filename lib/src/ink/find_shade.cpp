#include "ink/find_shade.h"

#include <cmath>

#include "base/plane_cv.h"

namespace batten {
namespace {

// Brightness over that of the lit paper. What is darker is ink; what is brighter is light that falls off.
constexpr float darkest = 0.33f, brightest = 0.93f;
// Part of the shorter side of the picture that the shadow covers on the frame, and of its area.
constexpr double least_touch = 0.15, least_area = 0.02;
constexpr double least_lit = 0.15;  // part of the picture that lies in full light

Plane<float> grain_of(const ColourCopy& copy) {
  const cv::Mat1f grey = 0.299 * as_mat(copy.red) + 0.587 * as_mat(copy.green) + 0.114 * as_mat(copy.blue);
  const cv::Mat1f smooth = gauss(grey, 1.5);
  Plane<float> out(grey.cols, grey.rows);
  as_mat(out) = cv::abs(grey - smooth) / cv::max(smooth, 0.02f);
  return out;
}

double touch_px(const cv::Mat1b& part) {
  return cv::countNonZero(part.row(0)) + cv::countNonZero(part.row(part.rows - 1)) + cv::countNonZero(part.col(0)) +
         cv::countNonZero(part.col(part.cols - 1));
}

// The lit paper, and what else is paper by its colour and grain.
class Papers {
 public:
  Papers(const Look& look, const ColourCopy& copy, const Plane<std::uint8_t>& lit)
      : look_(look), grain_(grain_of(copy)) {
    red_ = median_where(look.redness, lit), blue_ = median_where(look.blueness, lit);
    grain_of_lit_ = median_where(grain_, lit), level_ = median_where(look.level, lit);
  }
  bool is_shaded(const Plane<std::uint8_t>& part) const {
    const float level = median_where(look_.level, part) / level_;
    const float colour =
        std::hypot(median_where(look_.redness, part) - red_, median_where(look_.blueness, part) - blue_);
    // In shadow the sensor's noise weighs double; pencil shading measured five times the grain of paper and more.
    return level > darkest && level < brightest && colour < other_colour &&
           median_where(grain_, part) < 2.5f * grain_of_lit_ + 0.004f;
  }

 private:
  const Look& look_;
  Plane<float> grain_;
  float red_ = 0, blue_ = 0, grain_of_lit_ = 0, level_ = 0;
};

// The brightest of the large areas; 0 if there is none.
int lit_part(const Parts& parts, const Plane<float>& level) {
  int best = 0;
  float most = 0;
  for (int i = 1; i < parts.count(); ++i) {
    if (parts.areas[i] < least_lit * double(level.values.size())) continue;
    if (const float m = median_where(level, parts.mask(i)); m > most) most = m, best = i;
  }
  return best;
}

}  // namespace

Plane<Ground> find_shade(const Scan& scan, const Look& look, const Plane<std::uint8_t>& no_sheet,
                         const std::stop_token& stop) {
  const ColourCopy& copy = scan.copy;
  if (std::min(copy.red.width, copy.red.height) < 60) return {};  // too coarse to tell an edge from light
  Plane<std::uint8_t> even = look.even;
  if (!no_sheet.empty()) as_mat(even).setTo(0, as_mat(no_sheet));
  const Parts parts = parts_of(even);
  const int bright = lit_part(parts, look.level);
  if (bright == 0 || stop.stop_requested()) return {};
  const Plane<std::uint8_t> lit = parts.mask(bright);
  const Papers papers(look, copy, lit);
  Plane<Ground> out(lit.width, lit.height, Ground::unknown);
  bool any = false;
  for (int i = 1; i < parts.count() && !stop.stop_requested(); ++i) {
    if (i == bright || parts.areas[i] < 30) continue;
    const Plane<std::uint8_t> part = parts.mask(i);
    if (!papers.is_shaded(part)) continue;
    for (std::size_t k = 0; k < out.values.size(); ++k)
      if (part.values[k]) out.values[k] = Ground::shaded;
    any = any || (touch_px(as_mat(part)) > least_touch * std::min(lit.width, lit.height) &&
                  parts.areas[i] > least_area * double(lit.values.size()));
  }
  if (!any) return {};
  for (std::size_t k = 0; k < out.values.size(); ++k)
    if (lit.values[k]) out.values[k] = Ground::lit;
  return out;
}

}  // namespace batten
