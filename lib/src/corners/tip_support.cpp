#include "corners/tip_support.h"

#include <algorithm>

#include "base/pixel_grid.h"

namespace batten {
namespace {

constexpr double inside_px = 3;  // past the slope of the edge
constexpr double faded = 0.2;
constexpr double blur_px = 1.1;  // of scanners and the smoothing here together
constexpr double beyond_per_blur =
    0.25;  // half width, in blurs, at which a strip's peak has faded to a fifth: 2 Phi - 1
constexpr double walk_px = 0.5;

// Mean over a disc of about a pixel: grain of the paper must not end a tip.
double soft_sample(const Plane<float>& ink, Point p) {
  double sum = 0, weight = 0;
  for (int y = -2; y <= 2; ++y)
    for (int x = -2; x <= 2; ++x) {
      const double w = std::exp(-0.5 * (x * x + y * y) * 0.49 / (0.8 * 0.8));
      sum += w * sample_page(ink, {p.x + 0.7 * x, p.y + 0.7 * y}), weight += w;
    }
  return sum / weight;
}

}  // namespace

FillInk fill_ink(const ArcLoop& loop, const Plane<float>& ink) {
  std::vector<double> left, right;
  const double stride = std::max(2.0, loop.length_px() / 200);
  for (double arc = 0; arc < loop.length_px(); arc += stride) {
    const Point p = loop.at(arc), n = left_of(unit(loop.at(arc + 2) - loop.at(arc - 2)));
    left.push_back(soft_sample(ink, p + inside_px * n));
    right.push_back(soft_sample(ink, p - inside_px * n));
  }
  const auto median = [](std::vector<double>* v) {
    std::nth_element(v->begin(), v->begin() + std::ptrdiff_t(v->size() / 2), v->end());
    return (*v)[v->size() / 2];
  };
  if (left.empty()) return {};
  const double a = median(&left), b = median(&right);
  return {std::max(a, b), a > b};
}

Point supported_tip(const Plane<float>& ink, const FillInk& fill, Point apex, Point on_loop, double turn_deg,
                    bool convex) {
  const double length = distance(apex, on_loop);
  if (fill.level <= 0 || length < walk_px) return apex;
  const Point out = unit(apex - on_loop);
  const double half = radians(180 - std::min(turn_deg, 175.0)) / 2;
  double supported = 0;
  for (double t = 0; t <= length; t += walk_px) {
    const double share = std::clamp(soft_sample(ink, on_loop + t * out) / fill.level, 0.0, 1.0);
    if ((convex ? share : 1 - share) < faded) break;
    supported = t;
  }
  return on_loop + std::min(length, supported + beyond_per_blur * blur_px / std::tan(half)) * out;
}

}  // namespace batten
