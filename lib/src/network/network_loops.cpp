#include "network/network_loops.h"

#include <algorithm>
#include <map>

#include "base/pixel_grid.h"
#include "base/statistics.h"
#include "locate/loop_noise.h"

namespace batten {
namespace {

// One hand drew all lines of a sheet with one pencil: how far a point of them strays, in widths of its line, is told by
// the lines that are long against every window in which that is looked for. On short ones and in writing the windows
// see either nothing or the shape itself (0.04 to 0.16 widths on lines of one and the same sheet). Where no line is
// that long it is what is usual for a width. Shape can only add to what is found, so the lower quarter counts.
double stray_widths(const LinePaths& paths) {
  constexpr double long_widths = 60, usual = 0.085;
  std::vector<double> found;
  for (const LinePath& path : paths.paths)
    if (double(path.points.size()) >= long_widths * path.width_px)
      found.push_back(band_sigma_px(path.points, path.width_px, !path.closed) / path.width_px);
  return found.empty() ? usual : quantile(std::move(found), 0.25);
}

Loop loop_of(const LinePath& path, double sigma_widths) {
  Loop loop;
  loop.kind = Kind::line;
  loop.open = !path.closed;
  loop.band_px = path.width_px;
  loop.sigma_px = sigma_widths * path.width_px;
  loop.known_sigma_px = known_band_sigma_px(path.width_px);
  loop.rounding_px = 0.3 * path.width_px;
  loop.correlation_px = 4.5 * path.width_px;
  for (const Point p : path.points) loop.points.push_back(page_of(p));
  return loop;
}

// Too short to be a line: less than three points are no path for the curve stages.
bool too_short(const LinePath& path) { return path.points.size() < (path.closed ? 8 : 3); }

// Two paths that end at a junction through which one stroke runs on from the one to the other.
void add_continuations(const LinePaths& paths, const Strokes& strokes, const std::vector<int>& number,
                       NetworkLoops* out) {
  struct PathEnd {
    int loop;
    bool at_end;
  };
  std::map<HalfEdge, PathEnd> leaving;  // by the half-edge that leads from the end into its path
  for (std::size_t i = 0; i < number.size(); ++i) {
    if (number[i] < 0 || paths.paths[i].closed) continue;
    leaving[paths.paths[i].first] = {number[i], false};
    leaving[twin_of(paths.paths[i].last)] = {number[i], true};
  }
  for (const auto& [half_edge, end] : leaving) {
    const HalfEdge on = strokes.after(twin_of(half_edge));
    const auto other = leaving.find(on);
    if (on == no_half_edge || other == leaving.end() || other->first <= half_edge) continue;
    out->runs_on.push_back({end.loop, end.at_end, other->second.loop, other->second.at_end});
  }
}

}  // namespace

NetworkLoops network_loops(const LinePaths& paths, const Strokes& strokes, int first_loop) {
  NetworkLoops out;
  std::vector<int> number(paths.paths.size(), -1);
  const double sigma_widths = stray_widths(paths);
  std::map<int, int> through;  // which loop runs through a node
  for (std::size_t i = 0; i < paths.paths.size(); ++i) {
    if (too_short(paths.paths[i])) continue;
    number[i] = first_loop + int(out.loops.size());
    out.loops.push_back(loop_of(paths.paths[i], sigma_widths));
    for (const int node : paths.paths[i].inner_nodes) through.try_emplace(node, number[i]);
  }
  for (std::size_t i = 0; i < paths.paths.size(); ++i) {
    const LinePath& path = paths.paths[i];
    if (number[i] < 0 || path.closed) continue;
    Loop& loop = out.loops[number[i] - first_loop];
    const auto end_of = [&](int node, bool free) {
      LineEnd end;
      if (free) return end;
      const auto found = through.find(node);
      if (found != through.end() && found->second != number[i])
        end.on_loop = found->second;
      else
        end.junction = node;
      return end;
    };
    loop.start = end_of(path.start_node, path.start_free), loop.end = end_of(path.end_node, path.end_free);
  }
  // Borders that areas share end at junctions, whatever else runs through there.
  for (const PathArea& area : paths.areas) {
    Area delivered;
    delivered.kind = Kind::line;
    for (const PathArea::Part& part : area.parts) {
      if (number[part.path] < 0) continue;
      Loop& loop = out.loops[number[part.path] - first_loop];
      loop.start = {-1, paths.paths[part.path].start_node}, loop.end = {-1, paths.paths[part.path].end_node};
      delivered.parts.push_back({number[part.path], part.reversed});
    }
    if (delivered.parts.size() == area.parts.size()) out.areas.push_back(std::move(delivered));
  }
  add_continuations(paths, strokes, number, &out);
  return out;
}

}  // namespace batten
