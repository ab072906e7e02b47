#include "locate/locate_edge.h"

#include <cmath>

#include "locate/profile.h"

namespace batten {
namespace {

// The zero nearest to the middle where the values fall from positive (inside) to negative; 0 if there is none.
double nearest_zero(const Profiles& p, int row) {
  const float* v = p.values.row(row);
  double best = 0, distance = 1e9;
  for (int j = 0; j + 1 < p.values.width; ++j) {
    if (!(v[j] > 0 && v[j + 1] <= 0)) continue;
    const double u = p.offset(j) + p.step_px * v[j] / (v[j] - v[j + 1]);
    if (std::abs(u) < distance) best = u, distance = std::abs(u);
  }
  return best;
}

}  // namespace

Polyline locate_edge(const Polyline& rough, const Plane<float>& contrast, const EdgeSettings& settings) {
  Polyline loop = evenly_spaced(rough, settings.step_px);
  for (int round = 0; round < 3; ++round) {
    // The corners of pixels would turn the normals of the loop itself.
    const Polyline out = normals(smooth_ring(loop, 1.5 / settings.step_px));
    Profiles profiles = profiles_across(contrast, loop, out, settings.search_px, 0.25);
    average_along(settings.averaging_px / settings.step_px, &profiles.values);
    for (std::size_t i = 0; i < loop.size(); ++i) loop[i] = loop[i] + nearest_zero(profiles, int(i)) * out[i];
    loop = evenly_spaced(loop, settings.step_px);
  }
  return loop;
}

}  // namespace batten
