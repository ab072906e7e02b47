#include "network/drop_hole_rims.h"

#include <algorithm>
#include <cmath>

namespace batten {
namespace {

constexpr double edge_share = 0.07;     // of the longer side: holes are 12 mm from the edge of a sheet of 297 mm
constexpr double longest_share = 0.03;  // 6 mm holes
constexpr double least_bow = 0.06;      // of its chord; rims on two scans have 0.27 to 0.47
constexpr double alike = 0.35, least_apart = 5;
constexpr double exact = 0.01;

// A short line near an edge, with the picture turned so that the edge is level.
struct Mark {
  std::size_t path = 0;
  double along = 0, across = 0;  // of its middle
  double size = 0;
  Point bow;  // from the middle of its chord to the middle of the line, over the chord
};

// How far the line stands off its chord, over the chord.
Point bow_of(const Polyline& points) {
  const Point a = points.front(), b = points.back(), middle = points[points.size() / 2];
  return (1 / std::max(1., distance(a, b))) * (middle - 0.5 * (a + b));
}

// Marks near one edge: 0 top, 1 bottom, 2 left, 3 right.
std::vector<Mark> marks_near(int edge, double width_px, double height_px, const LinePaths& paths,
                             const std::vector<char>& needed) {
  const double longer = std::max(width_px, height_px);
  std::vector<Mark> out;
  for (std::size_t i = 0; i < paths.paths.size(); ++i) {
    const LinePath& path = paths.paths[i];
    if (needed[i] || path.closed || path.points.size() < 3) continue;
    const PointBox box = box_of(path.points);
    const Point size = box.high - box.low, middle = 0.5 * (box.low + box.high);
    const double off[] = {box.high.y, height_px - box.low.y, box.high.x, width_px - box.low.x};
    Mark mark{i, edge < 2 ? middle.x : middle.y, edge < 2 ? middle.y : middle.x, std::max(size.x, size.y),
              bow_of(path.points)};
    if (off[edge] < edge_share * longer && mark.size < longest_share * longer && mark.size > 3 * path.width_px &&
        norm(mark.bow) > least_bow)
      out.push_back(mark);
  }
  std::sort(out.begin(), out.end(), [](const Mark& a, const Mark& b) { return a.along < b.along; });
  return out;
}

bool like(const Mark& a, const Mark& b) {
  return std::abs(a.size - b.size) < alike * std::max(a.size, b.size) && std::abs(a.across - b.across) < 0.5 * a.size &&
         dot(a.bow, b.bow) > 0.7 * norm(a.bow) * norm(b.bow);
}

// The largest row of marks that are like `first` and stand at multiples of its distance to `second`.
std::vector<std::size_t> row_of(const std::vector<Mark>& marks, std::size_t first, std::size_t second) {
  const double apart = marks[second].along - marks[first].along;
  std::vector<std::size_t> out;
  for (const Mark& m : marks) {
    const double steps = (m.along - marks[first].along) / apart;
    if (like(marks[first], m) && std::abs(steps - std::round(steps)) < exact) out.push_back(m.path);
  }
  return out;
}

}  // namespace

int drop_hole_rims(int width_px, int height_px, LinePaths* paths) {
  std::vector<char> needed(paths->paths.size(), 0), rim(paths->paths.size(), 0);
  for (const PathArea& area : paths->areas)
    for (const PathArea::Part& part : area.parts) needed[std::size_t(part.path)] = 1;
  for (int edge = 0; edge < 4; ++edge) {
    const std::vector<Mark> marks = marks_near(edge, width_px, height_px, *paths, needed);
    for (std::size_t i = 0; i < marks.size(); ++i)
      for (std::size_t j = i + 1; j < marks.size(); ++j) {
        if (!like(marks[i], marks[j]) || marks[j].along - marks[i].along < least_apart * marks[i].size) continue;
        const std::vector<std::size_t> row = row_of(marks, i, j);
        if (row.size() < 3) continue;
        for (const std::size_t path : row) rim[path] = 1;
      }
  }
  return drop_paths(rim, paths);
}

}  // namespace batten
