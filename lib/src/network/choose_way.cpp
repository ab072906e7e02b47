#include "network/choose_way.h"

#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "base/statistics.h"

namespace batten {
namespace {

bool is_outline(const Patch& patch, const CellLoops& cells) {
  return cells.covered >= 0.93 && shared_border(cells.loops, patch.measure.band_px) <= 0.25;
}

}  // namespace

double shared_border(const std::vector<RoughLoop>& loops, double band_px) {
  const double near_px = 0.3 * band_px, cell_px = std::max(1., near_px);
  struct Entry {
    Point at;
    std::size_t loop;
  };
  std::unordered_map<std::int64_t, std::vector<Entry>> cells;
  const auto cell = [&](double v) { return std::int64_t(std::floor(v / cell_px)); };
  const auto key = [](std::int64_t x, std::int64_t y) { return (y << 32) ^ (x & 0xffffffff); };
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (const Point p : loops[i].points) cells[key(cell(p.x), cell(p.y))].push_back({p, i});
  const auto is_near_other = [&](Point p, std::size_t loop) {
    for (std::int64_t y = cell(p.y) - 1; y <= cell(p.y) + 1; ++y)
      for (std::int64_t x = cell(p.x) - 1; x <= cell(p.x) + 1; ++x)
        if (const auto found = cells.find(key(x, y)); found != cells.end())
          for (const Entry& e : found->second)
            if (e.loop != loop && distance(e.at, p) < near_px) return true;
    return false;
  };
  std::size_t near = 0, all = 0;
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (const Point p : loops[i].points) ++all, near += is_near_other(p, i);
  return all > 0 ? double(near) / double(all) : 0;
}

std::vector<char> belongs_to_network(const Patches& patches, const std::vector<CellLoops>& traced,
                                     Options::DrawingKind asked) {
  const std::size_t count = patches.patches.size();
  if (asked == Options::DrawingKind::lines) return std::vector<char>(count, 1);
  std::vector<char> out(count, 0);
  if (asked != Options::DrawingKind::automatic) return out;
  double network_px2 = 0, outlines_px2 = 0;
  std::vector<double> widths_px;
  for (std::size_t i = 0; i < count; ++i) {
    const Patch& patch = patches.patches[i];
    if (patch.kind == Kind::filled) {
      outlines_px2 += patch.measure.area_px2;
      continue;
    }
    out[i] = !is_outline(patch, traced[i]);
    (out[i] ? network_px2 : outlines_px2) += patch.measure.area_px2;
    if (out[i]) widths_px.push_back(patch.measure.band_px);
  }
  if (network_px2 <= outlines_px2) return out;
  // 1.7 lines: two strokes side by side.
  const double mark_px = 1.7 * median(std::move(widths_px));
  for (std::size_t i = 0; i < count; ++i) {
    const Patch& patch = patches.patches[i];
    if (patch.kind == Kind::outlined || patch.measure.typical_px <= mark_px) out[i] = 1;
  }
  return out;
}

}  // namespace batten
