#include "ink/pin_ink.h"

#include <algorithm>
#include <cmath>

#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/polyline.h"
#include "base/statistics.h"

namespace batten {
namespace {

// px; polygons are painted to 1/256 of a pixel.
constexpr int shift = 8;

// As dark as the darker half of what was drawn: the upper quartile of what is ink at all.
double level_of(const Plane<float>& ink, double noise) {
  const double threshold = std::max(0.08, 4 * noise);
  std::vector<float> values;
  for (std::size_t i = 0; i < ink.values.size(); i += 7)
    if (ink.values[i] > threshold) values.push_back(ink.values[i]);
  return values.empty() ? 0.6 : quantile(std::move(values), 0.75);  // 0.6: a soft pencil's
}

struct Stroke {
  double level = 0, width_px = 0;
};

// How dark and how wide the line is near a place where it ends: the darkest pixel near by, and how far its ink reaches.
Stroke line_near(const Plane<float>& ink, Point grid, Point along) {
  constexpr int near_px = 6, farthest_px = 30;
  Stroke out;
  Point at = grid;
  for (int y = -near_px; y <= near_px; ++y)
    for (int x = -near_px; x <= near_px; ++x) {
      const Point p = grid + Point{double(x), double(y)};
      if (const double v = sample(ink, p.x, p.y); v > out.level) out.level = v, at = p;
    }
  const Point across = left_of(along);
  for (const double side : {-1.0, 1.0})
    for (double u = 0.5; u < farthest_px; u += 0.5) {
      const Point p = at + side * u * across;
      if (sample(ink, p.x, p.y) < 0.5 * out.level) break;
      out.width_px += 0.5;
    }
  return out;
}

template <class Change>
void along_line(Plane<float>* ink, Point a, Point b, double reach_px, Change&& change) {
  const auto low = [&](double v, double w) { return int(std::floor(std::min(v, w) - reach_px)); };
  const auto high = [&](double v, double w) { return int(std::ceil(std::max(v, w) + reach_px)); };
  for (int y = std::max(0, low(a.y, b.y)); y <= std::min(ink->height - 1, high(a.y, b.y)); ++y)
    for (int x = std::max(0, low(a.x, b.x)); x <= std::min(ink->width - 1, high(a.x, b.x)); ++x) {
      const Point p{double(x), double(y)};
      change(distance(p, nearest_on_segment(p, a, b)), &ink->at(x, y));
    }
}

void close_gap(Plane<float>* ink, Point a, Point b, double level) {
  const Point along = unit(b - a);
  const Stroke first = line_near(*ink, a, along), last = line_near(*ink, b, along);
  const double half_px = std::clamp(0.25 * (first.width_px + last.width_px), 1.0, 30.0);
  const double dark = std::max(0.3 * level, 0.5 * (first.level + last.level));
  along_line(ink, a, b, half_px + 1,
             [&](double px, float* v) { *v = std::max(*v, float(dark * std::clamp(half_px + 0.5 - px, 0.0, 1.0))); });
}

}  // namespace

RegionMask mask_of(const std::vector<Point>& polygon, int width, int height) {
  RegionMask out;
  const auto [low, high] = box_of(polygon);
  const int x0 = int(std::clamp(std::floor(low.x), 0.0, double(width))),
            y0 = int(std::clamp(std::floor(low.y), 0.0, double(height))),
            x1 = int(std::clamp(std::ceil(high.x), 0.0, double(width))),
            y1 = int(std::clamp(std::ceil(high.y), 0.0, double(height)));
  if (x1 <= x0 || y1 <= y0) return out;
  out.box = {x0, y0, x1 - x0, y1 - y0};
  out.inside = Plane<std::uint8_t>(out.box.width, out.box.height);
  std::vector<cv::Point> corners;
  for (const Point p : polygon) {
    // Far outside the sheet it makes no difference where; what is painted is counted in 256ths of a pixel.
    const Point g = grid_of({std::clamp(p.x, -1e5, 1e5), std::clamp(p.y, -1e5, 1e5)}) - Point{double(x0), double(y0)};
    corners.emplace_back(cvRound(g.x * (1 << shift)), cvRound(g.y * (1 << shift)));
  }
  cv::Mat1b mask = as_mat(out.inside);
  cv::fillPoly(mask, std::vector<std::vector<cv::Point>>{corners}, 255, cv::LINE_8, shift);
  return out;
}

Result<Ink> pin_ink(const Ink& ink, const std::vector<Pin>& pins, const Progress& progress) {
  Ink out = ink;
  out.unpinned = ink.ink;
  const double level = level_of(ink.ink, ink.noise);
  for (const Pin& pin : pins) {
    if (progress.stopped()) return progress.cancelled();
    if (pin.kind == Pin::Kind::close_gap) {
      close_gap(&out.ink, grid_of(pin.places[0]), grid_of(pin.places[1]), level);
    } else if (pin.kind == Pin::Kind::keep_apart) {
      along_line(&out.ink, grid_of(pin.places[0]), grid_of(pin.places[1]), half_cut_px + 1,
                 [](double px, float* v) { *v *= float(std::clamp(px - half_cut_px + 0.5, 0.0, 1.0)); });
    } else if (pin.kind == Pin::Kind::ignore || pin.kind == Pin::Kind::paper || pin.kind == Pin::Kind::ink) {
      const bool drawn = pin.kind == Pin::Kind::ink;
      for_each_inside(mask_of(pin.places, ink.ink.width, ink.ink.height), [&](int x, int y) {
        float& v = out.ink.at(x, y);
        v = drawn ? std::max(v, float(level)) : 0;
      });
    }
  }
  return out;
}

Ink keep_shading(const Ink& bare, const Plane<float>& before, const std::vector<Pin>& pins) {
  Ink out = bare;
  for (const Pin& pin : pins) {
    if (pin.kind != Pin::Kind::drawn_as || pin.drawn != Pin::Drawn::shaded) continue;
    for_each_inside(mask_of(pin.places, before.width, before.height),
                    [&](int x, int y) { out.ink.at(x, y) = before.at(x, y); });
  }
  return out;
}

}  // namespace batten
