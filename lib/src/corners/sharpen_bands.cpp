#include "corners/sharpen_bands.h"

#include <algorithm>

#include "base/pixel_grid.h"
#include "base/weighted_middle.h"
#include "corners/band_ink.h"

namespace batten {
namespace {

constexpr double average_widths = 0.4;  // half a band keeps two corners a band apart; shorter lets single strokes show
constexpr double settle_widths = 0.25;
constexpr double profile_half_widths = 1.6;
constexpr double window_widths = 0.72;
constexpr int rounds = 3;

// Gaussian along the closed loop, of each column.
void average_along(std::vector<float>* rows, std::size_t columns, double sigma_rows) {
  const auto n = std::ptrdiff_t(rows->size() / columns);
  const auto beside = std::min<std::ptrdiff_t>(std::ptrdiff_t(std::ceil(3 * sigma_rows)), n / 2);
  const std::vector<float> weight = half_gaussian(sigma_rows, std::size_t(beside));
  std::vector<float> out(rows->size(), 0.f);
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    float* to = out.data() + std::size_t(i) * columns;
    for (std::ptrdiff_t k = -beside; k <= beside; ++k) {
      const float* from = rows->data() + std::size_t((i + k + n) % n) * columns;
      const float w = weight[std::size_t(std::abs(k))];
      for (std::size_t c = 0; c < columns; ++c) to[c] += w * from[c];
    }
  }
  *rows = std::move(out);
}

}  // namespace

ArcLoop sharpened_band(const ArcLoop& loop, int which, double band_px, const LoopIndex& loops, const Plane<float>& ink,
                       double ink_noise, const std::stop_token& stop) {
  ArcLoop now = loop;
  const double step = std::max(0.5, band_px / 12), half_px = profile_half_widths * band_px;
  const int half = int(half_px / step);
  const auto columns = std::size_t(2 * half + 1);
  const WeightedMiddle middle_of(int(columns), -half * step, step, window_widths * band_px);
  for (int round = 0; round < rounds && !stop.stop_requested(); ++round) {
    const ArcLoop calm = smooth(now, 0.15 * band_px);
    const auto n = std::ptrdiff_t(now.size()), drawn = std::ptrdiff_t(now.drawn_count());
    std::vector<float> rows(columns * std::size_t(n), 0.f);
    std::vector<Point> across(static_cast<std::size_t>(n));
    // Ink beyond the end of an open line is none of its own: rows there stay empty, and weigh nothing.
    for (std::ptrdiff_t i = 0; i < drawn && (i % 4096 != 0 || !stop.stop_requested()); ++i) {
      const Point p = now[i], side = left_of(unit(calm[i + 1] - calm[i - 1]));
      across[std::size_t(i)] = side;
      const double arc = double(i) * now.step_px * loop.drawn_px() / now.drawn_px();
      const bool crowded = loops.foreign_near(p, 2 * half_px, which, arc, 2 * band_px + half_px);
      // As far out as this the stretch itself is nearest whatever lies beside it.
      double clear_px = 2 * half_px;
      if (crowded) {
        const auto [own_px, foreign_px] = loops.clearance(p, 2 * half_px, which, arc, 2 * band_px);
        clear_px = 0.5 * (foreign_px - own_px) - 1e-6;
      }
      float* row = rows.data() + std::size_t(i) * columns;
      for (const int sign : {-1, 1})
        for (int j = sign < 0 ? 0 : 1; j <= half; ++j) {
          const Point q = p + (sign * j * step) * side;
          if (crowded && j > 0 && j * step >= clear_px) {
            const LoopIndex::Place near = loops.nearest(q, 2 * half_px);
            if (near.loop >= 0 && !loops.same_stretch(near, which, arc, 2 * band_px)) break;
          }
          // The root: where strokes lie on one another the ink must not outweigh the rest of the band.
          const double k = sample_page(ink, q) - 2 * ink_noise;
          row[half + sign * j] = float(std::sqrt(std::max(0.0, k)));
        }
    }
    if (stop.stop_requested()) return now;
    average_along(&rows, columns, average_widths * band_px / now.step_px);
    if (stop.stop_requested()) return now;
    ArcLoop shift;
    shift.step_px = now.step_px;
    for (std::ptrdiff_t i = 0; i < n; ++i)
      shift.points.push_back({middle_of(rows.data() + std::size_t(i) * columns), 0});
    shift = smooth(shift, settle_widths * band_px);
    for (std::ptrdiff_t i = 0; i < n; ++i) now.points[std::size_t(i)] = now[i] + shift[i].x * across[std::size_t(i)];
    now = respaced(now, loop.step_px);
  }
  return now;
}

}  // namespace batten
