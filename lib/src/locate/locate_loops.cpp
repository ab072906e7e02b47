#include "locate/locate_loops.h"

#include <cmath>

#include "base/pixel_grid.h"
#include "locate/locate_band.h"
#include "locate/locate_edge.h"
#include "locate/loop_noise.h"
#include "shapes/fill_contrast.h"

namespace batten {
namespace {

// Shaded edges behave like a band of 6 px: that is the width of the slope with its grain at 300 dpi.
constexpr double soft_band_px = 6;

// A cubic through a window of the loop takes most of the slow noise into itself. How much it takes depends on the
// window; the factors turn what is left into the standard deviation of a point, by comparison with known outlines (some
// 500 loops). Short windows see little noise, long ones see the shape itself on small letters: the least estimate
// holds.
struct WindowFactor {
  double half_window, factor;  // in W
};
constexpr WindowFactor band_factors[] = {{1.5, 33}, {2, 19}, {3, 10}, {4, 7}};
constexpr WindowFactor soft_factors[] = {{1.5, 31}, {2, 24}, {3, 18.5}, {4, 14}, {5, 10.5}};
constexpr double crisp_factor = 2.4;

template <std::size_t n>
double least_estimate(const Polyline& loop, double step_px, double band_px, const WindowFactor (&factors)[n]) {
  double least = 1e9;
  for (const WindowFactor& w : factors)
    least = std::min(least, w.factor * cubic_residual(loop, step_px, w.half_window * band_px));
  return least;
}

// What is left is itself uncertain: a loop that happens to look smooth is not that good. So the geometric mean with
// what is usual for the width: a point strays by a twelfth of W in a band, by an eighth of the slope on a shaded edge.
double sigma_of(double estimate, double usual_px, double band_px) {
  return std::sqrt(usual_px * std::clamp(estimate, 0.02 * band_px, 0.3 * band_px));
}

// The eighth of the slope holds for graphite, whose ink scatters by 4 % and more; evener ink has a steadier edge.
double usual_edge_px(const PatchMeasure& m) {
  return 0.12 * soft_band_px * std::clamp(m.grain / std::max(m.top, 1e-6) / 0.04, 0.2, 1.);
}

Loop located_fill(const RoughLoop& rough, const Plane<float>& contrast, PixelBox box, const PatchMeasure& measure,
                  bool crisp) {
  Polyline local = rough.points;
  for (Point& p : local) p = p - Point{double(box.x), double(box.y)};
  const EdgeSettings settings = crisp ? EdgeSettings{0.5, 2, 0.5} : EdgeSettings{0.5, 4, 3};
  Loop loop;
  loop.points = locate_edge(local, contrast, settings);
  loop.kind = Kind::filled;
  loop.patch = rough.patch;
  loop.band_px = crisp ? 0 : soft_band_px;
  loop.rounding_px = crisp ? 0.4 : 0.35 * soft_band_px;
  loop.correlation_px = crisp ? 3 : 40;
  loop.sigma_px = crisp ? std::clamp(crisp_factor * cubic_residual(loop.points, 0.5, 12), 0.03, 0.5)
                        : sigma_of(least_estimate(loop.points, 0.5, soft_band_px, soft_factors), usual_edge_px(measure),
                                   soft_band_px);
  for (Point& p : loop.points) p = p + Point{double(box.x), double(box.y)};
  return loop;
}

void add_located_bands(const std::vector<RoughLoop>& rough, std::size_t begin, std::size_t end, const Plane<float>& own,
                       PixelBox box, double band_px, double noise, const std::stop_token& stop, int threads,
                       std::vector<Loop>& out) {
  std::vector<Polyline> local;
  for (std::size_t i = begin; i < end; ++i) {
    local.push_back(rough[i].points);
    for (Point& p : local.back()) p = p - Point{double(box.x), double(box.y)};
  }
  for (Polyline& points : locate_bands(local, own, {band_px, noise}, stop, threads)) {
    Loop loop;
    loop.kind = Kind::outlined;
    loop.patch = rough[begin].patch;
    loop.sigma_px = sigma_of(least_estimate(points, 1, band_px, band_factors), 0.085 * band_px, band_px);
    loop.band_px = band_px;
    loop.rounding_px = 0.3 * band_px;
    loop.correlation_px = 4.5 * band_px;
    for (Point& p : points) p = p + Point{double(box.x), double(box.y)};
    loop.points = std::move(points);
    out.push_back(std::move(loop));
  }
}

struct Bounds {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  double area = 0;
  explicit Bounds(const Polyline& loop) : area(std::abs(signed_area(loop))) {
    for (const Point& p : loop) {
      low = {std::min(low.x, p.x), std::min(low.y, p.y)};
      high = {std::max(high.x, p.x), std::max(high.y, p.y)};
    }
  }
  bool holds(Point p) const { return p.x >= low.x && p.x <= high.x && p.y >= low.y && p.y <= high.y; }
};

// Depth of each loop among all loops of the sheet, by majority of a few points: a loop that grazes another one must not
// be judged by one point on the wrong side.
int depth_of(const std::vector<Loop>& loops, const std::vector<Bounds>& bounds, std::size_t which) {
  int depth = 0;
  const Polyline& own = loops[which].points;
  for (std::size_t j = 0; j < loops.size(); ++j) {
    if (j == which || bounds[j].area < bounds[which].area) continue;
    int inside = 0;
    for (int k = 0; k < 5; ++k) {
      const Point p = own[own.size() * k / 5];
      inside += bounds[j].holds(p) && contains(loops[j].points, p);
    }
    depth += inside >= 3;
  }
  return depth;
}

void turn_by_nesting(std::vector<Loop>& loops) {
  std::vector<Bounds> bounds;
  for (const Loop& loop : loops) bounds.emplace_back(loop.points);
  std::vector<bool> reverse(loops.size());
  for (std::size_t i = 0; i < loops.size(); ++i)
    reverse[i] = (signed_area(loops[i].points) > 0) != (depth_of(loops, bounds, i) % 2 == 0);
  for (std::size_t i = 0; i < loops.size(); ++i)
    if (reverse[i]) std::reverse(loops[i].points.begin(), loops[i].points.end());
}

}  // namespace

Result<std::vector<Loop>> locate_loops(const Ink& ink, const Patches& patches, const std::vector<RoughLoop>& rough,
                                       Progress& progress, int threads) {
  std::vector<Loop> out;
  for (std::size_t i = 0; i < rough.size();) {
    if (progress.stopped()) return progress.cancelled();
    const int patch = rough[i].patch;
    const Patch& p = patches.patches[patch];
    std::size_t end = i;
    while (end < rough.size() && rough[end].patch == patch) ++end;
    const PixelBox box = grown(p.box, 8, ink.ink.width, ink.ink.height);
    const Plane<float> own = ink_of_patch(ink, patches, p, box);
    if (progress.stopped()) return progress.cancelled();
    if (p.kind == Kind::filled) {
      const Plane<float> contrast = fill_contrast(own, p.measure, ink.noise);
      for (; i < end && !progress.stopped(); ++i)
        out.push_back(located_fill(rough[i], contrast, box, p.measure, is_crisp(p.measure, ink.noise)));
    } else {
      add_located_bands(rough, i, end, own, box, p.measure.band_px, ink.noise, progress.stop_token(), threads, out);
    }
    i = end;
    progress.advance(double(end) / double(rough.size()));
  }
  if (progress.stopped()) return progress.cancelled();
  turn_by_nesting(out);
  for (Loop& loop : out)
    for (Point& p : loop.points) p = page_of(p);
  return out;
}

}  // namespace batten
