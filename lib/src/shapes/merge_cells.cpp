#include "shapes/merge_cells.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Radius of the largest disc in it, in W: a cell of less is no inside but a gap between strokes.
constexpr double widest_sliver = 0.9;

struct Extent {
  int x0 = 1 << 30, y0 = 1 << 30, x1 = -1, y1 = -1;
  void add(int x, int y) { x0 = std::min(x0, x), y0 = std::min(y0, y), x1 = std::max(x1, x), y1 = std::max(y1, y); }
  void add(const Extent& e) {
    if (e.x1 >= 0) add(e.x0, e.y0), add(e.x1, e.y1);
  }
};

float median_height(Border& border) {
  if (border.median >= 0) return border.median;
  return border.median = std::max(0.f, median(border.heights));
}

// Cells with union-find on top: `label` of a pixel -> current cell.
struct Merger {
  const Plane<float>& height;
  CellMap map;
  MergeSettings settings;
  std::vector<int> parent;
  std::vector<Extent> extent;
  std::vector<double> in_radius;  // exact below widest_sliver, at least so much above it; < 0: not known yet

  int root(int c) const {
    while (parent[c] != c) c = parent[c];
    return c;
  }
  void note(int a, int b, float h);
  void build();
  void merge(int keep, int gone);
  double in_radius_of(int cell);
  double perimeter_of(int cell) const;
  bool merge_sliver(const std::stop_token& stop);
  bool merge_faint();
  double others_at_ends(int a, int b) const;
  bool merge_pinch();
};

void Merger::note(int a, int b, float h) {
  for (const auto& [from, to] : {std::pair{a, b}, std::pair{b, a}}) {
    Border& border = map.borders[from][to];
    border.lowest = border.heights.empty() ? h : std::min(border.lowest, h);
    border.heights.push_back(h);
  }
}

void Merger::build() {
  const auto& labels = map.cells.labels;
  const int n = map.cells.count;
  map.at_frame.assign(n, false);
  map.borders.assign(n, {});
  extent.assign(n, {});
  in_radius.assign(n, -1);
  parent.resize(n);
  for (int i = 0; i < n; ++i) parent[i] = i;
  for (int y = 0; y < labels.height; ++y)
    for (int x = 0; x < labels.width; ++x) {
      const int a = labels.at(x, y);
      extent[a].add(x, y);
      if (x == 0 || y == 0 || x == labels.width - 1 || y == labels.height - 1) map.at_frame[a] = true;
      if (x + 1 < labels.width && labels.at(x + 1, y) != a)
        note(a, labels.at(x + 1, y), std::max(height.at(x, y), height.at(x + 1, y)));
      if (y + 1 < labels.height && labels.at(x, y + 1) != a)
        note(a, labels.at(x, y + 1), std::max(height.at(x, y), height.at(x, y + 1)));
    }
}

void Merger::merge(int keep, int gone) {
  if (map.at_frame[gone] && !map.at_frame[keep]) std::swap(keep, gone);
  parent[gone] = keep;
  map.at_frame[keep] = map.at_frame[keep] || map.at_frame[gone];
  extent[keep].add(extent[gone]);
  // What was wide enough stays so with more added to it; only a sliver is measured again.
  in_radius[keep] = std::max(in_radius[keep], in_radius[gone]);
  if (in_radius[keep] < widest_sliver * settings.band_px) in_radius[keep] = -1;
  for (auto& [other, border] : map.borders[gone]) {
    map.borders[other].erase(gone);
    if (other == keep) continue;
    for (const auto& [from, to] : {std::pair{keep, other}, std::pair{other, keep}}) {
      Border& joined = map.borders[from][to];
      joined.lowest = joined.heights.empty() ? border.lowest : std::min(joined.lowest, border.lowest);
      joined.median = -1;
      joined.heights.insert(joined.heights.end(), border.heights.begin(), border.heights.end());
    }
  }
  map.borders[gone].clear();
}

double Merger::in_radius_of(int cell) {
  if (in_radius[cell] >= 0) return in_radius[cell];
  // In strips of rows, each with as many rows beside it as matter, until one is wide enough: most cells are so at once.
  const Extent& e = extent[cell];
  const double enough = widest_sliver * settings.band_px;
  const int beside = int(std::ceil(enough)) + 1;
  double largest = 0;
  constexpr int strip_px = 256;
  for (int from = e.y0; from <= e.y1 && largest < enough; from += strip_px) {
    const int to = std::min(from + strip_px - 1, e.y1), first = std::max(e.y0 - 1, from - beside),
              last = std::min(e.y1 + 1, to + beside);
    cv::Mat1b own(last - first + 1, e.x1 - e.x0 + 3, std::uint8_t(0));
    for (int y = std::max(first, e.y0); y <= std::min(last, e.y1); ++y)
      for (int x = e.x0; x <= e.x1; ++x)
        if (root(map.cells.labels.at(x, y)) == cell) own(y - first, x - e.x0 + 1) = 255;
    cv::Mat1f distance;
    cv::distanceTransform(own, distance, cv::DIST_L2, cv::DIST_MASK_PRECISE);
    double widest = 0;
    cv::minMaxLoc(distance.rowRange(from - first, to - first + 1), nullptr, &widest);
    largest = std::max(largest, widest);
  }
  return in_radius[cell] = largest;
}

