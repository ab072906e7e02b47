#include "shapes/merge_cells.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Radius of the largest disc in it, in W: a cell of less is no inside but a gap between strokes.
constexpr double widest_sliver = 0.9;
// The same of a cell between two strokes of one edge: where they lie farther apart, the edge is no longer in between.
constexpr double widest_gap = 1.2;
// Of its perimeter: what borders on either side of the edge, the rest of that edge, and its area over the in-radius. It
// is pointed where the strokes meet; a drawn strip is not, and fills 0.85 of its length. Gaps in letters by six hands
// had 0.31, 7 and 0.70.
constexpr double least_beside_gap = 0.3, least_beyond_gap = 2, fullest_gap = 0.75;

float median_height(Border* border) {
  if (border->median < 0) border->median = std::max(0.f, median(border->heights));
  return border->median;
}

// Cells with union-find on top: `label` of a pixel -> current cell.
struct Merger {
  const HeightMap& heights;
  CellMap map;
  std::vector<int> parent = {};
  std::vector<PixelBox> box = {};
  std::vector<double> in_radius = {};  // exact below widest_gap, at least so much above it; < 0: not known yet

  int root(int c) const {
    while (parent[c] != c) c = parent[c];
    return c;
  }
  void note(int a, int b, float h);
  void build();
  void merge(int keep, int gone);
  double in_radius_of(int cell);
  double perimeter_of(int cell) const;
  double area_of(int cell) const;
  bool merge_sliver(const std::stop_token& stop);
  bool merge_between();
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
  const auto& height = heights.height;
  const int n = map.cells.count;
  map.at_frame.assign(n, false);
  map.borders.assign(n, {});
  box = boxes_of(labels, n);
  in_radius.assign(n, -1);
  parent.resize(n);
  std::iota(parent.begin(), parent.end(), 0);
  for (int y = 0; y < labels.height; ++y) {
    const bool last = y + 1 == labels.height;
    const std::int32_t *row = labels.row(y), *below = last ? row : labels.row(y + 1);
    map.at_frame[row[0]] = map.at_frame[row[labels.width - 1]] = true;
    for (int x = 0; x < labels.width; ++x) {
      const int a = row[x];
      if (y == 0 || last) map.at_frame[a] = true;
      if (x + 1 < labels.width && row[x + 1] != a) note(a, row[x + 1], std::max(height.at(x, y), height.at(x + 1, y)));
      if (below[x] != a) note(a, below[x], std::max(height.at(x, y), height.at(x, y + 1)));
    }
  }
}

void Merger::merge(int keep, int gone) {
  if (map.at_frame[gone] && !map.at_frame[keep]) std::swap(keep, gone);
  parent[gone] = keep;
  map.at_frame[keep] = map.at_frame[keep] || map.at_frame[gone];
  box[keep].add(box[gone]);
  // A cell that was wide enough stays so when it grows; only a sliver is measured again.
  in_radius[keep] = std::max(in_radius[keep], in_radius[gone]);
  if (in_radius[keep] < widest_gap * heights.band_px) in_radius[keep] = -1;
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
  const PixelBox& own_box = box[cell];
  const double enough = widest_gap * heights.band_px;
  const int beside = int(std::ceil(enough)) + 1;
  double largest = 0;
  constexpr int strip_px = 256;
  for (int from = own_box.y; from < own_box.bottom() && largest < enough; from += strip_px) {
    const int to = std::min(from + strip_px, own_box.bottom()), first = std::max(own_box.y - 1, from - beside),
              last = std::min(own_box.bottom(), to - 1 + beside);
    cv::Mat1b own(last - first + 1, own_box.width + 2, std::uint8_t(0));
    for (int y = std::max(first, own_box.y); y < std::min(last + 1, own_box.bottom()); ++y)
      for (int x = own_box.x; x < own_box.right(); ++x)
        if (root(map.cells.labels.at(x, y)) == cell) own(y - first, x - own_box.x + 1) = 255;
    cv::Mat1f distance;
    cv::distanceTransform(own, distance, cv::DIST_L2, cv::DIST_MASK_PRECISE);
    double widest = 0;
    cv::minMaxLoc(distance.rowRange(from - first, to - first), nullptr, &widest);
    largest = std::max(largest, widest);
  }
  return in_radius[cell] = largest;
}

