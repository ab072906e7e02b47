// Finds out which outlines make one shape, and puts shapes in order.

#include <algorithm>
#include <cmath>

#include "batten/write.h"
#include "write/reading_order.h"

namespace batten {
namespace {

// Beyond this a coordinate is no place on any scan; the bound keeps coordinates in whole thousandths exact.
constexpr double largest_px = 1e9;

bool writable(Point p) { return std::fabs(p.x) <= largest_px && std::fabs(p.y) <= largest_px; }  // false for nan

bool writable(const Outline& outline) {
  return outline.segment_count() > 0 && std::all_of(outline.nodes.begin(), outline.nodes.end(), [](const Node& n) {
           return writable(n.handle_before) && writable(n.at) && writable(n.handle_after);
         });
}

// The outline that starts the shape `index` belongs to: itself, or for a counter the outline round it. An island within
// a counter starts a shape of its own.
std::size_t shape_of(const std::vector<Outline>& outlines, std::size_t index) {
  if (outlines[index].is_line()) return index;  // encloses nothing and is no hole
  const auto parent_of = [&](std::size_t i) {
    const int parent = outlines[i].parent;
    return parent >= 0 && parent < static_cast<int>(outlines.size()) ? parent : -1;
  };
  std::size_t depth = 0;
  for (int p = parent_of(index); p >= 0 && depth <= outlines.size(); p = parent_of(p)) ++depth;
  const bool counter = depth % 2 == 1 && depth <= outlines.size();  // deeper: a ring of parents, each on its own
  return counter ? static_cast<std::size_t>(parent_of(index)) : index;
}

}  // namespace

std::vector<std::vector<std::size_t>> shapes(const Drawing& drawing) {
  std::vector<std::vector<std::size_t>> members(drawing.outlines.size());
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
    if (!writable(drawing.outlines[i])) continue;
    const std::size_t shape = shape_of(drawing.outlines, i);
    members[shape].insert(shape == i ? members[shape].begin() : members[shape].end(), i);
  }
  std::erase_if(members, [](const auto& shape) { return shape.empty(); });

  // Lines come last, so that areas do not cover them, and say nothing about rows.
  std::vector<std::vector<std::size_t>> ordered;
  for (const bool line : {false, true}) {
    std::vector<ShapeBox> boxes;
    std::vector<std::size_t> which;
    for (std::size_t i = 0; i < members.size(); ++i) {
      const Outline& outline = drawing.outlines[members[i].front()];
      if (outline.is_line() != line) continue;
      boxes.push_back(bounding_box(outline)), which.push_back(i);
    }
    for (const std::size_t i : reading_order(boxes)) ordered.push_back(members[which[i]]);
  }
  return ordered;
}

}  // namespace batten
