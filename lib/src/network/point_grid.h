#pragma once
// The points of a network by place.

#include <cmath>
#include <cstdint>
#include <unordered_map>
#include <vector>

#include "network/line_network.h"

namespace batten {

/// Cells of one size, each with the points in it, in order of edge and place along it.
class PointGrid {
 public:
  struct Entry {
    int edge;
    std::size_t point;
  };
  PointGrid(const LineNetwork& net, double cell_px) : cell_px_(cell_px) {
    for (const int e : net.living())
      for (std::size_t i = 0; i < net.edges[e].points.size(); ++i)
        cells_[key_of(net.edges[e].points[i])].push_back({e, i});
  }
  /// All points in the cells that a square of half side reach_px round a place touches.
  template <class Visit>
  void for_each_near(Point at, double reach_px, Visit visit) const {
    const std::int64_t x0 = cell_of(at.x - reach_px), x1 = cell_of(at.x + reach_px);
    const std::int64_t y0 = cell_of(at.y - reach_px), y1 = cell_of(at.y + reach_px);
    for (std::int64_t y = y0; y <= y1; ++y)
      for (std::int64_t x = x0; x <= x1; ++x)
        if (const auto found = cells_.find(key(x, y)); found != cells_.end())
          for (const Entry& e : found->second) visit(e);
  }

 private:
  std::int64_t cell_of(double v) const { return std::int64_t(std::floor(v / cell_px_)); }
  static std::int64_t key(std::int64_t x, std::int64_t y) { return (y << 32) ^ (x & 0xffffffff); }
  std::int64_t key_of(Point p) const { return key(cell_of(p.x), cell_of(p.y)); }

  double cell_px_;
  std::unordered_map<std::int64_t, std::vector<Entry>> cells_;
};

}  // namespace batten
