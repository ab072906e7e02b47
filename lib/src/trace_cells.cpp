#include "trace_cells.h"

#include <cmath>

#include "join_necks.h"
#include "merge_cells.h"
#include "plane_cv.h"

namespace batten {
namespace {

// A reduced copy of the smoothed ink of one patch, with a rim of bare paper so that outside is one cell.
struct Relief {
  Plane<float> height;
  Box box;         // on the sheet
  int reduce = 1;  // sheet pixels a side of a pixel of the copy
  double band_px = 0, level = 0;
  static constexpr int rim = 2;
  Point to_sheet(Point p) const {
    return {box.x + (p.x - rim + .5) * reduce - .5, box.y + (p.y - rim + .5) * reduce - .5};
  }
};

// 60 % quantile of what is over a quarter of the highest crest: the height of a line in this patch.
double typical_level(const cv::Mat1f& height) {
  double highest = 0;
  cv::minMaxLoc(height, nullptr, &highest);
  std::vector<float> values;
  for (const float v : height)
    if (v > .25 * highest) values.push_back(v);
  if (values.empty()) return 0;
  const auto at = values.begin() + std::ptrdiff_t(.6 * double(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Smoothed by a fifth of the band: bundles of strokes close, the inside of narrow places stays open (.18 to .26 W give
// the same loops, less does not). Bands of 12 px and more are looked at on a copy where they are 6 px wide.
Relief relief_of(const Ink& ink, const Patches& patches, const Patch& patch) {
  Relief r;
  const double band_px = patch.measure.band_px;
  r.box = grown(patch.box, int(std::ceil(band_px)) + 4, ink.ink.width, ink.ink.height);
  r.reduce = std::max(1, int(band_px / 6));
  const Plane<float> own = ink_of_patch(ink, patches, patch, r.box);
  const int right = (r.reduce - r.box.width % r.reduce) % r.reduce,
            below = (r.reduce - r.box.height % r.reduce) % r.reduce;
  cv::Mat1f copy;
  cv::copyMakeBorder(as_mat(own), copy, 0, below, 0, right, cv::BORDER_CONSTANT, 0);
  cv::resize(copy, copy, {copy.cols / r.reduce, copy.rows / r.reduce}, 0, 0, cv::INTER_AREA);
  cv::copyMakeBorder(copy, copy, Relief::rim, Relief::rim, Relief::rim, Relief::rim, cv::BORDER_CONSTANT, 0);
  copy = gauss(copy, std::max(.2 * band_px / r.reduce, .5));
  r.height = Plane<float>(copy.cols, copy.rows);
  copy.copyTo(as_mat(r.height));
  r.band_px = band_px / r.reduce;
  r.level = typical_level(copy);
  return r;
}

struct Window {
  int x0 = 1 << 30, y0 = 1 << 30, x1 = -1, y1 = -1;
};

std::vector<Window> windows_of(const Cells& cells) {
  std::vector<Window> out(cells.count);
  for (int y = 0; y < cells.labels.height; ++y)
    for (int x = 0; x < cells.labels.width; ++x) {
      Window& w = out[cells.labels.at(x, y)];
      w.x0 = std::min(w.x0, x), w.y0 = std::min(w.y0, y), w.x1 = std::max(w.x1, x), w.y1 = std::max(w.y1, y);
    }
  return out;
}

// Each cell by itself: shapes that touch share a border, and both get it.
void add_loops_of_cell(const Relief& relief, const CellMap& map, int cell, Window w, int patch,
                       std::vector<RoughLoop>& out) {
  Plane<float> own(w.x1 - w.x0 + 3, w.y1 - w.y0 + 3);  // with a rim of 0
  for (int y = w.y0; y <= w.y1; ++y)
    for (int x = w.x0; x <= w.x1; ++x) own.at(x - w.x0 + 1, y - w.y0 + 1) = map.cells.labels.at(x, y) == cell;
  for (Polyline& loop : level_loops(own, .5f)) {
    for (Point& p : loop) p = relief.to_sheet(p + Point{w.x0 - 1., w.y0 - 1.});
    out.push_back({std::move(loop), patch});
  }
}

}  // namespace

std::vector<RoughLoop> trace_cells(const Ink& ink, const Patches& patches, int patch, const std::stop_token& stop) {
  std::vector<RoughLoop> out;
  const Relief relief = relief_of(ink, patches, patches.patches[patch]);
  if (relief.level <= 0) return out;
  // Persistence .055 T: the lowest real saddle seen was .07 T; twice as much loses whole loops.
  Cells cells =
      flood_cells(relief.height, {.055 * relief.level, .1 * relief.band_px * relief.band_px, .25 * relief.level}, stop);
  if (stop.stop_requested()) return out;
  CellMap map = merge_cells(relief.height, std::move(cells), {relief.band_px, relief.level}, stop);
  if (stop.stop_requested()) return out;
  const std::vector<int> parity = parity_of(map);
  join_necks(relief.height, parity, {relief.band_px, relief.level}, stop, map);
  if (stop.stop_requested()) return out;
  const std::vector<Window> windows = windows_of(map.cells);
  for (int c = 0; c < map.cells.count && !stop.stop_requested(); ++c)
    if (parity[c] == 1 && windows[c].x1 >= 0) add_loops_of_cell(relief, map, c, windows[c], patch, out);
  return out;
}

}  // namespace batten
