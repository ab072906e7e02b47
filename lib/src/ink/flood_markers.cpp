#include "ink/flood_markers.h"

#include <queue>
#include <tuple>
#include <vector>

namespace batten {
namespace {

// A pixel that water has reached, and the place in the order in which it was reached.
struct Reached {
  float level;
  std::int64_t order;
  int x, y;
  bool operator<(const Reached& other) const { return std::tie(level, order) > std::tie(other.level, other.order); }
};

}  // namespace

void flood_markers(const Plane<float>& height, Plane<std::int32_t>* labels, const std::stop_token& stop) {
  std::priority_queue<Reached> water;
  std::int64_t order = 0;
  const auto spread = [&](int x, int y, float level) {
    const std::int32_t label = labels->at(x, y);
    const int neighbours[4][2] = {{x, y - 1}, {x - 1, y}, {x + 1, y}, {x, y + 1}};
    for (const auto& [u, v] : neighbours) {
      if (u < 0 || v < 0 || u >= height.width || v >= height.height || labels->at(u, v) > 0) continue;
      labels->at(u, v) = label;
      water.push({std::max(level, height.at(u, v)), order++, u, v});
    }
  };
  std::vector<std::pair<int, int>> markers;
  for (int y = 0; y < height.height; ++y)
    for (int x = 0; x < height.width; ++x)
      if (labels->at(x, y) > 0) markers.push_back({x, y});
  for (const auto& [x, y] : markers) spread(x, y, height.at(x, y));
  while (!water.empty()) {
    if (order % 65536 == 0 && stop.stop_requested()) return;
    const Reached next = water.top();
    water.pop();
    spread(next.x, next.y, next.level);
  }
}

}  // namespace batten
