#include "locate/locate_loops.h"

#include <algorithm>
#include <cmath>
#include <span>

#include "base/pixel_grid.h"
#include "locate/locate_band.h"
#include "locate/locate_edge.h"
#include "locate/loop_noise.h"
#include "shapes/fill_contrast.h"

namespace batten {
namespace {

// Shaded edges behave like a band of 6 px: that is the width of the slope with its grain at 300 dpi.
constexpr double soft_band_px = 6;

// What a cubic fitted to a window of a crisp edge leaves, times this, is the standard deviation of a point.
constexpr double crisp_factor = 2.4;

// The eighth of the slope holds for graphite, whose ink scatters by 4 % and more; evener ink has a steadier edge.
double usual_edge_px(const PatchMeasure& m) {
  return 0.12 * soft_band_px * std::clamp(m.grain / std::max(m.top, 1e-6) / 0.04, 0.2, 1.);
}

Polyline shifted(Polyline points, Point offset) {
  for (Point& p : points) p = p + offset;
  return points;
}

// Fills are located one by one, in the coordinates of their patch; `contrast` begins at `origin` on the sheet.
Loop located_fill(const RoughLoop& rough, const Plane<float>& contrast, Point origin, const PatchMeasure& measure) {
  const bool crisp = measure.crisp;
  const Polyline points = locate_edge(shifted(rough.points, -1 * origin), contrast,
                                      {.step_px = 0.5, .search_px = crisp ? 2. : 4., .averaging_px = crisp ? 0.5 : 3.});
  Loop loop;
  loop.kind = Kind::filled;
  loop.band_px = crisp ? 0 : soft_band_px;
  loop.rounding_px = crisp ? 0.4 : 0.35 * soft_band_px;
  loop.correlation_px = crisp ? 3 : 40;
  loop.sigma_px = crisp ? std::clamp(crisp_factor * cubic_residual(points, 0.5, 12), 0.03, 0.5)
                        : edge_sigma_px(points, soft_band_px, usual_edge_px(measure));
  loop.known_sigma_px = crisp ? known_crisp_sigma_px(loop.sigma_px) : known_edge_sigma_px(soft_band_px);
  loop.points = shifted(points, origin);
  return loop;
}

// The bands of one patch are located together; `own` is its ink and begins at `origin` on the sheet.
void add_located_bands(std::span<const RoughLoop> rough, const Plane<float>& own, Point origin,
                       const BandSettings& settings, const std::stop_token& stop, int threads, std::vector<Loop>* out) {
  std::vector<Polyline> local;
  for (const RoughLoop& loop : rough) local.push_back(shifted(loop.points, -1 * origin));
  const double band_px = settings.band_px;
  for (const Polyline& points : locate_bands(local, own, settings, stop, threads)) {
    Loop loop;
    loop.kind = Kind::outlined;
    loop.sigma_px = band_sigma_px(points, band_px);
    loop.known_sigma_px = known_band_sigma_px(band_px);
    loop.band_px = band_px;
    loop.rounding_px = 0.3 * band_px;
    loop.correlation_px = 4.5 * band_px;
    loop.points = shifted(points, origin);
    out->push_back(std::move(loop));
  }
}

// In how many others each loop of the sheet lies, by majority of a few of its points: a loop that grazes another one
// must not be judged by one point on the wrong side.
std::vector<int> depths_of(const std::vector<Loop>& loops) {
  std::vector<PointBox> boxes;
  std::vector<double> areas;
  for (const Loop& loop : loops)
    boxes.push_back(box_of(loop.points)), areas.push_back(std::abs(signed_area_px2(loop.points)));
  std::vector<int> depths(loops.size(), 0);
  for (std::size_t i = 0; i < loops.size(); ++i)
    for (std::size_t j = 0; j < loops.size(); ++j) {
      if (j == i || areas[j] < areas[i]) continue;
      const Polyline& own = loops[i].points;
      int inside = 0;
      for (int k = 0; k < 5; ++k) {
        const Point p = own[own.size() * k / 5];
        inside += boxes[j].holds(p) && contains(loops[j].points, p);
      }
      depths[i] += inside >= 3;
    }
  return depths;
}

}  // namespace

Result<std::vector<Loop>> locate_loops(const Ink& ink, const Patches& patches, const std::vector<RoughLoop>& rough,
                                       const Progress& progress, int threads) {
  std::vector<Loop> out;
  for (std::size_t i = 0; i < rough.size();) {
    if (progress.stopped()) return progress.cancelled();
    const int which = rough[i].patch;
    const Patch& patch = patches.patches[which];
    std::size_t end = i;
    while (end < rough.size() && rough[end].patch == which) ++end;
    const PixelBox box = grown(patch.box, 8, ink.ink.width, ink.ink.height);
    const Point origin{double(box.x), double(box.y)};
    const Plane<float> own = ink_of_patch(ink, patches, patch, box);
    if (progress.stopped()) return progress.cancelled();
    if (patch.kind == Kind::filled) {
      const Plane<float> contrast = fill_contrast(own, patch.measure);
      for (; i < end && !progress.stopped(); ++i)
        out.push_back(located_fill(rough[i], contrast, origin, patch.measure));
    } else {
      add_located_bands({&rough[i], end - i}, own, origin, {patch.measure.band_px, ink.noise}, progress.stop_token(),
                        threads, &out);
    }
    i = end;
    progress.advance(double(end) / double(rough.size()));
  }
  if (progress.stopped()) return progress.cancelled();
  const std::vector<int> depths = depths_of(out);
  for (std::size_t i = 0; i < out.size(); ++i) {
    Polyline& points = out[i].points;
    if ((signed_area_px2(points) > 0) != (depths[i] % 2 == 0)) std::reverse(points.begin(), points.end());
    for (Point& p : points) p = page_of(p);
  }
  return out;
}

}  // namespace batten
