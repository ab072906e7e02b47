#include "straighten/axis_lines.h"

#include <algorithm>
#include <cmath>

#include "base/nesting.h"

namespace batten {
namespace {

// Letters of one row overlap in height by half of the lower one.
bool in_one_row(const HeightRange& a, const HeightRange& b) {
  return std::min(a.foot_px, b.foot_px) - std::max(a.top_px, b.top_px) > 0.5 * std::min(a.length_px(), b.length_px());
}

}  // namespace

double place_sd_px(const SpacedLoop& loop, double length_px) {
  return loop.sigma_px / std::sqrt(std::max(1.0, length_px / (2 * loop.correlation_px)));
}

double slack_px(const SpacedLoop& loop, double length_px) {
  return std::min(0.9 * loop.limit_px,
                  2.5 * place_sd_px(loop, length_px) + 0.1 * loop.band_px + 0.3 * loop.tolerance_px);
}

HeightRange height_of(const SpacedLoop& loop) {
  HeightRange range;
  for (const Point p : loop.curve.points) {
    range.top_px = std::min(range.top_px, p.y);
    range.foot_px = std::max(range.foot_px, p.y);
  }
  return range;
}

std::vector<int> nesting_of(const SpacedLoops& loops) {
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& loop : loops.loops)
    polygons.push_back(loop.kind == Kind::line ? Polyline{} : loop.curve.points);
  return nesting(polygons);
}

LetterGroups group_loops(const SpacedLoops& loops) {
  LetterGroups groups;
  const std::vector<int> parent = nesting_of(loops);
  std::vector<HeightRange> heights;
  std::vector<std::size_t> letters;
  for (std::size_t k = 0; k < parent.size(); ++k) {
    std::size_t outermost = k;
    while (parent[outermost] >= 0) outermost = std::size_t(parent[outermost]);
    groups.letter.push_back(outermost);
    heights.push_back(height_of(loops.loops[k]));
    if (outermost == k) letters.push_back(k);
  }
  // The tallest letters name the rows: a chain of small ones must not join two.
  std::stable_sort(letters.begin(), letters.end(),
                   [&](std::size_t a, std::size_t b) { return heights[a].length_px() > heights[b].length_px(); });
  std::vector<HeightRange> rows;
  std::vector<std::size_t> row_of_letter(parent.size(), 0);
  for (const std::size_t k : letters) {
    std::size_t row = 0;
    while (row < rows.size() && !in_one_row(rows[row], heights[k])) ++row;
    if (row == rows.size()) {
      rows.push_back(heights[k]);
      groups.row_height_px.push_back(heights[k].length_px());
    }
    row_of_letter[k] = row;
  }
  for (const std::size_t letter : groups.letter) groups.row.push_back(row_of_letter[letter]);
  return groups;
}

std::vector<char> which_have_ink_at_right(const SpacedLoops& loops) {
  const std::vector<int> parent = nesting_of(loops);
  std::vector<char> out;
  for (std::size_t k = 0; k < parent.size(); ++k) {
    bool counter = false;
    for (int p = parent[k]; p >= 0; p = parent[std::size_t(p)]) counter = !counter;
    const bool clockwise = signed_area_px2(loops.loops[k].curve.points) > 0;
    out.push_back(clockwise != counter);
  }
  return out;
}

std::vector<AxisLine> axis_lines(const SpacedLoops& loops, const Draft& draft) {
  const std::vector<char> ink_at_right = which_have_ink_at_right(loops);
  std::vector<AxisLine> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i) {
      const DraftSegment& segment = d.segments[i];
      if (!segment.straight || !(segment.level || segment.vertical)) continue;
      const Point a = d.nodes[i].at, b = d.nodes[d.next(i)].at;
      AxisLine line;
      line.loop = k, line.from = i, line.to = d.next(i), line.vertical = segment.vertical;
      line.at_px = line.vertical ? 0.5 * (a.x + b.x) : 0.5 * (a.y + b.y);
      line.low_px = line.vertical ? std::min(a.y, b.y) : std::min(a.x, b.x);
      line.high_px = line.vertical ? std::max(a.y, b.y) : std::max(a.x, b.x);
      const Point side = (ink_at_right[k] ? 1.0 : -1.0) * left_of(b - a);
      line.ink = (line.vertical ? side.x : side.y) > 0 ? 1 : -1;
      line.sd_px = place_sd_px(loops.loops[k], line.length_px());
      line.slack_px = slack_px(loops.loops[k], line.length_px());
      out.push_back(line);
    }
  }
  return out;
}

}  // namespace batten
