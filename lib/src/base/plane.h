#pragma once
// A picture of one value per pixel, rows from top to bottom. Grid coordinates name pixel CENTRES: (0,0) is the middle
// of the first pixel. Stages before locate_loops stay in the grid; pixel_grid.h leads to the page and back.

#include <algorithm>
#include <cstddef>
#include <cstdint>
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

/// Pixels x .. x+width-1, y .. y+height-1 of a larger plane; none until some are added.
struct PixelBox {
  int x = 0, y = 0, width = 0, height = 0;
  bool empty() const { return width == 0; }
  int longest() const { return std::max(width, height); }
  int right() const { return x + width; }    // the first column beyond
  int bottom() const { return y + height; }  // the first row beyond
  double area_px2() const { return double(width) * height; }
  void add(const PixelBox& other) {
    if (other.empty()) return;
    if (empty()) *this = other;
    const int x0 = std::min(x, other.x), y0 = std::min(y, other.y);
    *this = {x0, y0, std::max(right(), other.right()) - x0, std::max(bottom(), other.bottom()) - y0};
  }
};

/// The box with a margin round it, cut at the edges of a plane of that width and height.
inline PixelBox grown(const PixelBox& box, int margin_px, int width, int height) {
  const int x0 = std::max(0, box.x - margin_px), y0 = std::max(0, box.y - margin_px);
  return {x0, y0, std::min(width, box.right() + margin_px) - x0, std::min(height, box.bottom() + margin_px) - y0};
}

/// Where each label 0 .. count-1 of a plane occurs; empty boxes for those that do not.
inline std::vector<PixelBox> boxes_of(const Plane<std::int32_t>& labels, int count) {
  std::vector<PixelBox> boxes(count);
  for (int y = 0; y < labels.height; ++y) {
    const std::int32_t* row = labels.row(y);
    for (int x = 0, first = 0; x < labels.width; first = x) {
      while (x < labels.width && row[x] == row[first]) ++x;
      boxes[row[first]].add({first, y, x - first, 1});
    }
  }
  return boxes;
}

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
