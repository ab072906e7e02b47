#include "measure/line_sigma.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"
#include "batten/measure.h"

namespace batten {
namespace {

// Lines of six simulated hands, and of another simulation, lie 0.035 to 0.046 widths off their outlines, 1.4826 times
// the median. An even pen's lie 0.015 off, while they lie 0.011 widths off what was meant. One in ten hand-drawn lines
// is as near as 0.02 (a quick hand sweeps smoothly past what it means), so only below that, and then fast, what is
// stated falls.
constexpr double hands_widths = 0.02, power = 3, least_share = 0.15;
// A shorter line can be followed closely whatever it is.
constexpr double long_widths = 60;

}  // namespace

double line_sigma_px(const SpacedLoop& loop, const Outline& outline) {
  if (!loop.known_sigma_px) return loop.sigma_px;
  const double usual_px = *loop.known_sigma_px;
  if (loop.sort() != LoopSort::pencil_band || loop.curve.drawn_px() < long_widths * loop.band_px) return usual_px;
  if (loop.held_finer()) return usual_px;  // the outline follows the wobble: that it is near says nothing
  const auto& points = loop.curve.points;
  std::vector<double> off_px;
  for (const std::vector<double>& segment :
       deviation_along(outline, {points.data(), loop.curve.drawn_count()}, 0.5 * loop.band_px))
    for (const double off : segment) off_px.push_back(std::abs(off));
  if (off_px.empty()) return usual_px;
  const double widths = 1.4826 * quantile(std::move(off_px), 0.5) / loop.band_px;
  return usual_px * std::clamp(std::pow(widths / hands_widths, power), least_share, 1.);
}

}  // namespace batten
