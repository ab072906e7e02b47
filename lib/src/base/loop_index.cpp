#include "base/loop_index.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace batten {

LoopIndex::LoopIndex(const std::vector<const ArcLoop*>& loops, double spacing_px, double cell_px) : loops_(loops) {
  PointBox box;
  for (const ArcLoop* l : loops)
    for (std::size_t i = 0; i < l->drawn_count(); ++i) box.add(l->points[i]);
  const auto [lo, hi] = box;
  if (lo.x > hi.x) return;
  origin_ = lo;
  // Few loops on a vast sheet: cells take memory even where they are empty. Four million are a sheet of 64 megapixels.
  constexpr double most_cells = 4e6;
  cell_px = std::max(cell_px, std::sqrt((hi.x - lo.x + cell_px) * (hi.y - lo.y + cell_px) / most_cells));
  // ... and a sheet of no width still has a height.
  cell_px = std::max(cell_px, std::max(hi.x - lo.x, hi.y - lo.y) / most_cells);
  cell_px_ = cell_px;
  columns_ = int((hi.x - lo.x) / cell_px) + 1, rows_ = int((hi.y - lo.y) / cell_px) + 1;
  cells_.resize(std::size_t(columns_) * std::size_t(rows_));
  for (std::size_t j = 0; j < loops.size(); ++j) {
    const ArcLoop& l = *loops[j];
    const auto stride = std::max<std::size_t>(1, std::size_t(spacing_px / l.step_px));
    for (std::size_t i = 0; i < l.drawn_count(); i += stride) {
      const Point p = l.points[i];
      const int x = int((p.x - lo.x) / cell_px), y = int((p.y - lo.y) / cell_px);
      cells_[std::size_t(y) * std::size_t(columns_) + std::size_t(x)].push_back({p, int(j), double(i) * l.step_px});
    }
  }
}

template <class Visit>
void LoopIndex::visit(Point p, double radius_px, Visit&& each) const {
  if (cells_.empty()) return;
  const auto cell = [&](double v, int limit) { return std::clamp(int(std::floor(v / cell_px_)), 0, limit - 1); };
  const int x0 = cell(p.x - radius_px - origin_.x, columns_), x1 = cell(p.x + radius_px - origin_.x, columns_);
  const int y0 = cell(p.y - radius_px - origin_.y, rows_), y1 = cell(p.y + radius_px - origin_.y, rows_);
  for (int y = y0; y <= y1; ++y)
    for (int x = x0; x <= x1; ++x)
      for (const Entry& e : cells_[std::size_t(y) * std::size_t(columns_) + std::size_t(x)]) {
        const double d2 = norm2(e.at - p);
        if (d2 <= radius_px * radius_px && !each(e, d2)) return;
      }
}

LoopIndex::Place LoopIndex::nearest(Point p, double radius_px) const {
  Place best;
  if (cells_.empty()) return best;
  const int x = int(std::floor((p.x - origin_.x) / cell_px_)), y = int(std::floor((p.y - origin_.y) / cell_px_));
  double best2 = std::numeric_limits<double>::infinity();
  const auto look_in = [&](int u, int v) {
    if (u < 0 || v < 0 || u >= columns_ || v >= rows_) return;
    for (const Entry& e : cells_[std::size_t(v) * std::size_t(columns_) + std::size_t(u)]) {
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

std::vector<LoopIndex::Place> LoopIndex::within(Point p, double radius_px) const {
  std::vector<Place> out;
  visit(p, radius_px, [&](const Entry& e, double d2) {
    out.push_back({e.loop, e.arc, std::sqrt(d2)});
    return true;
  });
  return out;
}

}  // namespace batten
