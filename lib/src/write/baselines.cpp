#include "write/baselines.h"

#include <algorithm>
#include <cmath>
#include <vector>

namespace batten {
namespace {

// Round letters reach 1 to 3 % of the letter height below the line, pointed ones a little more (common practice, no
// source); descenders reach 20 % and more.
constexpr double same_foot = 0.04;
// A row whose feet fall along a line steeper than this was not drawn on one: 3 degrees, a sheet laid askew.
constexpr double steepest = 0.0524;

double above(const Guide& line, const ShapeBox& box) { return line.y0_px + line.slope * box.middle_x() - box.bottom; }

std::size_t standing_on(const Guide& line, std::span<const ShapeBox> letters, double slack) {
  return static_cast<std::size_t>(std::count_if(
      letters.begin(), letters.end(), [&](const ShapeBox& box) { return std::fabs(above(line, box)) <= slack; }));
}

// Moves the line to the middle one of the feet that it is near: flat feet outnumber round ones in most rows, and the
// middle of few is at least one that was drawn.
Guide settled(Guide line, std::span<const ShapeBox> letters, double slack) {
  std::vector<double> offsets;
  for (const ShapeBox& box : letters)
    if (std::fabs(above(line, box)) <= slack) offsets.push_back(-above(line, box));
  if (offsets.empty()) return line;
  // The upper one of an even number: overshoot goes below.
  const auto middle = offsets.begin() + static_cast<std::ptrdiff_t>((offsets.size() - 1) / 2);
  std::nth_element(offsets.begin(), middle, offsets.end());
  line.y0_px += *middle;
  return line;
}

// The level through one letter's foot that most others share; of equals the highest, for what hangs below is a
// descender. A slanting line through two feet must win by two: any two feet lie on one.
Guide shared_level(std::span<const ShapeBox> letters, double slack) {
  Guide best{letters.front().bottom, 0};
  std::size_t most = 0;
  for (const ShapeBox& box : letters) {
    const Guide level{box.bottom, 0};
    const std::size_t count = standing_on(level, letters, slack);
    if (count > most || (count == most && level.y0_px < best.y0_px)) best = level, most = count;
  }
  const std::size_t level_count = most;
  for (std::size_t a = 0; a < letters.size(); ++a)
    for (std::size_t b = a + 1; b < letters.size(); ++b) {
      const double run = letters[b].middle_x() - letters[a].middle_x();
      const double slope = run != 0 ? (letters[b].bottom - letters[a].bottom) / run : 2 * steepest;
      if (std::fabs(slope) > steepest) continue;
      const Guide line{letters[a].bottom - slope * letters[a].middle_x(), slope};
      const std::size_t count = standing_on(line, letters, slack);
      if (count >= level_count + 2 && count > most) best = line, most = count;
    }
  return settled(best, letters, slack);
}

}  // namespace

Guide find_baseline(std::span<const ShapeBox> letters, double tallest_px, std::span<const Guide> guides) {
  const double slack = same_foot * tallest_px;
  const Guide level = shared_level(letters, slack);
  const Guide* nearest = nullptr;
  std::size_t most = 0;
  for (const Guide& guide : guides) {
    const std::size_t count = standing_on(guide, letters, slack);
    const auto distance = [&](const Guide& g) {
      return std::fabs(above(g, letters.front()) - above(level, letters.front()));
    };
    if (count > most || (count == most && count > 0 && distance(guide) < distance(*nearest)))
      nearest = &guide, most = count;
  }
  // A ruled line beats the letters' own level where about as many letters stand on it.
  return nearest && 2 * most >= standing_on(level, letters, slack) ? *nearest : level;
}

}  // namespace batten
