#include "finish/land_ends.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/cubic.h"
#include "structure/join_ends.h"

namespace batten {
namespace {

// A line may end on one that ends on a third: each round settles one more of such a chain.
constexpr int rounds = 4;
constexpr std::size_t none = std::size_t(-1);  // of the segments of a curve

Node& node_of(const LineEndPlace& end, Drawing* drawing) {
  std::vector<Node>& nodes = drawing->outlines[end.loop].nodes;
  return end.at_end ? nodes.back() : nodes.front();
}

// Handles go along with a node through which a stroke runs on. Where a line ends, a long one stays: it would take a
// third of its segment along, off the line that was drawn.
void move_to(Point at, Node* n) {
  const Point by = at - n->at;
  constexpr double long_handle = 8;  // times the way: the direction at the end turns by 7 degrees at most
  for (Point* handle : {&n->handle_before, &n->handle_after}) {
    if (*handle == n->at)
      *handle = at;
    else if (n->smooth || distance(*handle, n->at) < long_handle * norm(by))
      *handle = *handle + by;
  }
  n->at = at;
}

// A place on a segment of an outline.
struct CurvePlace {
  Cubic on;
  double t = 0;
  Point at() const { return evaluate(on, t); }
};

// The nearest place of an outline; of a line's own curve without the segment that ends there.
std::optional<CurvePlace> nearest_place(const Outline& curve, Point p, std::size_t without) {
  std::optional<CurvePlace> best;
  for (std::size_t i = 0; i < curve.segment_count(); ++i) {
    if (i == without) continue;
    const CurvePlace place{curve.segment(i), FootFinder(curve.segment(i)).foot(p).t};
    if (!best || distance(p, place.at()) < distance(p, best->at())) best = place;
  }
  return best;
}

// Where the straight through p in this direction crosses the segment, near the place given: Newton's method.
std::optional<Point> crossing(const CurvePlace& near, Point p, Point towards) {
  constexpr double least_sine = 0.2;  // lines more alike than 12 degrees meet anywhere
  double t = near.t;
  for (int k = 0; k < 30; ++k) {
    const Point along = first_derivative(near.on, t);
    const double slope = cross(along, towards);
    if (std::abs(slope) < least_sine * norm(along)) break;
    const double next = t - cross(evaluate(near.on, t) - p, towards) / slope;
    if (!(next >= 0 && next <= 1)) break;
    if (std::abs(next - t) < 1e-14) return p + dot(evaluate(near.on, next) - p, towards) * towards;
    t = next;
  }
  return std::nullopt;
}

double rounded(double v, double grid) { return std::round(v / grid) * grid; }

class Landing {
 public:
  Landing(const SpacedLoops& loops, double grid_px, Drawing* drawing)
      : loops_(loops), grid_px_(grid_px), drawing_(drawing) {
    groups_ = junctions_of(loops);
    for (std::size_t k = 0; k < loops.loops.size(); ++k)
      for (const bool at_end : {false, true}) {
        const bool alone = loops.loops[k].open() && on_loop({k, at_end}) >= 0 && !in_junction({k, at_end});
        if (alone) groups_.push_back({{k, at_end}});
      }
  }

  void run() {
    for (int round = 0; round < rounds; ++round)
      for (const auto& group : groups_) land(group);
  }

 private:
  int on_loop(const LineEndPlace& e) const {
    const SpacedLoop& loop = loops_.loops[e.loop];
    const int on = (e.at_end ? loop.end : loop.start).on_loop;
    return on < int(loops_.loops.size()) ? on : -1;
  }
  bool in_junction(const LineEndPlace& e) const {
    return std::any_of(groups_.begin(), groups_.end(), [&](const auto& group) {
      return std::any_of(group.begin(), group.end(),
                         [&](const LineEndPlace& g) { return g.loop == e.loop && g.at_end == e.at_end; });
    });
  }

  void land(const std::vector<LineEndPlace>& group) {
    Point at = node_of(group.front(), drawing_).at;
    const auto landing = std::find_if(group.begin(), group.end(), [&](const auto& e) { return on_loop(e) >= 0; });
    if (landing != group.end())
      if (const auto place = place_on_curve(*landing)) at = *place;
    if (grid_px_ > 0) at = {rounded(at.x, grid_px_), rounded(at.y, grid_px_)};
    for (const LineEndPlace& e : group) move_to(at, &node_of(e, drawing_));
  }

  std::optional<Point> place_on_curve(const LineEndPlace& e) const {
    const Outline& own = drawing_->outlines[e.loop];
    const std::size_t target = std::size_t(on_loop(e)), last = e.at_end ? own.segment_count() - 1 : 0;
    const Outline& curve = drawing_->outlines[target];
    const std::size_t without = target == e.loop ? last : none;
    const Point p = (e.at_end ? own.nodes.back() : own.nodes.front()).at;
    const auto nearest = nearest_place(curve, p, without);
    if (!nearest) return std::nullopt;
    // Two limits, and half a band of the curve: a line may have been followed up to the other's edge only.
    const SpacedLoop &line = loops_.loops[e.loop], &other = loops_.loops[target];
    const double reach_px = 2 * std::max(line.limit_px, other.limit_px) + std::max(line.band_px, other.band_px);
    const double off_px = distance(nearest->at(), p);
    if (off_px > reach_px) return std::nullopt;
    if (!own.is_straight(last)) return nearest->at();
    const Cubic c = own.segment(last);
    const auto met = crossing(*nearest, p, unit(e.at_end ? c[3] - c[0] : c[0] - c[3]));
    const double along_px = std::min(3 * std::max(off_px, line.limit_px), reach_px);
    return met && distance(*met, p) <= along_px ? *met : nearest->at();
  }

  const SpacedLoops& loops_;
  double grid_px_;
  Drawing* drawing_;
  std::vector<std::vector<LineEndPlace>> groups_;
};

}  // namespace

void land_ends(const SpacedLoops& loops, double grid_px, Drawing* drawing) { Landing(loops, grid_px, drawing).run(); }

}  // namespace batten
