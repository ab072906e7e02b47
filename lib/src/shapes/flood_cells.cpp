#include "shapes/flood_cells.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/plane_cv.h"

namespace batten {
namespace {

struct Basin {
  int parent;
  float birth;
  int area = 0;
};

struct Flood {
  const Plane<float>& height;
  const FloodSettings& settings;
  std::vector<Basin> basins;
  Plane<std::int32_t> owner;  // -1: dry

  int root(int b) {
    while (basins[b].parent != b) b = basins[b].parent = basins[basins[b].parent].parent;
    return b;
  }
  bool counts(const Basin& b, float level) const {
    return level - b.birth > settings.least_depth && b.area >= settings.least_area_px2 &&
           b.birth <= settings.highest_birth;
  }
  // The one that lives on: one that counts before one that does not, else the deeper, else the older.
  void meet(int a, int b, float level) {
    const bool ca = counts(basins[a], level), cb = counts(basins[b], level);
    if (ca && cb) return;
    if (ca == cb ? (basins[b].birth < basins[a].birth || (basins[b].birth == basins[a].birth && b < a)) : cb)
      std::swap(a, b);
    basins[b].parent = a;
    basins[a].area += basins[b].area;
  }
  // The owner of all wet neighbours, where they have one; else -1.
  int only_owner(int x, int y) const {
    if (x == 0 || y == 0 || x + 1 == owner.width || y + 1 == owner.height) return -1;
    int least = std::numeric_limits<int>::max(), most = -1;
    for (const int o : {owner.at(x, y - 1), owner.at(x - 1, y), owner.at(x + 1, y), owner.at(x, y + 1)}) {
      if (o < 0) continue;
      least = std::min(least, o), most = std::max(most, o);
    }
    return least == most ? most : -1;
  }
  void wet(int x, int y);
  bool fill_low(std::vector<std::int32_t>* above, const std::stop_token& stop);
};

// Water up to least_depth over the lowest place: no basin counts yet, so what touches is one basin, whatever lies in
// it. Most of a sheet is that low. The pixels above are left, in reading order.
bool Flood::fill_low(std::vector<std::int32_t>* above, const std::stop_token& stop) {
  const float top = *std::min_element(height.values.begin(), height.values.end()) + settings.least_depth;
  cv::Mat1b low(height.height, height.width);
  std::transform(height.values.begin(), height.values.end(), low.begin(), [&](float h) { return h <= top ? 255 : 0; });
  if (stop.stop_requested()) return false;
  cv::Mat1i part;  // 0: above
  const int parts = cv::connectedComponents(low, part, 4, CV_32S);
  if (stop.stop_requested()) return false;
  for (int b = 0; b + 1 < parts; ++b) basins.push_back({b, std::numeric_limits<float>::max()});
  const int* const part_of = part.ptr<int>();
  for (std::size_t i = 0; i < height.values.size(); ++i) {
    const int b = part_of[i] - 1;
    owner.values[i] = b;
    if (b < 0) {
      above->push_back(std::int32_t(i));
    } else {
      basins[b].birth = std::min(basins[b].birth, height.values[i]);
      ++basins[b].area;
    }
  }
  return true;
}

void Flood::wet(int x, int y) {
  const float level = height.at(x, y);
  int neighbours[4], n = 0, lowest = -1;
  float lowest_height = 0;
  if (const int same = only_owner(x, y); same >= 0) {  // nearly all pixels: nobody meets
    const int b = root(same);
    ++basins[b].area;
    owner.at(x, y) = b;
    return;
  }
  const int dx[4] = {0, -1, 1, 0}, dy[4] = {-1, 0, 0, 1};
  for (int i = 0; i < 4; ++i) {
    const int u = x + dx[i], v = y + dy[i];
    if (u < 0 || v < 0 || u >= height.width || v >= height.height || owner.at(u, v) < 0) continue;
    const int b = root(owner.at(u, v));
    if (lowest < 0 || height.at(u, v) < lowest_height) lowest = b, lowest_height = height.at(u, v);
    neighbours[n++] = b;
  }
  if (n == 0) {
    lowest = int(basins.size());
    basins.push_back({lowest, level});
  }
  for (int i = 1; i < n; ++i)
    for (int j = 0; j < i; ++j) {
      const int a = root(neighbours[i]), b = root(neighbours[j]);
      if (a != b) meet(a, b, level);
    }
  lowest = root(lowest);
  ++basins[lowest].area;
  owner.at(x, y) = lowest;
}

// The pixels in ascending order of height, in reading order among equals: counting sort on 4096 levels of the range.
std::vector<std::int32_t> ascending(const Plane<float>& height, const std::vector<std::int32_t>& pixels,
                                    const std::stop_token& stop) {
  constexpr int levels = 4096;
  float top = 1e-6f;
  for (const std::int32_t i : pixels) top = std::max(top, height.values[i]);
  std::vector<std::uint16_t> level(pixels.size());
  std::vector<std::int32_t> start(levels + 1, 0), order(pixels.size());
  for (std::size_t i = 0; i < level.size(); ++i) {
    level[i] = std::uint16_t(std::clamp(int(height.values[pixels[i]] / top * (levels - 1)), 0, levels - 1));
    ++start[level[i] + 1];
  }
  for (int i = 0; i < levels; ++i) start[i + 1] += start[i];
  if (stop.stop_requested()) return {};
  for (std::size_t i = 0; i < level.size(); ++i) order[start[level[i]]++] = pixels[i];
  return order;
}

}  // namespace

Cells flood_cells(const Plane<float>& height, const FloodSettings& settings, const std::stop_token& stop) {
  Cells out;
  if (height.empty() || stop.stop_requested()) return out;
  Plane<float> ground = height;
  // Below zero lies bare paper: its grain must not make basins. A thousandth of it keeps the order.
  for (float& h : ground.values)
    if (h < 0) h *= 1e-3f;
  Flood flood{ground, settings, {}, Plane<std::int32_t>(height.width, height.height, -1)};
  std::size_t done = 0;
  std::vector<std::int32_t> above;
  if (!flood.fill_low(&above, stop)) return out;
  for (const std::int32_t i : ascending(ground, above, stop)) {
    if (++done % 65536 == 0 && stop.stop_requested()) return out;
    flood.wet(i % height.width, i / height.width);
  }
  if (stop.stop_requested()) return out;
  std::vector<int> number(flood.basins.size(), -1);
  out.labels = Plane<std::int32_t>(height.width, height.height);
  for (std::size_t i = 0; i < out.labels.values.size(); ++i) {
    int& n = number[flood.root(flood.owner.values[i])];
    if (n < 0) n = out.count++;
    out.labels.values[i] = n;
  }
  return out;
}

}  // namespace batten
