#include "shapes/join_necks.h"

#include <cmath>
#include <queue>
#include <tuple>

namespace batten {
namespace {

struct Link {
  std::vector<std::pair<int, int>> pixels;  // from the first cell to the second
  int first = -1, second = -1;
};

// A patch with more insides than this is no letter but a grid or a diagram; searching it would take seconds.
constexpr std::size_t most_cells = 40;

struct Search {
  const Plane<float>& height;
  const std::vector<int>& parity;
  const CellMap& map;
  double threshold, longest_px;

  bool odd(int label) const { return parity[label] == 1; }
  Link shortest_from(int cell, const PixelBox& cell_box) const;
};

// Dijkstra through dark pixels of even cells, from all pixels of one odd cell at once, in a window round that cell.
Link Search::shortest_from(int cell, const PixelBox& cell_box) const {
  const auto& labels = map.cells.labels;
  const PixelBox box = grown(cell_box, int(std::ceil(longest_px)) + 1, labels.width, labels.height);
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
      Link link{{}, cell, label};
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

// How wide the dark band is across the middle of the link: where the height falls below half on both sides.
double width_across(const Plane<float>& height, const Link& link, double search_px) {
  const auto [ax, ay] = link.pixels.front();
  const auto [bx, by] = link.pixels.back();
  const auto [mx, my] = link.pixels[link.pixels.size() / 2];
  const double length = std::max(1e-9, std::hypot(bx - ax, by - ay));
  const double nx = -(by - ay) / length, ny = (bx - ax) / length, half = 0.5 * sample(height, mx, my);
  double width = 0;
  for (const int side : {-1, 1})
    for (double u = 0.5; u <= search_px && sample(height, mx + side * u * nx, my + side * u * ny) > half; u += 0.5)
      width += 0.5;
  return width;
}

// The second cell and the link take the label of the first.
void paint(const Link& link, double radius_px, std::vector<PixelBox>* boxes, CellMap* map) {
  auto& labels = map->cells.labels;
  PixelBox &kept = (*boxes)[link.first], &gone = (*boxes)[link.second];
  for (int y = gone.y; y < gone.bottom(); ++y)
    for (int x = gone.x; x < gone.right(); ++x)
      if (labels.at(x, y) == link.second) labels.at(x, y) = link.first;
  kept.add(gone);
  gone = {};
  for (const auto& [x, y] : link.pixels) {
    const PixelBox disc = grown({x, y, 1, 1}, int(std::ceil(radius_px)), labels.width, labels.height);
    for (int v = disc.y; v < disc.bottom(); ++v)
      for (int u = disc.x; u < disc.right(); ++u)
        if (std::hypot(u - x, v - y) <= radius_px) labels.at(u, v) = link.first;
    kept.add(disc);
  }
  for (const auto& [other, border] : map->borders[link.second]) map->borders[link.first].insert({other, border});
}

}  // namespace

void join_necks(const HeightMap& heights, const std::vector<int>& parity, const std::stop_token& stop, CellMap* map) {
  std::vector<int> odd;
  for (int c = 0; c < map->cells.count; ++c)
    if (parity[c] == 1) odd.push_back(c);
  if (odd.size() < 2 || odd.size() > most_cells) return;
  const double band_px = heights.band_px, longest_px = 3 * band_px;
  std::vector<PixelBox> boxes = boxes_of(map->cells.labels, map->cells.count);
  for (const double dark : {1.3, 1.15, 1.})
    for (std::size_t i = 0; i < odd.size() && !stop.stop_requested();) {
      const Search search{heights.height, parity, *map, dark * heights.level, longest_px};
      const Link link = search.shortest_from(odd[i], boxes[odd[i]]);
      if (link.first < 0 || width_across(heights.height, link, longest_px) > 1.7 * band_px) {
        ++i;
        continue;
      }
      paint(link, std::max(1., 0.2 * band_px), &boxes, map);
      std::erase(odd, link.second);
      i = 0;
    }
}

}  // namespace batten
