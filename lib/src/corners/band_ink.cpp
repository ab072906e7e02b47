#include "corners/band_ink.h"

#include <algorithm>

#include "base/pixel_grid.h"

namespace batten {
namespace {

constexpr double profile_half_widths = 1.5;
constexpr double profile_steps_per_width = 16;
constexpr double sample_widths = 1.0 / 6;
constexpr double smooth_widths = 0.1;

// The part of the ink round a place, smoothed by a Gaussian; grid coordinates of its first pixel in `x0`, `y0`.
struct InkCrop {
  Plane<float> ink;
  int x0 = 0, y0 = 0;
};

InkCrop smoothed_crop(const Plane<float>& ink, Point centre, double radius_px, double sigma_px) {
  const int beside = std::max(1, int(std::ceil(3 * sigma_px)));
  const std::vector<float> weight = half_gaussian(sigma_px, std::size_t(beside));
  InkCrop c;
  c.x0 = int(std::floor(centre.x - radius_px)) - 1, c.y0 = int(std::floor(centre.y - radius_px)) - 1;
  const int size = int(std::ceil(2 * radius_px)) + 4;
  const auto pixel = [&](int x, int y) {
    return ink.at(std::clamp(x, 0, ink.width - 1), std::clamp(y, 0, ink.height - 1));
  };
  const auto smoothed = [&](auto&& value) {
    float v = 0;
    for (int k = -beside; k <= beside; ++k) v += weight[std::size_t(std::abs(k))] * value(k);
    return v;
  };
  Plane<float> level(size, size + 2 * beside);
  for (int y = 0; y < level.height; ++y)
    for (int x = 0; x < size; ++x)
      level.at(x, y) = smoothed([&](int k) { return pixel(c.x0 + x + k, c.y0 + y - beside); });
  c.ink = Plane<float>(size, size);
  for (int y = 0; y < size; ++y)
    for (int x = 0; x < size; ++x) c.ink.at(x, y) = smoothed([&](int k) { return level.at(x, y + beside + k); });
  return c;
}

}  // namespace

double BandProfile::peak() const { return ink.empty() ? 0 : *std::max_element(ink.begin(), ink.end()); }

NormalTable::NormalTable() : table_(514) {
  for (std::size_t i = 0; i < table_.size(); ++i) {
    const double x = double(i) / 64 - 4;
    table_[i] = 0.5 * std::erfc(-x / std::sqrt(2.0));
  }
}

InkWindow ink_window(const Plane<float>& ink, const LoopIndex& loops, const OwnStretch& stretch, Point centre,
                     double band_px, double radius_px, const std::vector<Point>& run_on) {
  InkWindow out;
  out.centre = centre;
  const InkCrop crop = smoothed_crop(ink, grid_of(centre), radius_px, std::max(0.4, smooth_widths * band_px));
  const std::vector<LoopIndex::Place> places = loops.within(centre, 2 * radius_px);
  const double step = std::max(0.75, sample_widths * band_px);
  const int half = int(radius_px / step);
  std::vector<Point> at;
  std::vector<char> own;
  for (const LoopIndex::Place& p : places) {
    at.push_back(loops.at(p));
    own.push_back(p.loop == stretch.loop && loops.lies_within(p, stretch.arc, stretch.back_px, stretch.ahead_px));
  }
  at.insert(at.end(), run_on.begin(), run_on.end());
  own.resize(at.size(), 1);
  const bool alone = std::all_of(own.begin(), own.end(), [](char c) { return c != 0; });
  for (int j = -half; j <= half; ++j)
    for (int i = -half; i <= half; ++i) {
      const Point d{i * step, j * step};
      if (norm2(d) > radius_px * radius_px) continue;
      const Point q = centre + d;
      if (!alone) {
        double best = 1e300;
        bool mine = true;
        for (std::size_t k = 0; k < at.size(); ++k) {
          const double d2 = norm2(at[k] - q);
          if (d2 < best) best = d2, mine = own[k] != 0;
        }
        if (!mine) continue;
      }
      const Point grid = grid_of(q);
      out.samples.push_back({q, double(sample(crop.ink, grid.x - crop.x0, grid.y - crop.y0))});
    }
  return out;
}

BandProfile profile_across(const Plane<float>& ink, const std::vector<LinePlace>& line, double band_px) {
  BandProfile p;
  if (line.empty()) return p;
  p.half = int(profile_half_widths * profile_steps_per_width);
  p.step_px = band_px / profile_steps_per_width;
  p.ink.assign(std::size_t(2 * p.half + 1), 0);
  for (const LinePlace& l : line) {
    const Point side = left_of(l.tangent);
    for (int k = -p.half; k <= p.half; ++k) {
      const Point q = l.at + (k * p.step_px) * side;
      p.ink[std::size_t(k + p.half)] += sample_page(ink, q) / double(line.size());
    }
  }
  return p;
}

BandProfile symmetric(const BandProfile& p) {
  BandProfile out = p;
  if (p.ink.empty()) return out;
  const auto last = p.ink.size() - 1;
  double base = 1e300;
  for (std::size_t i = 0; i <= last; ++i) out.ink[i] = 0.5 * (p.ink[i] + p.ink[last - i]);
  for (std::size_t i = 0; i < 6; ++i) base = std::min(base, out.ink[i]);
  for (double& v : out.ink) v = std::max(0.0, v - base);
  return out;
}

BandProfile side_profile(const Plane<float>& ink, const std::vector<LinePlace>& line, const PencilInk& pencil) {
  BandProfile out = pencil.profile;
  if (line.size() < 4) return out;
  const BandProfile local = profile_across(ink, line, pencil.band_px);
  const double cap = 2.2 * pencil.profile.peak();
  for (std::size_t i = 0; i < out.ink.size(); ++i) {
    const double u = std::abs(double(i) - out.half) * out.step_px;
    if (u < pencil.band_px) out.ink[i] = 0.2 * out.ink[i] + 0.8 * std::clamp(local.ink[i], 0.0, cap);
  }
  return out;
}

std::vector<float> half_gaussian(double sigma_steps, std::size_t radius) {
  std::vector<float> weight(radius + 1);
  float sum = 0;
  for (std::size_t k = 0; k <= radius; ++k) {
    weight[k] = float(std::exp(-0.5 * double(k * k) / (sigma_steps * sigma_steps)));
    sum += (k ? 2 : 1) * weight[k];
  }
  for (float& w : weight) w /= sum;
  return weight;
}

double ink_near(const Plane<float>& ink, Point p, double radius_px) {
  double most = 0;
  const double step = std::max(1.0, radius_px / 4);
  for (double y = -radius_px; y <= radius_px; y += step)
    for (double x = -radius_px; x <= radius_px; x += step)
      if (x * x + y * y <= radius_px * radius_px) {
        double sum = 0;
        for (const Point d : {Point{0, 0}, Point{1, 0}, Point{-1, 0}, Point{0, 1}, Point{0, -1}})
          sum += sample_page(ink, {p.x + x + d.x, p.y + y + d.y});
        most = std::max(most, sum / 5);
      }
  return most;
}

}  // namespace batten
