#pragma once
// A picture of one value per pixel, rows from top to bottom. Grid coordinates name pixel CENTRES: (0,0) is the middle
// of the first pixel. Stages before locate_loops stay in the grid; pixel_grid.h leads to the page and back.

#include <algorithm>
#include <cstddef>
#include <vector>

namespace batten {

template <class T>
struct Plane {
  int width = 0, height = 0;
  std::vector<T> values;

  Plane() = default;
  Plane(int w, int h, T fill = T{}) : width(w), height(h), values(std::size_t(w) * std::size_t(h), fill) {}
  bool empty() const { return values.empty(); }
  T* row(int y) { return values.data() + std::size_t(y) * std::size_t(width); }
  const T* row(int y) const { return values.data() + std::size_t(y) * std::size_t(width); }
  T& at(int x, int y) { return row(y)[x]; }
  const T& at(int x, int y) const { return row(y)[x]; }
};

/// Pixels x .. x+width-1, y .. y+height-1 of a larger plane.
struct PixelBox {
  int x = 0, y = 0, width = 0, height = 0;
  int longest() const { return std::max(width, height); }
};

/// Value between the pixel centres (bilinear); outside the plane the nearest edge pixel counts.
inline double sample(const Plane<float>& p, double x, double y) {
  x = std::clamp(x, 0.0, double(p.width - 1));
  y = std::clamp(y, 0.0, double(p.height - 1));
  const int ix = std::min(int(x), std::max(p.width - 2, 0)), iy = std::min(int(y), std::max(p.height - 2, 0));
  const int jx = std::min(ix + 1, p.width - 1), jy = std::min(iy + 1, p.height - 1);
  const double u = x - ix, v = y - iy;
  const float *a = p.row(iy), *b = p.row(jy);
  return (1 - v) * ((1 - u) * a[ix] + u * a[jx]) + v * ((1 - u) * b[ix] + u * b[jx]);
}

}  // namespace batten
