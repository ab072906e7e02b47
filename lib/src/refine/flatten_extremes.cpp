#include "refine/flatten_extremes.h"

#include <algorithm>
#include <cmath>

#include "fit/smooth_node.h"

namespace batten {
namespace {

bool is_extreme(const DraftNode& j) { return j.reason >= Reason::extreme_left && j.reason <= Reason::extreme_bottom; }
bool in_x(const DraftNode& j) { return j.reason == Reason::extreme_left || j.reason == Reason::extreme_right; }

void remove_after(Removal* f) {
  const std::size_t goes = f->next.next(f->segment);
  remove_node(&f->next, goes);
  if (goes < f->segment) --f->segment;
  ++f->removed;
}

class Flatten {
 public:
  Flatten(const EditContext& c, DraftLoop* d, std::size_t node) : c_(c), d_(*d), node_(node) {
    const double back = depth_px(d->previous(node)), on = depth_px(d->next(node));
    back_ = back < on, shallower_px_ = std::min(back, on);
    beside_ = back_ ? d->previous(node) : d->next(node);
    const DraftNode& end = d->nodes[beside_];
    pair_ = is_extreme(end) && in_x(end) == in_x(d->nodes[node]) && !touches_straight(*d, beside_);
  }

  bool run() {
    // In limits: two extremes meet half-way, each a limit off; beside any other end the curve itself gives way.
    const double deepest = pair_ ? 2 : 1;
    if (shallower_px_ > deepest * c_.loop.limit_px || on_one_line()) return false;
    if (pair_) return (d_.size() > 3 && keep(without_both())) || keep(as_one());
    return keep(without()) || (smooth_straight() && keep(with_straight_led_on()));
  }

 private:
  double depth_px(std::size_t end) const {
    const DraftNode &j = d_.nodes[node_], &k = d_.nodes[end];
    return in_x(j) ? std::abs(k.at.x - j.at.x) : std::abs(k.at.y - j.at.y);
  }
  // A segment that keeps to the axis as far as its ends can tell has no shallow extreme: it is a straight that was not
  // found.
  bool on_one_line() const {
    return distance(d_.nodes[node_].at, d_.nodes[beside_].at) > c_.loop.scale_px &&
           shallower_px_ <= 2 * c_.loop.sigma_px;
  }
  // The end beside it sets out along the axis, as the extreme did, so that the curve stays in the box.
  Removal without() const {
    Removal f{d_, d_.previous(node_)};
    const double axis = d_.nodes[node_].angle;
    DraftNode& end = f.next.nodes[beside_];
    if (end.corner) {
      DraftSegment& p = f.next.segments[back_ ? beside_ : node_];
      (back_ ? p.start.angle_rad : p.end.angle_rad) = axis, (back_ ? p.start.on_axis : p.end.on_axis) = true;
    } else if (end.reason == Reason::added && !touches_straight(d_, beside_)) {
      end.angle = axis, end.angle_fixed = true, end.reason = d_.nodes[node_].reason;
    }
    remove_after(&f);
    return f;
  }
  bool smooth_straight() const { return !d_.nodes[beside_].corner && touches_straight(d_, beside_); }
  // The straight beside it runs on to where the extreme was.
  Removal with_straight_led_on() const {
    Removal f = without();
    DraftNode& end = f.next.nodes[back_ ? f.segment : f.next.next(f.segment)];
    end.at = end.anchor = d_.nodes[node_].at, end.arc = d_.nodes[node_].arc;
    return f;
  }
  Removal without_both() const {
    Removal f{d_, d_.previous(back_ ? beside_ : node_)};
    remove_after(&f);
    remove_after(&f);
    return f;
  }
  // One node between the two; along the axis, or the curves on either side would take up the bend and bulge.
  Removal as_one() const {
    const std::size_t first = back_ ? beside_ : node_, last = back_ ? node_ : beside_;
    Removal f{d_, d_.previous(first)};
    const double arc_length_px = c_.loop.curve.ahead(d_.nodes[first].arc, d_.nodes[last].arc);
    DraftNode& one = f.next.nodes[last];
    one = smooth_node(c_.loop, d_.nodes[first].arc + 0.5 * arc_length_px, Reason::added);
    one.angle = d_.nodes[node_].angle, one.angle_fixed = true;
    remove_after(&f);
    return f;
  }

  bool keep(Removal f) { return try_removal(c_, node_, true, std::move(f), &d_); }

  const EditContext& c_;
  DraftLoop& d_;
  std::size_t node_, beside_;
  bool back_ = false, pair_ = false;
  double shallower_px_ = 0;
};

}  // namespace

bool try_flatten(const EditContext& c, DraftLoop* d, std::size_t node) {
  if (!is_extreme(d->nodes[node]) || touches_straight(*d, node) || d->size() <= 2) return false;
  return Flatten(c, d, node).run();
}

}  // namespace batten
