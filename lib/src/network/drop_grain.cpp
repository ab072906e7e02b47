#include "network/drop_grain.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "base/pixel_grid.h"
#include "base/statistics.h"
#include "ink/separate_ink.h"

namespace batten {
namespace {

// Strips beside a line, in widths from its middle (the line itself ends at 0.5), and how much of its own ink they need.
// Near a line of close writing lie other lines, but there is paper beyond them; beside one of an outline that was
// shaded by the same hand there is paper on the other side.
struct Strip {
  double from, to, alike;
};
constexpr Strip strips[] = {{0.9, 1.4, 0.6}, {0.9, 3, 0.5}};

// A crumb is short, ends in nothing, and is far paler than what was drawn: grain of paper has 0.1 to 0.3 of the lines'
// darkness, nine of ten lines of sketches and handwriting more than 0.5.
constexpr double crumb_widths = 12, crumb_level = 0.36;

// Graphite and ink laid over colour have less of it than what lies beside them, 0.2 to 1.3 times as much, and strokes
// of the colour itself more, 1.4 to 3.3 times, and are darker in proportion to that by a factor of 1.3 to 6. Hatching
// in another colour has 3.4 to 7 (all on three drawings), so that the two cannot be told apart surely: below 4 both go.
// What is long was drawn.
constexpr double more_coloured = 1.35, darker_by = 4, colouring_widths = 15;

double mean_across(const Ink& ink, Point at, Point across, double from_px, double to_px) {
  constexpr int steps = 6;
  double sum = 0;
  for (int k = 0; k <= steps; ++k) {
    const Point p = at + (from_px + (to_px - from_px) * k / steps) * across;
    sum += sample(ink.ink, p.x, p.y) / (steps + 1);
  }
  return sum;
}

bool is_grain(const Ink& ink, const LinePath& path) {
  const std::size_t n = path.points.size();
  const double w = path.width_px;
  std::vector<double> own, left[std::size(strips)], right[std::size(strips)];
  for (std::size_t i = 0; i < n; ++i) {
    const Point along = path.points[std::min(i + 2, n - 1)] - path.points[i >= 2 ? i - 2 : 0];
    if (norm(along) == 0) continue;
    const Point across = left_of(unit(along)), at = path.points[i];
    own.push_back(mean_across(ink, at, across, -0.25 * w, 0.25 * w));
    for (std::size_t k = 0; k < std::size(strips); ++k) {
      left[k].push_back(mean_across(ink, at, across, strips[k].from * w, strips[k].to * w));
      right[k].push_back(mean_across(ink, at, across, -strips[k].to * w, -strips[k].from * w));
    }
  }
  if (own.empty()) return false;
  const double level = median(std::move(own));
  for (std::size_t k = 0; k < std::size(strips); ++k)
    if (std::min(median(left[k]), median(right[k])) <= strips[k].alike * level) return false;
  return true;
}

double level_along(const Ink& ink, const LinePath& path) {
  std::vector<double> levels;
  for (const Point p : path.points) levels.push_back(sample(ink.ink, p.x, p.y));
  return median(std::move(levels));
}

// The darkness that half of all drawn length has.
double usual_level(const std::vector<LinePath>& paths, const std::vector<double>& levels) {
  std::vector<std::pair<double, double>> by_level;
  double all_px = 0, seen_px = 0;
  for (std::size_t i = 0; i < paths.size(); ++i) {
    by_level.emplace_back(levels[i], double(paths[i].points.size()));
    all_px += by_level.back().second;
  }
  std::sort(by_level.begin(), by_level.end());
  for (const auto& [level, length_px] : by_level)
    if ((seen_px += length_px) >= 0.5 * all_px) return level;
  return 0;
}

bool is_crumb(const LinePath& path, double level, double usual) {
  return level < crumb_level * usual && double(path.points.size()) < crumb_widths * path.width_px &&
         (path.start_free || path.end_free);
}

bool is_colouring(const LineMask& mask, const ColouredAreas& coloured, const LinePath& path) {
  if (coloured.empty() || double(path.points.size()) >= colouring_widths * path.width_px) return false;
  std::vector<double> tints, levels;
  for (const Point p : path.points) {
    const Point at = grid_of(mask.scale * page_of(p));
    const int x = std::clamp(int(std::lround(at.x)), 0, coloured.tint.width - 1);
    const int y = std::clamp(int(std::lround(at.y)), 0, coloured.tint.height - 1);
    if (coloured.tint.at(x, y) <= 0) continue;
    tints.push_back(coloured.tint.at(x, y)), levels.push_back(coloured.darkness.at(x, y));
  }
  if (double(tints.size()) < 0.75 * double(path.points.size())) return false;
  const double tint = median(std::move(tints));
  return tint > more_coloured && median(std::move(levels)) < darker_by * tint;
}

}  // namespace

void drop_grain(const Ink& ink, const LineMask& mask, const ColouredAreas& coloured, LinePaths* paths) {
  std::erase_if(paths->areas, [&](const PathArea& area) {
    return std::all_of(area.parts.begin(), area.parts.end(), [&](const PathArea::Part& part) {
      return lies_in_hole(ink.holes, paths->paths[std::size_t(part.path)].points);
    });
  });
  std::vector<char> needed(paths->paths.size(), 0);
  for (const PathArea& area : paths->areas)
    for (const PathArea::Part& part : area.parts) needed[std::size_t(part.path)] = 1;
  std::vector<double> levels;
  for (const LinePath& path : paths->paths) levels.push_back(level_along(ink, path));
  const double usual = usual_level(paths->paths, levels);
  std::vector<char> grain(paths->paths.size(), 0);
  for (std::size_t i = 0; i < paths->paths.size(); ++i) {
    const LinePath& path = paths->paths[i];
    if (needed[i]) continue;
    grain[i] = lies_in_hole(ink.holes, path.points) || is_colouring(mask, coloured, path) ||
               (!path.closed && (is_crumb(path, levels[i], usual) || is_grain(ink, path)));
  }
  drop_paths(grain, paths);
}

}  // namespace batten
