#include "structure/pin_nodes.h"

#include <algorithm>
#include <cmath>

#include "fit/smooth_node.h"
#include "structure/pin_reach.h"

namespace batten {
namespace {

constexpr std::size_t none = std::size_t(-1);

bool is_extreme(const DraftNode& j) { return j.reason >= Reason::extreme_left && j.reason <= Reason::extreme_bottom; }

// A node off the straight's line by more would bend it.
constexpr double on_line_px = 0.05;

class Pinning {
 public:
  Pinning(const SpacedLoop& loop, const DraftLoop& placed) : loop_(loop), d_(placed) {}

  DraftLoop run() {
    clear_bare();
    const std::vector<PinnedNode>& wanted = loop_.pins.nodes;
    // Those with a place of their own first: the others take what is there then.
    for (const bool exact : {true, false})
      for (std::size_t i = 0; i < wanted.size(); ++i)
        if (wanted[i].wanted == exact) pin(wanted[i], int(i));
    settle_angles(&d_);
    return std::move(d_);
  }

 private:
  double apart_px(std::size_t node, double arc) const {
    return std::abs(loop_.curve.signed_arc_px(d_.nodes[node].arc, arc));
  }

  void clear_bare() {
    for (std::size_t i = 0; i < d_.size();) {
      const bool goes = d_.size() > 2 && !is_line_end(d_, i) && !d_.nodes[i].corner && !touches_straight(d_, i) &&
                        lies_in(loop_.pins.bare, d_.nodes[i].arc, loop_.curve.length_px());
      if (goes)
        remove_node(&d_, i);
      else
        ++i;
    }
  }

  // How far along the loop a node may stand to be taken for the pinned one.
  double window_px(const PinnedNode& n, const DraftNode& j) const {
    if (!n.wanted) return std::max(12.0, 2 * corner_reach_px(loop_));
    if (n.turn == Pin::Turn::corner) return j.corner ? corner_reach_px(loop_) : 0;
    return j.corner ? 0.3 * loop_.scale_px : std::max(2.0, 0.6 * loop_.scale_px);
  }

  std::size_t standing(const PinnedNode& n) const {
    std::size_t best = none;
    for (std::size_t i = 0; i < d_.size(); ++i) {
      const DraftNode& j = d_.nodes[i];
      if (j.pin >= 0 || (is_line_end(d_, i) && n.fixed)) continue;
      if (n.turn == Pin::Turn::smooth && j.corner) continue;
      if (apart_px(i, n.arc) > window_px(n, j)) continue;
      if (best == none || apart_px(i, n.arc) < apart_px(best, n.arc)) best = i;
    }
    return best;
  }

  std::size_t segment_over(double arc) const {
    for (std::size_t i = 0; i < d_.size(); ++i)
      if (loop_.curve.ahead(d_.nodes[i].arc, arc) <= loop_.curve.ahead(d_.nodes[i].arc, d_.nodes[d_.next(i)].arc))
        return i;
    return 0;
  }

  std::size_t inserted(const PinnedNode& n) {
    const std::size_t segment = segment_over(loop_.curve.wrap(n.arc));
    if (d_.segments[segment].way_back) return none;
    DraftNode j = smooth_node(loop_, n.arc, Reason::added);
    if (d_.segments[segment].straight) {
      const Point a = d_.nodes[segment].at, along = unit(d_.nodes[d_.next(segment)].at - a);
      const double off_px = n.fixed ? std::abs(cross(along, n.at - a)) : 0;
      const bool stays = d_.segments[segment].pin >= 0 || off_px <= on_line_px;
      if (stays)
        j.at = j.anchor = a + dot(j.at - a, along) * along;
      else
        make_cubic(&d_, segment);
    }
    insert_node(&d_, segment, j);
    return segment + 1;
  }

  // A node whose neighbour is too near for both: the neighbour goes.
  void clear_beside(std::size_t node) {
    const double gap_px = std::max(0.95 * loop_.band_px, 3.0);
    for (bool gone = true; gone;) {
      gone = false;
      for (const std::size_t k : {d_.previous(node), d_.next(node)}) {
        const DraftNode& j = d_.nodes[k];
        if (d_.size() <= 3 || k == node || j.pin >= 0 || j.corner || !(is_extreme(j) || j.reason == Reason::added) ||
            touches_straight(d_, k) || apart_px(k, d_.nodes[node].arc) > gap_px)
          continue;
        remove_node(&d_, k);
        if (k < node) --node;
        gone = true;
        break;
      }
    }
  }

  void pin(const PinnedNode& n, int index) {
    std::size_t i = standing(n);
    if (i == none) i = inserted(n);
    if (i == none) return;
    DraftNode& j = d_.nodes[i];
    j.pin = index;
    if (n.fixed && !is_line_end(d_, i)) {
      for (const std::size_t s : {d_.previous(i), i}) hold_axis(s, i, n.at);
      j.at = j.anchor = n.at, j.fixed_x = j.fixed_y = true;
      j.arc = loop_.curve.wrap(n.arc);
    }
    if (n.along != Pin::Along::any && !j.corner) {
      const double level = std::cos(j.angle) < 0 ? pi : 0, vertical = std::sin(j.angle) < 0 ? -0.5 * pi : 0.5 * pi;
      j.angle = n.along == Pin::Along::level ? level : vertical, j.angle_fixed = true;
    }
    if (n.wanted) clear_beside(i);
  }

  // A level or vertical straight goes along with a node that is fixed: its other end takes the coordinate.
  void hold_axis(std::size_t segment, std::size_t node, Point at) {
    const DraftSegment& s = d_.segments[segment];
    if (!s.straight || s.way_back) return;
    DraftNode& other = d_.nodes[segment == node ? d_.next(segment) : segment];
    if (s.level && !other.fixed_y) other.at.y = other.anchor.y = at.y;
    if (s.vertical && !other.fixed_x) other.at.x = other.anchor.x = at.x;
  }

  const SpacedLoop& loop_;
  DraftLoop d_;
};

}  // namespace

DraftLoop pin_nodes(const SpacedLoop& loop, const DraftLoop& placed) { return Pinning(loop, placed).run(); }

}  // namespace batten