double Merger::perimeter_of(int cell) const {
  double sum = 0;
  for (const auto& [other, border] : map.borders[cell]) sum += border.length_px();
  return sum;
}

bool Merger::merge_sliver(const std::stop_token& stop) {
  for (int c = 0; c < int(parent.size()) && !stop.stop_requested(); ++c) {
    if (parent[c] != c || map.at_frame[c] || map.borders[c].empty()) continue;
    const double r = in_radius_of(c) / settings.band_px;
    if (r >= widest_sliver) continue;
    const auto lowest =
        std::min_element(map.borders[c].begin(), map.borders[c].end(),
                         [](const auto& a, const auto& b) { return a.second.lowest < b.second.lowest; });
    if (r >= 0.6 && lowest->second.lowest >= 0.3 * settings.level) continue;
    merge(lowest->first, c);
    return true;
  }
  return false;
}

bool Merger::merge_faint() {
  for (int c = 0; c < int(parent.size()); ++c)
    for (auto& [other, border] : map.borders[c]) {
      if (other < c) continue;
      // A whole line is never that low; a short border with a door may be a little higher.
      const bool short_door = border.length_px() < 12 * settings.band_px && border.lowest < 0.2 * settings.level;
      if (median_height(border) >= (short_door ? 0.65 : 0.35) * settings.level) continue;
      merge(c, other);
      return true;
    }
  return false;
}

// Share of other cells in discs of 1.2 W round the places where a border of two cells ends. Where the inside is pinched
// by its own lines, they run on past the ends and leave others about half of the disc; where two round shapes touch,
// only a thin wedge.
double Merger::others_at_ends(int a, int b) const {
  const auto& labels = map.cells.labels;
  const double radius = std::max(3., 1.2 * settings.band_px);
  const int r = int(radius);
  const Extent &ea = extent[a], &eb = extent[b];
  const int x0 = std::max(ea.x0, eb.x0) - 1, x1 = std::min(ea.x1, eb.x1) + 1;
  const int y0 = std::max(ea.y0, eb.y0) - 1, y1 = std::min(ea.y1, eb.y1) + 1;
  double others = 0, all = 0;
  for (int y = std::max(0, y0); y < std::min(labels.height - 1, y1 + 1); ++y)
    for (int x = std::max(0, x0); x < std::min(labels.width - 1, x1 + 1); ++x) {
      bool has_a = false, has_b = false, has_other = false;
      for (const int l : {labels.at(x, y), labels.at(x + 1, y), labels.at(x, y + 1), labels.at(x + 1, y + 1)}) {
        const int cell = root(l);
        has_a |= cell == a, has_b |= cell == b, has_other |= cell != a && cell != b;
      }
      if (!has_a || !has_b || !has_other) continue;
      for (int v = std::max(0, y - r); v <= std::min(labels.height - 1, y + r); ++v)
        for (int u = std::max(0, x - r); u <= std::min(labels.width - 1, x + r); ++u) {
          if (std::hypot(u - x - 0.5, v - y - 0.5) > radius) continue;
          const int cell = root(labels.at(u, v));
          others += cell != a && cell != b;
          all += 1;
        }
    }
  return all > 0 ? others / all : 1;
}

bool Merger::merge_pinch() {
  for (int c = 0; c < int(parent.size()); ++c)
    for (auto& [other, border] : map.borders[c]) {
      if (other < c || border.length_px() >= 10 * settings.band_px) continue;
      const double share = border.length_px() / std::min(perimeter_of(c), perimeter_of(other));
      const bool door = border.lowest < 0.3 * settings.level && median_height(border) < 0.9 * settings.level;
      const bool one_pinch = border.length_px() < 5 * settings.band_px && share < (door ? 0.4 : 0.2);
      if (!one_pinch && share >= 0.1) continue;  // two pinches of the same two cells share half as much each
      if (border.lowest >= 0.9 * settings.level && others_at_ends(c, other) < 0.3) continue;  // two shapes that touch
      merge(c, other);
      return true;
    }
  return false;
}

}  // namespace

CellMap merge_cells(const Plane<float>& height, Cells cells, const MergeSettings& settings,
                    const std::stop_token& stop) {
  Merger merger{height, {std::move(cells), {}, {}}, settings, {}, {}, {}};
  merger.build();
  while (!stop.stop_requested())
    if (!merger.merge_sliver(stop) && !merger.merge_faint() && !merger.merge_pinch()) break;
  for (auto& label : merger.map.cells.labels.values) label = merger.root(label);
  return std::move(merger.map);
}

std::vector<int> parity_of(const CellMap& map) {
  const int n = map.cells.count;
  std::vector<int> parity(n, -1);
  for (int c = 0; c < n; ++c)
    if (map.at_frame[c]) parity[c] = 0;
  for (;;) {  // few cells are left: the longest border between a known and an unknown cell decides next
    int best = -1, from = -1;
    double longest = 0;
    for (int c = 0; c < n; ++c)
      if (parity[c] >= 0)
        for (const auto& [other, border] : map.borders[c])
          if (parity[other] < 0 && border.length_px() > longest) best = other, from = c, longest = border.length_px();
    if (best < 0) return parity;
    parity[best] = 1 - parity[from];
  }
}

}  // namespace batten
