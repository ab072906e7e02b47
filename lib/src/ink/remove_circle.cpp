#include "ink/remove_circle.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

constexpr double cell_px = 24;  // of arc: a stain is darker on one side, and the pressure of a hand changes
constexpr int bins_per_px = 2;

// The band of pixels round a circle, in which each has a distance across and a place along.
struct Band {
  PaleCircle circle;
  double reach_px = 0;   // to either side; the edges of a stain are soft
  double erased_px = 0;  // to either side
  int cells = 0, bins = 0;
  explicit Band(const PaleCircle& c)
      : circle(c),
        reach_px(std::max(4., 1.8 * c.width_px)),
        erased_px(std::max(2.5, 0.75 * c.width_px)),
        cells(std::max(8, int(2 * pi * c.radius_px / cell_px))),
        bins(2 * int(std::ceil(reach_px * bins_per_px)) + 1) {}
  int bin(double off) const { return std::clamp(int(std::lround(off * bins_per_px)) + bins / 2, 0, bins - 1); }
  int cell(Point d) const { return std::clamp(int((angle_of(d) / (2 * pi) + 0.5) * cells), 0, cells - 1); }
};

// Calls what(x, y, offset from the centre, off) for each pixel of the band.
template <class What>
void for_each_pixel(const Band& band, const Plane<float>& ink, What what) {
  const PaleCircle& c = band.circle;
  const double outer = c.radius_px + band.reach_px, inner = std::max(0., c.radius_px - band.reach_px);
  for (int y = std::max(0, int(std::ceil(c.centre.y - outer)));
       y <= std::min<double>(ink.height - 1, c.centre.y + outer); ++y) {
    const double dy = y - c.centre.y, far = std::sqrt(std::max(0., outer * outer - dy * dy)),
                 near = std::sqrt(std::max(0., inner * inner - dy * dy));
    const auto stretch = [&](double from, double to) {
      for (int x = std::max(0, int(std::ceil(from))); x <= std::min<double>(ink.width - 1, to); ++x) {
        const Point d{x - c.centre.x, dy};
        what(x, y, d, norm(d) - c.radius_px);
      }
    };
    if (near > 1)
      stretch(c.centre.x - far, c.centre.x - near), stretch(c.centre.x + near, c.centre.x + far);
    else
      stretch(c.centre.x - far, c.centre.x + far);
  }
}

// Ink across the circle: the median of the bare cells, less the paper on either side, which need not be alike.
std::vector<double> profile_of(const Band& band, const Plane<float>& ink, const Plane<std::uint8_t>& drawn) {
  const std::size_t size = std::size_t(band.cells) * std::size_t(band.bins);
  std::vector<double> sum(size, 0), count(size, 0), out;
  for_each_pixel(band, ink, [&](int x, int y, Point d, double off) {
    if (drawn.at(x, y)) return;
    const std::size_t at = std::size_t(band.cell(d)) * std::size_t(band.bins) + std::size_t(band.bin(off));
    sum[at] += ink.at(x, y), count[at] += 1;
  });
  for (int b = 0; b < band.bins; ++b) {
    std::vector<double> values;
    for (int c = 0; c < band.cells; ++c) {
      const std::size_t at = std::size_t(c) * std::size_t(band.bins) + std::size_t(b);
      if (count[at] >= 0.5 * cell_px / bins_per_px) values.push_back(sum[at] / count[at]);
    }
    out.push_back(median(std::move(values)));
  }
  const double inside = (out[0] + out[1]) / 2, outside = (out[band.bins - 1] + out[band.bins - 2]) / 2;
  for (int b = 0; b < band.bins; ++b)
    out[b] = std::max(0., out[b] - std::lerp(inside, outside, double(b) / (band.bins - 1)));
  return out;
}

// How dark the circle is in each cell over its profile; where it was drawn over, as in the cells around.
std::vector<double> gains_of(const Band& band, const std::vector<double>& profile, const Plane<float>& ink,
                             const Plane<std::uint8_t>& drawn) {
  std::vector<double> top(band.cells, 0), bottom(band.cells, 0), out(band.cells, 1);
  for_each_pixel(band, ink, [&](int x, int y, Point d, double off) {
    const double p = profile[band.bin(off)];
    if (!drawn.at(x, y)) top[band.cell(d)] += p * ink.at(x, y), bottom[band.cell(d)] += p * p;
  });
  const double full = *std::max_element(bottom.begin(), bottom.end());
  for (int c = 0; c < band.cells; ++c) {
    double t = 0, b = 0;
    for (int reach = 0; 2 * reach < band.cells && b < 0.5 * full; ++reach) {
      t = b = 0;
      for (int i = c - reach; i <= c + reach; ++i) {
        const int at = (i + band.cells) % band.cells;
        t += top[at], b += bottom[at];
      }
    }
    out[c] = b > 0 ? std::clamp(t / b, 0., 3.) : 1;
  }
  return out;
}

}  // namespace

void remove_circle(const PaleCircle& circle, const Plane<std::uint8_t>& drawn, double noise, Plane<float>* ink) {
  const Band band(circle);
  const std::vector<double> profile = profile_of(band, *ink, drawn), gains = gains_of(band, profile, *ink, drawn);
  for_each_pixel(band, *ink, [&](int x, int y, Point d, double off) {
    // Light passes through what was drawn and through the line: 1 - k = (1 - drawn) (1 - line).
    const double pale = std::min(0.9, gains[band.cell(d)] * profile[band.bin(off)]), k = ink->at(x, y);
    double left = std::max((k - pale) / (1 - pale), std::min(k, -2 * noise));
    if (!drawn.at(x, y) && std::abs(off) <= band.erased_px) left = std::min(left, noise);
    ink->at(x, y) = float(left);
  });
}

}  // namespace batten
