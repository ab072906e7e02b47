#include "structure/extremes.h"

#include <algorithm>
#include <cmath>

#include "fit/segment_data.h"

namespace batten {
namespace {

double mid_flat(const std::vector<double>& v, std::size_t at, double depth) {
  std::size_t a = at, b = at;
  while (a > 0 && std::abs(v[a - 1] - v[at]) < depth) --a;
  while (b + 1 < v.size() && std::abs(v[b + 1] - v[at]) < depth) ++b;
  return 0.5 * double(a + b);
}

}  // namespace

double extreme_hysteresis_px(const SpacedLoop& loop) { return 0.28 + 1.1 * loop.sigma_px; }

ArcLoop smooth_for_extremes(const SpacedLoop& loop) {
  const bool exact = loop.exact();
  return smooth(loop.curve, exact ? 0.8 : 1.5 + 0.35 * loop.band_px);
}

std::vector<Extreme> extremes_between(const ArcLoop& smooth, double from, double to, double hysteresis_px) {
  const auto first = std::ptrdiff_t(std::ceil(from / smooth.step_px)),
             last = std::ptrdiff_t(std::floor(to / smooth.step_px));
  std::vector<double> x, y;
  for (auto i = first; i <= last; ++i) x.push_back(smooth[i].x), y.push_back(smooth[i].y);
  std::vector<Extreme> out;
  const auto collect = [&](const std::vector<double>& v, Reason high, Reason low) {
    for (const TurningPoint& t : turning_points(v, hysteresis_px)) {
      const double k = mid_flat(v, t.at, 0.3 * hysteresis_px);
      out.push_back({(double(first) + k) * smooth.step_px, t.highest ? high : low});
    }
  };
  collect(x, Reason::extreme_right, Reason::extreme_left);
  collect(y, Reason::extreme_bottom, Reason::extreme_top);
  std::stable_sort(out.begin(), out.end(), [](const Extreme& a, const Extreme& b) { return a.arc < b.arc; });
  return out;
}

}  // namespace batten
