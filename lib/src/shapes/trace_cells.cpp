#include "shapes/trace_cells.h"

#include <array>
#include <cmath>
#include <optional>

#include "base/level_loops.h"
#include "base/parallel.h"
#include "base/plane_cv.h"
#include "ink/bounded_distance.h"
#include "shapes/height_map.h"
#include "shapes/join_necks.h"
#include "shapes/merge_cells.h"

namespace batten {
namespace {

// Each cell by itself: shapes that touch share a border, and both get it.
void add_loops_of_cell(const HeightMap& heights, const CellMap& map, int cell, PixelBox box, int patch,
                       const std::stop_token& stop, std::vector<RoughLoop>* out) {
  Plane<float> own(box.width + 2, box.height + 2);  // with a rim of 0
  for (int y = 0; y < box.height; ++y) {
    const std::int32_t* label = map.cells.labels.row(box.y + y) + box.x;
    float* to = own.row(y + 1) + 1;
    for (int x = 0; x < box.width; ++x) to[x] = label[x] == cell ? 1.f : 0.f;
  }
  if (stop.stop_requested()) return;
  for (Polyline& loop : level_loops(own, 0.5f)) {
    for (Point& p : loop) p = heights.to_sheet(p + Point{box.x - 1., box.y - 1.});
    out->push_back({std::move(loop), patch});
  }
}

// Share of the crests (over half the height of a line) that lie within 1.2 W of the border of an inside cell.
double covered_share(const HeightMap& heights, const CellMap& map, const std::vector<int>& parity,
                     const std::stop_token& stop) {
  const auto& labels = map.cells.labels;
  cv::Mat1b border(labels.height, labels.width, std::uint8_t(0));
  for (int y = 0; y < labels.height; ++y) {
    const std::int32_t *row = labels.row(y), *below = labels.row(std::min(y + 1, labels.height - 1));
    for (int x = 0; x < labels.width; ++x) {
      const int own = row[x], beside = row[std::min(x + 1, labels.width - 1)];
      if (own == beside && own == below[x]) continue;
      for (const int other : {beside, below[x]})
        if (other != own && (parity[other] == 1 || parity[own] == 1)) border(y, x) = 255;
    }
  }
  if (stop.stop_requested()) return 0;
  const cv::Mat1b near = within(border, 1.2 * heights.band_px, {farthest_px, 1, stop});
  if (stop.stop_requested()) return 0;
  double covered = 0, all = 0;
  for (int y = 0; y < labels.height; ++y)
    for (int x = 0; x < labels.width; ++x) {
      if (heights.height.at(x, y) < 0.5 * heights.level) continue;
      all += 1;
      covered += near(y, x) != 0;
    }
  return all > 0 ? covered / all : 1;
}

// Merging takes the square of them: 0.15 s for 1100 cells, the most that any of 24 sketches and diagrams had in one
// patch. Halftone and scribbles have tens of thousands.
constexpr int most_cells = 2000;

CellLoops trace_smoothed(const HeightMap& heights, int patch, const std::stop_token& stop) {
  CellLoops out;
  if (heights.level <= 0) return out;
  // Persistence 0.055 T: the lowest real saddle seen was 0.07 T; twice as much loses whole loops.
  Cells cells = flood_cells(
      heights.height, {0.055 * heights.level, 0.1 * heights.band_px * heights.band_px, 0.25 * heights.level}, stop);
  out.too_many = cells.count > most_cells;
  if (out.too_many || stop.stop_requested()) return out;
  CellMap map = merge_cells(heights, std::move(cells), stop);
  if (stop.stop_requested()) return out;
  const std::vector<int> parity = parity_of(map);
  join_necks(heights, parity, stop, &map);
  if (stop.stop_requested()) return out;
  const std::vector<PixelBox> boxes = boxes_of(map.cells.labels, map.cells.count);
  for (int c = 0; c < map.cells.count && !stop.stop_requested(); ++c)
    if (parity[c] == 1 && !boxes[c].empty()) add_loops_of_cell(heights, map, c, boxes[c], patch, stop, &out.loops);
  if (stop.stop_requested()) return out;
  out.covered = covered_share(heights, map, parity, stop);
  return out;
}

}  // namespace

CellLoops trace_cells(const Ink& ink, const Patches& patches, int patch, double wider, int threads,
                      const std::stop_token& stop) {
  // A fifth of the band: bundles of strokes close, the inside of narrow places stays open (0.18 to 0.26 W give the same
  // loops, less does not). More smoothing only where lines were left over: it bridges gaps of 1.2 W and 1.8 W.
  constexpr std::array smoothings{0.2, 0.35, 0.5};
  Patch read_as = patches.patches[patch];
  read_as.measure.band_px *= wider;
  std::array<std::optional<CellLoops>, smoothings.size()> read;
  const auto look = [&](std::size_t i) {
    read[i] = trace_smoothed(height_map_of(ink, patches, read_as, smoothings[i], stop), patch, stop);
    read[i]->gap_closed = i > 0;
  };
  if (threads > 1) share_out(2, threads, look, [](std::size_t) {});
  CellLoops best;
  for (std::size_t i = 0; i < smoothings.size() && !stop.stop_requested(); ++i) {
    if (!read[i]) look(i);
    if (i == 0 || read[i]->covered > best.covered + 0.1)
      best = std::move(*read[i]);
    else if (!best.loops.empty())
      break;  // what is left over is open
    if (best.covered >= 0.8) break;
  }
  best.wider = wider;
  return best;
}

}  // namespace batten
