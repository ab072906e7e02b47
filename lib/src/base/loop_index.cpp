#include "base/loop_index.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

namespace batten {

namespace {

// Calls use(point, loop, arc) with a point about every spacing_px of each loop.
template <class Use>
void for_each_point(const std::vector<const ArcLoop*>& loops, double spacing_px, Use&& use) {
  for (std::size_t j = 0; j < loops.size(); ++j) {
    const ArcLoop& l = *loops[j];
    const auto stride = std::max<std::size_t>(1, std::size_t(spacing_px / l.step_px));
    for (std::size_t i = 0; i < l.drawn_count(); i += stride) use(l.points[i], int(j), double(i) * l.step_px);
  }
}

}  // namespace

LoopIndex::LoopIndex(const std::vector<const ArcLoop*>& loops, double spacing_px, double cell_px) : loops_(loops) {
  PointBox box;
  std::size_t count = 0;
  // Cells much finer than the points would be looked at in vain.
  for (const ArcLoop* l : loops) cell_px = std::max(cell_px, l->step_px);
  for_each_point(loops, 0, [&](Point p, int, double) { box.add(p); });
  for_each_point(loops, spacing_px, [&](Point, int, double) { ++count; });
  if (count == 0) return;
  origin_ = box.low, cell_px_ = cell_px;
  const auto [columns, rows] = cell_of(box.high);
  columns_ = columns + 1, rows_ = rows + 1;
  slots_.resize(std::bit_ceil(count + count / 2 + 1));  // every look-up ends at an empty slot
  std::vector<std::uint32_t> filled(slots_.size());
  for_each_point(loops, spacing_px, [&](Point p, int, double) {
    const auto [x, y] = cell_of(p);
    const std::size_t slot = slot_of(x, y);
    slots_[slot].x = x, slots_[slot].y = y, ++slots_[slot].end;
  });
  std::uint32_t begin = 0;
  for (std::size_t k = 0; k < slots_.size(); ++k) {
    Cell& cell = slots_[k];
    cell.begin = filled[k] = begin, begin = cell.end += begin;
  }
  entries_.resize(count);
  for_each_point(loops, spacing_px, [&](Point p, int loop, double arc) {
    const auto [x, y] = cell_of(p);
    entries_[filled[slot_of(x, y)]++] = {p, loop, arc};
  });
}

std::pair<int, int> LoopIndex::cell_of(Point p) const {
  return {int(std::floor((p.x - origin_.x) / cell_px_)), int(std::floor((p.y - origin_.y) / cell_px_))};
}

// Where the cell is, or the empty slot at which looking for it ends. The multipliers are odd and share no pattern with
// neighbouring numbers: 2^32 over the golden ratio, and a prime of the same size.
std::size_t LoopIndex::slot_of(int x, int y) const {
  const std::uint32_t mixed = std::uint32_t(x) * 0x9e3779b1u + std::uint32_t(y) * 0x85ebca77u;
  const std::size_t mask = slots_.size() - 1;
  std::size_t slot = (mixed ^ mixed >> 15) & mask;
  while (slots_[slot].begin != slots_[slot].end && (slots_[slot].x != x || slots_[slot].y != y))
    slot = (slot + 1) & mask;
  return slot;
}

std::span<const LoopIndex::Entry> LoopIndex::entries_in(int x, int y) const {
  const Cell& cell = slots_[slot_of(x, y)];
  return {entries_.data() + cell.begin, cell.end - cell.begin};
}

template <class Visit>
void LoopIndex::visit(Point p, double radius_px, Visit&& each) const {
  if (entries_.empty()) return;
  const auto cell = [&](double v, int limit) { return std::clamp(int(std::floor(v / cell_px_)), 0, limit - 1); };
  const int x0 = cell(p.x - radius_px - origin_.x, columns_), x1 = cell(p.x + radius_px - origin_.x, columns_);
  const int y0 = cell(p.y - radius_px - origin_.y, rows_), y1 = cell(p.y + radius_px - origin_.y, rows_);
  for (int y = y0; y <= y1; ++y)
    for (int x = x0; x <= x1; ++x)
      for (const Entry& e : entries_in(x, y)) {
        const double d2 = norm2(e.at - p);
        if (d2 <= radius_px * radius_px && !each(e, d2)) return;
      }
}

LoopIndex::Place LoopIndex::nearest(Point p, double radius_px) const {
  Place best;
  if (entries_.empty()) return best;
  const auto [x, y] = cell_of(p);
  double best2 = std::numeric_limits<double>::infinity();
  const auto look_in = [&](int u, int v) {
    if (u < 0 || v < 0 || u >= columns_ || v >= rows_) return;
    for (const Entry& e : entries_in(u, v)) {
      const double d2 = norm2(e.at - p);
      if (d2 > radius_px * radius_px) continue;
      if (d2 < best2 || (d2 == best2 && (e.loop < best.loop || (e.loop == best.loop && e.arc < best.arc))))
        best2 = d2, best = {e.loop, e.arc, 0};
    }
  };
  // Rings of cells: what lies in ring k is at least k - 1 cells away.
  for (int k = 0; k == 0 || (k - 1) * cell_px_ <= radius_px; ++k) {
    if (k > 0 && best2 < (k - 1) * cell_px_ * ((k - 1) * cell_px_)) break;
    for (int v = y - k; v <= y + k; ++v)
      for (int u = x - k; u <= x + k; u += (v == y - k || v == y + k || k == 0) ? 1 : 2 * k) look_in(u, v);
  }
  if (best.loop >= 0) best.distance_px = std::sqrt(best2);
  return best;
}

bool LoopIndex::same_stretch(const Place& place, int loop, double arc, double slack_px) const {
  return place.loop == loop && std::abs(loops_[std::size_t(loop)]->signed_arc_px(place.arc, arc)) <= slack_px;
}

bool LoopIndex::lies_within(const Place& place, double arc, double back_px, double ahead_px) const {
  const double along_px = loops_[std::size_t(place.loop)]->signed_arc_px(arc, place.arc);
  return along_px >= -back_px && along_px <= ahead_px;
}

bool LoopIndex::foreign_near(Point p, double radius_px, int loop, double arc, double slack_px) const {
  bool found = false;
  visit(p, radius_px, [&](const Entry& e, double) {
    found = !same_stretch({e.loop, e.arc, 0}, loop, arc, slack_px);
    return !found;
  });
  return found;
}

LoopIndex::Clearance LoopIndex::clearance(Point p, double radius_px, int loop, double arc, double slack_px) const {
  double own2 = std::numeric_limits<double>::infinity(), foreign2 = own2;
  visit(p, radius_px, [&](const Entry& e, double d2) {
    double& least = same_stretch({e.loop, e.arc, 0}, loop, arc, slack_px) ? own2 : foreign2;
    least = std::min(least, d2);
    return true;
  });
  return {std::sqrt(own2), std::sqrt(foreign2)};
}

std::vector<LoopIndex::Place> LoopIndex::within(Point p, double radius_px) const {
  std::vector<Place> out;
  visit(p, radius_px, [&](const Entry& e, double d2) {
    out.push_back({e.loop, e.arc, std::sqrt(d2)});
    return true;
  });
  return out;
}

}  // namespace batten
