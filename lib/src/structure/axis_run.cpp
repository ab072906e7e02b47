#include "structure/axis_run.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

// Values of one coordinate at even steps, with sums that give the mean of any run at once.
class Track {
 public:
  Track(const SpacedLoop& loop, bool vertical, double low, double high) : low_(low) {
    count_ = std::max<std::ptrdiff_t>(2, std::ptrdiff_t((high - low) / loop.curve.step_px) + 1);
    step_ = (high - low) / double(count_ - 1);
    sums_.push_back(0);
    for (std::ptrdiff_t i = 0; i < count_; ++i) {
      const Point p = loop.curve.at(low + double(i) * step_);
      values_.push_back(vertical ? p.x : p.y);
      sums_.push_back(sums_.back() + values_.back());
    }
  }
  double mean(std::ptrdiff_t a, std::ptrdiff_t b) const {
    return (sums_[std::size_t(b) + 1] - sums_[std::size_t(a)]) / double(b - a + 1);
  }
  double value(std::ptrdiff_t i) const { return values_[std::size_t(i)]; }
  std::ptrdiff_t count() const { return count_; }
  double arc(std::ptrdiff_t i) const { return low_ + double(i) * step_; }
  std::ptrdiff_t index(double arc) const {
    return std::clamp<std::ptrdiff_t>(std::lround((arc - low_) / step_), 0, count_ - 1);
  }

 private:
  double low_, step_ = 1;
  std::ptrdiff_t count_ = 0;
  std::vector<double> values_, sums_;
};

struct TrackRun {
  std::ptrdiff_t a, b;
};

// Grows a run both ways; its line moves with what it has taken up, so its ends are looked at again until nothing is
// gained.
TrackRun grow(const Track& t, TrackRun r, double off_px) {
  for (int round = 0; round < 60; ++round) {
    const double at = t.mean(r.a, r.b);
    const TrackRun before = r;
    const std::ptrdiff_t most = std::max<std::ptrdiff_t>(4, (r.b - r.a) / 4);  // no further than the line is known
    for (std::ptrdiff_t k = 0; k < most && r.a > 0 && std::abs(t.value(r.a - 1) - at) <= off_px; ++k) --r.a;
    for (std::ptrdiff_t k = 0; k < most && r.b + 1 < t.count() && std::abs(t.value(r.b + 1) - at) <= off_px; ++k) ++r.b;
    const double now = t.mean(r.a, r.b);
    while (r.b - r.a > 4 && std::abs(t.value(r.a) - now) > off_px) ++r.a;
    while (r.b - r.a > 4 && std::abs(t.value(r.b) - now) > off_px) --r.b;
    if (r.a == before.a && r.b == before.b) break;
  }
  return r;
}

}  // namespace

AxisRun axis_run(const SpacedLoop& loop, bool vertical, double low, double high, double seed, double off_px) {
  AxisRun out;
  out.from = out.to = seed;
  if (high - low < 4 * loop.curve.step_px) return out;
  const Track t(loop, vertical, low, high);
  const std::ptrdiff_t middle = t.index(seed);
  const TrackRun start{std::max<std::ptrdiff_t>(0, middle - 3), std::min(t.count() - 1, middle + 3)};
  const TrackRun held = grow(t, start, off_px);
  constexpr double wider = 2.5;  // as straights of any direction are told from arcs
  const TrackRun wide = grow(t, held, wider * off_px);
  out.from = t.arc(held.a), out.to = t.arc(held.b);
  out.at_px = t.mean(held.a, held.b);
  for (auto i = held.a; i <= held.b; ++i) out.worst_px = std::max(out.worst_px, std::abs(t.value(i) - out.at_px));
  const double share = 1 / (std::sqrt(wider) - 1);
  out.over_from_px = share * (t.arc(held.a) - t.arc(wide.a)), out.over_to_px = share * (t.arc(wide.b) - t.arc(held.b));
  out.growth = double(wide.b - wide.a) / double(std::max<std::ptrdiff_t>(1, held.b - held.a));
  out.tilt_deg = tilt_of_run_deg(loop, vertical, out.from, out.to);
  double bow = 0, weight = 0;  // onto u^2 - 1/3, which is blind to place and (by symmetry) tilt
  for (auto i = held.a; i <= held.b; ++i) {
    const double u = 2 * double(i - held.a) / double(std::max<std::ptrdiff_t>(1, held.b - held.a)) - 1,
                 q = u * u - 1.0 / 3;
    bow += q * (t.value(i) - out.at_px), weight += q * q;
  }
  out.bow_px = weight > 0 ? bow / weight : 0;
  return out;
}

double tilt_of_run_deg(const SpacedLoop& loop, bool vertical, double from, double to) {
  const int n = std::clamp(int((to - from) / loop.curve.step_px), 2, 2000);
  double su = 0, sv = 0, suu = 0, suv = 0;
  for (int i = 0; i <= n; ++i) {
    const Point p = loop.curve.at(from + (to - from) * i / n);
    const double u = vertical ? p.y : p.x, v = vertical ? p.x : p.y;
    su += u, sv += v, suu += u * u, suv += u * v;
  }
  const double m = n + 1, den = m * suu - su * su;
  return den > 0 ? degrees(std::atan((m * suv - su * sv) / den)) : 90;
}

double tilt_sd_deg(const SpacedLoop& loop, double length_px) {
  const double n = std::max(2.0, length_px / (2 * loop.correlation_px));
  return degrees(std::atan(std::max(loop.sigma_px, 0.03) * std::sqrt(12 / n) / std::max(length_px, 1.0)));
}

double bow_sd_px(const SpacedLoop& loop, double length_px) {
  const double n = std::max(1.0, length_px / (2 * loop.correlation_px));
  return std::max(loop.sigma_px, 0.03) * std::min(1.2, 3.35 / std::sqrt(n));
}

}  // namespace batten
