#include "join_necks.h"

#include <cmath>
#include <queue>
#include <tuple>

namespace batten {
namespace {

struct Link {
  std::vector<std::pair<int, int>> pixels;  // from the first cell to the second
  int first = -1, second = -1;
  double length_px = 1e9;
};

struct Search {
  const Plane<float>& height;
  const std::vector<int>& parity;
  const CellMap& map;
  double threshold, longest_px;

  bool odd(int label) const { return parity[label] == 1; }
  Link shortest_from(int cell) const;
};

// Dijkstra through dark pixels of even cells, from all pixels of one odd cell at once.
Link Search::shortest_from(int cell) const {
  const auto& labels = map.cells.labels;
  const int w = labels.width, h = labels.height;
  Plane<float> distance(w, h, 1e9f);
  Plane<std::int32_t> from(w, h, -1);
  using Entry = std::tuple<float, int>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  const auto visit = [&](int x, int y, float d, int origin) {
    if (x < 0 || y < 0 || x >= w || y >= h || d > longest_px || d >= distance.at(x, y)) return;
    const int label = labels.at(x, y);
    if (label == cell || (!odd(label) && height.at(x, y) < threshold)) return;
    distance.at(x, y) = d;
    from.at(x, y) = origin;
    queue.push({d, y * w + x});
  };
  for (int y = 0; y < h; ++y)
    for (int x = 0; x < w; ++x)
      if (labels.at(x, y) == cell)
        for (const auto& [dx, dy] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) visit(x + dx, y + dy, 1, y * w + x);
  while (!queue.empty()) {
    const auto [d, at] = queue.top();
    queue.pop();
    const int x = at % w, y = at / w, label = labels.at(x, y);
    if (d > distance.at(x, y)) continue;
    if (odd(label)) {
      if (map.borders[cell].count(label)) continue;  // they touch: what joins or parts them is decided by their border
      Link link{{}, cell, label, d};
      for (int p = at; p >= 0; p = from.values[p]) link.pixels.push_back({p % w, p / w});
      return link;
    }
    for (int dy = -1; dy <= 1; ++dy)
      for (int dx = -1; dx <= 1; ++dx)
        if (dx || dy) visit(x + dx, y + dy, d + float(std::hypot(dx, dy)), at);
  }
  return {};
}

// How wide the dark band is across the middle of the link: where the height falls below half on both sides.
double width_across(const Plane<float>& height, const Link& link, double reach_px) {
  const auto [ax, ay] = link.pixels.front();
  const auto [bx, by] = link.pixels.back();
  const auto [mx, my] = link.pixels[link.pixels.size() / 2];
  const double length = std::max(1e-9, std::hypot(bx - ax, by - ay));
  const double nx = -(by - ay) / length, ny = (bx - ax) / length, half = .5 * sample(height, mx, my);
  double width = 0;
  for (const int side : {-1, 1})
    for (double u = .5; u <= reach_px && sample(height, mx + side * u * nx, my + side * u * ny) > half; u += .5)
      width += .5;
  return width;
}

void paint(const Link& link, double radius_px, CellMap& map) {
  auto& labels = map.cells.labels;
  for (auto& label : labels.values)
    if (label == link.second) label = link.first;
  const int r = int(std::ceil(radius_px));
  for (const auto& [x, y] : link.pixels)
    for (int v = std::max(0, y - r); v <= std::min(labels.height - 1, y + r); ++v)
      for (int u = std::max(0, x - r); u <= std::min(labels.width - 1, x + r); ++u)
        if (std::hypot(u - x, v - y) <= radius_px) labels.at(u, v) = link.first;
  for (const auto& [other, border] : map.borders[link.second]) map.borders[link.first].insert({other, border});
}

}  // namespace

void join_necks(const Plane<float>& height, const std::vector<int>& parity, const MergeSettings& settings,
                CellMap& map) {
  std::vector<int> odd;
  for (int c = 0; c < map.cells.count; ++c)
    if (parity[c] == 1) odd.push_back(c);
  for (const double dark : {1.3, 1.15, 1.})
    for (std::size_t i = 0; i < odd.size() && odd.size() > 1;) {
      const Search search{height, parity, map, dark * settings.level, 3 * settings.band_px};
      const Link link = search.shortest_from(odd[i]);
      if (link.first < 0 || width_across(height, link, 3 * settings.band_px) > 1.7 * settings.band_px) {
        ++i;
        continue;
      }
      paint(link, std::max(1., .2 * settings.band_px), map);
      odd.erase(std::find(odd.begin(), odd.end(), link.second));
      i = 0;
    }
}

}  // namespace batten