double Merger::perimeter_of(int cell) const {
  double sum = 0;
  for (const auto& [other, border] : map.borders[cell]) sum += border.length_px();
  return sum;
}

double Merger::area_of(int cell) const {
  double sum = 0;
  for (int y = box[cell].y; y < box[cell].bottom(); ++y)
    for (int x = box[cell].x; x < box[cell].right(); ++x) sum += root(map.cells.labels.at(x, y)) == cell;
  return sum;
}

bool Merger::merge_sliver(const std::stop_token& stop) {
  for (int c = 0; c < int(parent.size()) && !stop.stop_requested(); ++c) {
    if (parent[c] != c || map.at_frame[c] || map.borders[c].empty()) continue;
    const double r = in_radius_of(c) / heights.band_px;
    if (r >= widest_sliver) continue;
    const auto lowest =
        std::min_element(map.borders[c].begin(), map.borders[c].end(),
                         [](const auto& a, const auto& b) { return a.second.lowest < b.second.lowest; });
    if (r >= 0.6 && lowest->second.lowest >= 0.3 * heights.level) continue;
    merge(lowest->first, c);
    return true;
  }
  return false;
}

bool Merger::merge_between() {
  for (int c = 0; c < int(parent.size()); ++c) {
    if (parent[c] != c || map.at_frame[c] || map.borders[c].size() < 2) continue;
    // The two it borders on most: which cells lie beyond the one stroke and the other.
    std::vector<std::pair<double, int>> beside;
    for (const auto& [other, border] : map.borders[c]) beside.emplace_back(-border.length_px(), other);
    std::sort(beside.begin(), beside.end());
    const auto [first_px, first] = beside[0];
    const auto [second_px, second] = beside[1];
    const double perimeter = perimeter_of(c);
    if (-second_px < least_beside_gap * perimeter) continue;
    const auto beyond = map.borders[first].find(second);
    if (beyond == map.borders[first].end() || beyond->second.length_px() < least_beyond_gap * perimeter) continue;
    const double r = in_radius_of(c);
    if (r >= widest_gap * heights.band_px || area_of(c) > fullest_gap * r * perimeter) continue;
    merge(map.borders[c][first].lowest <= map.borders[c][second].lowest ? first : second, c);
    return true;
  }
  return false;
}

bool Merger::merge_faint() {
  for (int c = 0; c < int(parent.size()); ++c)
    for (auto& [other, border] : map.borders[c]) {
      if (other < c) continue;
      // A whole line is never that low; a short border with a door may be a little higher.
      const bool short_door = border.length_px() < 12 * heights.band_px && border.lowest < 0.2 * heights.level;
      if (median_height(&border) >= (short_door ? 0.65 : 0.35) * heights.level) continue;
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
  const double radius = std::max(3., 1.2 * heights.band_px);
  const int r = int(radius);
  const int x0 = std::max({0, box[a].x - 1, box[b].x - 1}), y0 = std::max({0, box[a].y - 1, box[b].y - 1});
  const int x1 = std::min({labels.width - 1, box[a].right() + 1, box[b].right() + 1});
  const int y1 = std::min({labels.height - 1, box[a].bottom() + 1, box[b].bottom() + 1});
  double others = 0, all = 0;
  for (int y = y0; y < y1; ++y)
    for (int x = x0; x < x1; ++x) {
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
      if (other < c || border.length_px() >= 10 * heights.band_px) continue;
      const double share = border.length_px() / std::min(perimeter_of(c), perimeter_of(other));
      const bool door = border.lowest < 0.3 * heights.level && median_height(&border) < 0.9 * heights.level;
      const bool one_pinch = border.length_px() < 5 * heights.band_px && share < (door ? 0.4 : 0.2);
      if (!one_pinch && share >= 0.1) continue;  // two pinches of the same two cells share half as much each
      if (border.lowest >= 0.9 * heights.level && others_at_ends(c, other) < 0.3) continue;  // two shapes that touch
      merge(c, other);
      return true;
    }
  return false;
}

}  // namespace

CellMap merge_cells(const HeightMap& heights, Cells cells, const std::stop_token& stop) {
  Merger merger{heights, {std::move(cells), {}, {}}};
  merger.build();
  while (!stop.stop_requested())
    if (!merger.merge_sliver(stop) && !merger.merge_faint() && !merger.merge_pinch() && !merger.merge_between()) break;
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
