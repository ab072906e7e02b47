#include "network/choose_way.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "network/discs.h"
#include "shapes/pinned_kinds.h"

namespace batten {
namespace {

constexpr double least_explained = 0.93;  // 0.98 and more in some 300 drawings of letters

// Share of the length of all loops that belongs to loops large enough to be shapes: the others are left out.
double large_share(const Patch& patch, const std::vector<RoughLoop>& loops) {
  double all = 0, large = 0;
  for (const RoughLoop& loop : loops) {
    const double length_px = open_length_px(loop.points);
    all += length_px;
    if (!is_tiny(loop, patch.measure.band_px)) large += length_px;
  }
  return all > 0 ? large / all : 1;
}

// For each loop whether each of its points lies near another loop.
std::vector<std::vector<char>> near_others(const std::vector<RoughLoop>& loops, double near_px) {
  const double cell_px = std::max(1., near_px);
  struct Entry {
    Point at;
    std::size_t loop;
  };
  std::unordered_map<std::int64_t, std::vector<Entry>> cells;
  const auto cell = [&](double v) { return std::int64_t(std::floor(v / cell_px)); };
  const auto key = [](std::int64_t x, std::int64_t y) { return (y << 32) ^ (x & 0xffffffff); };
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (const Point p : loops[i].points) cells[key(cell(p.x), cell(p.y))].push_back({p, i});
  const auto is_near = [&](Point p, std::size_t loop) {
    for (std::int64_t y = cell(p.y) - 1; y <= cell(p.y) + 1; ++y)
      for (std::int64_t x = cell(p.x) - 1; x <= cell(p.x) + 1; ++x)
        if (const auto found = cells.find(key(x, y)); found != cells.end())
          for (const Entry& e : found->second)
            if (e.loop != loop && distance(e.at, p) < near_px) return true;
    return false;
  };
  std::vector<std::vector<char>> out;
  for (std::size_t i = 0; i < loops.size(); ++i) {
    out.emplace_back();
    for (const Point p : loops[i].points) out.back().push_back(is_near(p, i));
  }
  return out;
}

// How wide the ink is at each point of each loop, px: twice the depth of its crest nearby.
std::vector<std::vector<double>> widths_along(const Ink& ink, const Patch& patch, const std::vector<RoughLoop>& loops) {
  const PixelBox b = grown(patch.box, 4, ink.ink.width, ink.ink.height);
  const cv::Mat1f own = as_mat(ink.ink)(cv::Rect(b.x, b.y, b.width, b.height));
  cv::Mat1f depth = depth_in(gauss(own, 0.8) > 0.5 * patch.measure.top);
  const int reach = std::max(1, int(0.4 * patch.measure.band_px));
  cv::dilate(depth, depth, cv::Mat1b::ones(2 * reach + 1, 2 * reach + 1));
  std::vector<std::vector<double>> out;
  for (const RoughLoop& loop : loops) {
    out.emplace_back();
    for (const Point p : loop.points)
      out.back().push_back(2 * depth(std::clamp(int(std::lround(p.y)) - b.y, 0, depth.rows - 1),
                                     std::clamp(int(std::lround(p.x)) - b.x, 0, depth.cols - 1)));
  }
  return out;
}

}  // namespace

bool is_tiny(const RoughLoop& loop, double band_px) {
  return std::abs(signed_area_px2(loop.points)) < 6 * band_px * band_px;
}

double shared_border(const Ink& ink, const Patch& patch, const std::vector<RoughLoop>& loops) {
  if (loops.size() < 2) return 0;
  const std::vector<std::vector<char>> near = near_others(loops, 0.3 * patch.measure.band_px);
  const std::vector<std::vector<double>> width_px = widths_along(ink, patch, loops);
  std::vector<double> alone_px;
  std::size_t all = 0, shared = 0;
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (std::size_t k = 0; k < near[i].size(); ++k)
      if (++all; !near[i][k]) alone_px.push_back(width_px[i][k]);
  if (alone_px.empty()) return 0;
  const double line_px = median(std::move(alone_px));
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (std::size_t k = 0; k < near[i].size(); ++k) shared += near[i][k] && width_px[i][k] < 1.25 * line_px;
  return double(shared) / double(all);
}

namespace {

// Patches are taken as their loops were read.
bool is_outline(const Ink& ink, Patch patch, const CellLoops& cells) {
  patch.measure.band_px *= cells.wider;
  return cells.covered >= least_explained && large_share(patch, cells.loops) >= least_explained &&
         shared_border(ink, patch, cells.loops) <= 0.15;
}

}  // namespace

CellLoops trace_lines_or_bundles(const Ink& ink, const Patches& patches, int patch, int threads,
                                 const std::stop_token& stop) {
  constexpr double worth_another_look = 0.75, nearly_everything = 0.97;
  constexpr double shortest_in_bands = 12;  // what is shorter is too small to tell a bundle from a shape
  CellLoops lines = trace_cells(ink, patches, patch, 1, threads, stop);
  const Patch& own = patches.patches[patch];
  if (lines.covered < worth_another_look || own.box.longest() < shortest_in_bands * own.measure.band_px ||
      is_outline(ink, own, lines))
    return lines;
  for (const double wider : {1.5, 2.}) {
    if (stop.stop_requested()) break;
    CellLoops bundles = trace_cells(ink, patches, patch, wider, threads, stop);
    if (bundles.covered >= nearly_everything && is_outline(ink, own, bundles)) return bundles;
  }
  return lines;
}

namespace {

std::vector<char> found_in_network(const Ink& ink, const Patches& patches, const std::vector<CellLoops>& traced,
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
    out[i] = !is_outline(ink, patch, traced[i]);
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

}  // namespace

std::vector<char> belongs_to_network(const Ink& ink, const Patches& patches, const std::vector<CellLoops>& traced,
                                     Options::DrawingKind asked, const std::vector<Pin>& pins,
                                     Options::Construction construction) {
  std::vector<char> out = found_in_network(ink, patches, traced, asked);
  for (std::size_t i = 0; i < out.size() && construction == Options::Construction::keep; ++i)
    if (patches.patches[i].has_lines) out[i] = 1;
  if (patches.patches.empty() || pins.empty()) return out;
  const int most = *std::max_element(patches.labels.values.begin(), patches.labels.values.end());
  const auto drawn = pinned_kinds(patches.labels, most + 1, pins);
  for (std::size_t i = 0; i < out.size() && !drawn.empty(); ++i)
    if (const auto as = drawn[std::size_t(patches.patches[i].label)]) out[i] = *as == Pin::Drawn::lines;
  return out;
}

}  // namespace batten
