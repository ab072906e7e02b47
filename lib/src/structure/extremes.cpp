#include "structure/extremes.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

// Turning points of one coordinate with hysteresis, along samples v.
struct Turn {
  std::size_t at;
  bool highest;
};
std::vector<Turn> turning_points(const std::vector<double>& v, double hysteresis) {
  std::vector<Turn> out;
  if (v.empty()) return out;
  std::size_t hi = 0, lo = 0;
  int way = 0;  // +1 rising, -1 falling
  for (std::size_t i = 1; i < v.size(); ++i) {
    if (way >= 0) {
      if (v[i] > v[hi]) hi = i;
      if (v[hi] - v[i] > hysteresis) {
        if (way > 0 || v[hi] - v[0] > hysteresis) out.push_back({hi, true});
        way = -1, lo = i;
      }
    }
    if (way <= 0) {
      if (v[i] < v[lo]) lo = i;
      if (v[i] - v[lo] > hysteresis) {
        if (way < 0 || v[0] - v[lo] > hysteresis) out.push_back({lo, false});
        way = 1, hi = i;
      }
    }
  }
  return out;
}

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
    for (const Turn& t : turning_points(v, hysteresis_px)) {
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
