#include "straighten/axis_lines.h"

#include <algorithm>
#include <cmath>
#include <numeric>

#include "base/nesting.h"

namespace batten {
namespace {

struct Span {
  double low = 1e300, high = -1e300;
  double length() const { return high - low; }
};

Span height_of(const SpacedLoop& loop) {
  Span s;
  for (Point p : loop.curve.points) s.low = std::min(s.low, p.y), s.high = std::max(s.high, p.y);
  return s;
}

// Letters of one row overlap in height by half of the lower one.
bool one_row(const Span& a, const Span& b) {
  return std::min(a.high, b.high) - std::max(a.low, b.low) > 0.5 * std::min(a.length(), b.length());
}

}  // namespace

double place_sd_px(const SpacedLoop& loop, double length_px) {
  return loop.sigma_px / std::sqrt(std::max(1.0, length_px / (2 * loop.correlation_px)));
}

double slack_px(const SpacedLoop& loop, double length_px) {
  return std::min(0.9 * loop.limit_px,
                  2.5 * place_sd_px(loop, length_px) + 0.1 * loop.band_px + 0.3 * loop.tolerance_px);
}

Grouping group_loops(const SpacedLoops& loops) {
  Grouping g;
  const std::size_t n = loops.loops.size();
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& l : loops.loops) polygons.push_back(l.curve.points);
  const std::vector<int> parent = nesting(polygons);
  std::vector<Span> height;
  for (std::size_t k = 0; k < n; ++k) {
    std::size_t top = k;
    while (parent[top] >= 0) top = std::size_t(parent[top]);
    g.letter.push_back(top);
    height.push_back(height_of(loops.loops[k]));
  }
  std::vector<std::size_t> tall;  // the tallest letters name the rows: a chain of small ones must not join two
  for (std::size_t k = 0; k < n; ++k)
    if (g.letter[k] == k) tall.push_back(k);
  std::stable_sort(tall.begin(), tall.end(),
                   [&](std::size_t a, std::size_t b) { return height[a].length() > height[b].length(); });
  std::vector<Span> rows;
  std::vector<std::size_t> row_of(n, 0);
  for (std::size_t k : tall) {
    std::size_t r = 0;
    while (r < rows.size() && !one_row(rows[r], height[k])) ++r;
    if (r == rows.size()) rows.push_back(height[k]), g.row_height_px.push_back(height[k].length());
    row_of[k] = r;
  }
  for (std::size_t k = 0; k < n; ++k) g.row.push_back(row_of[g.letter[k]]);
  return g;
}

std::vector<char> which_have_ink_at_right(const SpacedLoops& loops) {
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& l : loops.loops) polygons.push_back(l.curve.points);
  const std::vector<int> parent = nesting(polygons);
  std::vector<char> out;
  for (std::size_t k = 0; k < polygons.size(); ++k) {
    int depth = 0;
    for (int p = parent[k]; p >= 0; p = parent[std::size_t(p)]) ++depth;
    const bool clockwise = signed_area_px2(polygons[k]) > 0;
    out.push_back(clockwise == (depth % 2 == 0));
  }
  return out;
}

std::vector<AxisLine> axis_lines(const SpacedLoops& loops, const Draft& draft) {
  const std::vector<char> ink_at_right = which_have_ink_at_right(loops);
  std::vector<AxisLine> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftSegment& p = d.segments[i];
      if (!p.straight || !(p.level || p.vertical)) continue;
      const Point a = d.nodes[i].at, b = d.nodes[d.next(i)].at;
      AxisLine l;
      l.loop = k, l.from = i, l.to = d.next(i), l.vertical = p.vertical;
      l.at_px = p.vertical ? 0.5 * (a.x + b.x) : 0.5 * (a.y + b.y);
      l.low_px = p.vertical ? std::min(a.y, b.y) : std::min(a.x, b.x);
      l.high_px = p.vertical ? std::max(a.y, b.y) : std::max(a.x, b.x);
      const Point side = (ink_at_right[k] ? 1.0 : -1.0) * left_of(b - a);
      l.ink = (p.vertical ? side.x : side.y) > 0 ? 1 : -1;
      l.sd_px = place_sd_px(loops.loops[k], l.length_px());
      l.slack_px = slack_px(loops.loops[k], l.length_px());
      out.push_back(l);
    }
  }
  return out;
}

}  // namespace batten
