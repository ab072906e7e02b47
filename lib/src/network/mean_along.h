#pragma once
// What a plane holds along a line.

#include <algorithm>
#include <cmath>

#include "base/plane.h"
#include "base/polyline.h"

namespace batten {

/// Mean of a plane along a polyline, at the pixels nearest to its points; 0 without points. Of a plane of 0 and 1 it is
/// the share of the line that lies in it.
template <class T>
double mean_along(const Plane<T>& plane, const Polyline& points) {
  double sum = 0;
  for (const Point p : points)
    sum += double(plane.at(std::clamp(int(std::lround(p.x)), 0, plane.width - 1),
                           std::clamp(int(std::lround(p.y)), 0, plane.height - 1)));
  return points.empty() ? 0 : sum / double(points.size());
}

}  // namespace batten
