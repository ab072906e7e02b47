#include "shapes/join_necks.h"

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

// A patch with more insides than this is no letter but a grid or a diagram; searching it would take seconds.
constexpr std::size_t most_cells = 40;

struct Extent {
  int x0 = 1 << 30, y0 = 1 << 30, x1 = -1, y1 = -1;
  void add(int x, int y) { x0 = std::min(x0, x), y0 = std::min(y0, y), x1 = std::max(x1, x), y1 = std::max(y1, y); }
};

std::vector<Extent> extents_of(const Cells& cells) {
  std::vector<Extent> out(cells.count);
  for (int y = 0; y < cells.labels.height; ++y)
    for (int x = 0; x < cells.labels.width; ++x) out[cells.labels.at(x, y)].add(x, y);
  return out;
}

struct Search {
  const Plane<float>& height;
  const std::vector<int>& parity;
  const CellMap& map;
  const std::vector<Extent>& extents;
  double threshold, longest_px;

  bool odd(int label) const { return parity[label] == 1; }
  PixelBox grown_box_of(int cell) const;
  Link shortest_from(int cell) const;
};

// Dijkstra through dark pixels of even cells, from all pixels of one odd cell at once, in a window round that cell.
Link Search::shortest_from(int cell) const {
  const auto& labels = map.cells.labels;
  const PixelBox box = grown_box_of(cell);
  Plane<float> distance(box.width, box.height, 1e9f);
  Plane<std::int32_t> from(box.width, box.height, -1);
  using Entry = std::tuple<float, int>;
  std::priority_queue<Entry, std::vector<Entry>, std::greater<>> queue;
  const auto visit = [&](int x, int y, float d, int origin) {
    if (x < 0 || y < 0 || x >= box.width || y >= box.height || d > longest_px || d >= distance.at(x, y)) return;
    const int label = labels.at(box.x + x, box.y + y);
    if (label == cell || (!odd(label) && height.at(box.x + x, box.y + y) < threshold)) return;
    distance.at(x, y) = d;
    from.at(x, y) = origin;
    queue.push({d, y * box.width + x});
  };
  for (int y = 0; y < box.height; ++y)
    for (int x = 0; x < box.width; ++x)
      if (labels.at(box.x + x, box.y + y) == cell)
        for (const auto& [dx, dy] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}})
          visit(x + dx, y + dy, 1, y * box.width + x);
  while (!queue.empty()) {
    const auto [d, at] = queue.top();
    queue.pop();
    const int x = at % box.width, y = at / box.width, label = labels.at(box.x + x, box.y + y);
    if (d > distance.at(x, y)) continue;
    if (odd(label)) {
      if (map.borders[cell].count(label)) continue;  // they touch: what joins or parts them is decided by their border
      Link link{{}, cell, label, d};
      for (int p = at; p >= 0; p = from.values[p])
        link.pixels.push_back({box.x + p % box.width, box.y + p / box.width});
      return link;
    }
    for (int dy = -1; dy <= 1; ++dy)
      for (int dx = -1; dx <= 1; ++dx)
        if (dx || dy) visit(x + dx, y + dy, d + float(std::hypot(dx, dy)), at);
  }
  return {};
}

PixelBox Search::grown_box_of(int cell) const {
  const auto& labels = map.cells.labels;
  const Extent& e = extents[cell];
  const int margin = int(std::ceil(longest_px)) + 1;
  const int x0 = std::max(0, e.x0 - margin), y0 = std::max(0, e.y0 - margin);
  const int x1 = std::min(labels.width - 1, e.x1 + margin), y1 = std::min(labels.height - 1, e.y1 + margin);
  return {x0, y0, x1 - x0 + 1, y1 - y0 + 1};
}

// How wide the dark band is across the middle of the link: where the height falls below half on both sides.
double width_across(const Plane<float>& height, const Link& link, double reach_px) {
  const auto [ax, ay] = link.pixels.front();
  const auto [bx, by] = link.pixels.back();
  const auto [mx, my] = link.pixels[link.pixels.size() / 2];
  const double length = std::max(1e-9, std::hypot(bx - ax, by - ay));
  const double nx = -(by - ay) / length, ny = (bx - ax) / length, half = 0.5 * sample(height, mx, my);
  double width = 0;
  for (const int side : {-1, 1})
    for (double u = 0.5; u <= reach_px && sample(height, mx + side * u * nx, my + side * u * ny) > half; u += 0.5)
      width += 0.5;
  return width;
}

// The second cell and the link take the label of the first.
void paint(const Link& link, double radius_px, std::vector<Extent>& extents, CellMap& map) {
  auto& labels = map.cells.labels;
  Extent &kept = extents[link.first], &gone = extents[link.second];
  for (int y = gone.y0; y <= gone.y1; ++y)
    for (int x = gone.x0; x <= gone.x1; ++x)
      if (labels.at(x, y) == link.second) labels.at(x, y) = link.first;
  kept.add(gone.x0, gone.y0), kept.add(gone.x1, gone.y1);
  gone = {};
  const int r = int(std::ceil(radius_px));
  for (const auto& [x, y] : link.pixels)
    for (int v = std::max(0, y - r); v <= std::min(labels.height - 1, y + r); ++v)
      for (int u = std::max(0, x - r); u <= std::min(labels.width - 1, x + r); ++u)
        if (std::hypot(u - x, v - y) <= radius_px) labels.at(u, v) = link.first, kept.add(u, v);
  for (const auto& [other, border] : map.borders[link.second]) map.borders[link.first].insert({other, border});
}

}  // namespace

void join_necks(const Plane<float>& height, const std::vector<int>& parity, const MergeSettings& settings,
                const std::stop_token& stop, CellMap& map) {
  std::vector<int> odd;
  for (int c = 0; c < map.cells.count; ++c)
    if (parity[c] == 1) odd.push_back(c);
  if (odd.size() < 2 || odd.size() > most_cells) return;
  std::vector<Extent> extents = extents_of(map.cells);
  for (const double dark : {1.3, 1.15, 1.})
    for (std::size_t i = 0; i < odd.size() && !stop.stop_requested();) {
      const Search search{height, parity, map, extents, dark * settings.level, 3 * settings.band_px};
      const Link link = search.shortest_from(odd[i]);
      if (link.first < 0 || width_across(height, link, 3 * settings.band_px) > 1.7 * settings.band_px) {
        ++i;
        continue;
      }
      paint(link, std::max(1., 0.2 * settings.band_px), extents, map);
      odd.erase(std::remove(odd.begin(), odd.end(), link.second), odd.end());
      i = 0;
    }
}

}  // namespace batten
