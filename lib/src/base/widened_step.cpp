#include "base/widened_step.h"

#include <algorithm>

#include "base/vec.h"

namespace batten {

double widened_step_px(std::span<const Point> polyline, double step_px) {
  constexpr double most_points = 2e5;
  double length_px = 0;
  for (std::size_t i = 0; i < polyline.size(); ++i)
    length_px += distance(polyline[i], polyline[(i + 1) % polyline.size()]);
  return std::max(step_px, length_px / most_points);
}

}  // namespace batten
