#include "refine/enforce_extremum.h"

#include <algorithm>

#include "fit/segment_data.h"
#include "structure/extremes.h"

namespace batten {
namespace {

constexpr double flat_px = 0.1;          // what lies beyond a node by less does not pass it
constexpr double least_bend_rad = 0.02;  // about a degree, which nobody sees

Reason extreme_reason(const Cubic& c, const ExtremumExcess& p) {
  const Point at = evaluate(c, p.t);
  if (p.in_x) return at.x > std::max(c[0].x, c[3].x) ? Reason::extreme_right : Reason::extreme_left;
  return at.y > std::max(c[0].y, c[3].y) ? Reason::extreme_bottom : Reason::extreme_top;
}

// How far the segment bends the wrong way: the smaller of the two angles between its handles and its chord where they
// lie on the same side of travel (an S), else 0.
double s_bend(const DraftLoop& d, std::size_t segment) {
  if (d.segments[segment].straight) return 0;
  const Cubic c = cubic_of(d, segment);
  const Point chord = c[3] - c[0];
  const double first = turn_between(c[1] - c[0], chord), last = turn_between(chord, c[3] - c[2]);
  return first * last < 0 ? std::min(std::abs(first), std::abs(last)) : 0;
}

void set_handles(DraftSegment* s, const Cubic& c) {
  s->start.handle_px = distance(c[0], c[1]), s->end.handle_px = distance(c[2], c[3]);
}

class ExtremumEdit {
 public:
  ExtremumEdit(const EditContext& c, DraftLoop* d, std::size_t segment, const ExtremumExcess& excess)
      : c_(c), d_(*d), segment_(segment), end_(d->next(segment)), cubic_(cubic_of(*d, segment)), excess_(excess) {
    length_ = length(cubic_), from_start_ = length(split(cubic_, excess_.t).first);
    gap_ = std::max(3.0, 0.95 * c.loop.band_px);
    axis_ = axis_angle(angle_of(first_derivative(cubic_, excess_.t)));
  }

  bool run() {
    const bool near_start = from_start_ < gap_, near_end = length_ - from_start_ < gap_;
    const bool deep = excess_.depth_px > extreme_hysteresis_px(c_.loop) || excess_.depth_px > c_.loop.limit_px;
    if (deep && !near_start && !near_end && insert()) return true;
    const bool start_first = from_start_ < 0.5 * length_;
    const bool beside = (start_first ? from_start_ : length_ - from_start_) < 2 * gap_;
    return turn_end(start_first) || (beside && (curve_straight(start_first) || shorten_straight(start_first))) ||
           turn_end(!start_first) || insert();
  }

 private:
  // The segments judged in `next`, where one more may stand in the place of this one. They are counted from the index
  // before the edit: where the outline's first segment gets a node, the window begins and ends one segment early.
  Window judged(const DraftLoop& next) const { return {next, d_.previous(segment_), 4 + next.size() - d_.size()}; }

  bool keep(DraftLoop&& next, std::size_t centre, std::size_t beside, bool instead_of_straight = false) {
    const Window was = Window::around(d_, segment_, 1, 2), is = judged(next);
    std::vector<char> freed = Window::around(next, centre, beside, beside).flags();
    EditCandidate edit{std::move(next),
                       was,
                       is,
                       std::move(freed),
                       steps::extremum,
                       instead_of_straight ? allowance::curve_for_straight : allowance::no_worse};
    edit.keeps_promise = [&](const DraftLoop& solved) {
      return turns_back(solved, centre) && !(instead_of_straight && bends(solved)) && reduces_excess(solved);
    };
    return try_edit(c_, std::move(edit), &d_);
  }
  // The segments that took this one's place leave their boxes less; on the other axis no more than that or than it did.
  bool reduces_excess(const DraftLoop& next) const {
    const std::size_t other = excess_.in_x ? 1 : 0, n = next.size() - d_.size() + 1;
    const double was = pokes(cubic_)[other].depth_px, left = 0.7 * excess_.depth_px;
    for (std::size_t k = 0; k < n; ++k) {
      const std::array<ExtremumExcess, 2> p = pokes(cubic_of(next, next.next(segment_, k)));
      if (p[1 - other].depth_px > left || p[other].depth_px > std::max(left, 1.1 * was)) return false;
    }
    return true;
  }
  // The outline must turn back at the node: a node that slid off its extreme would level a slope.
  bool turns_back(const DraftLoop& next, std::size_t node) const {
    const DraftNode& j = next.nodes[node];
    if (j.corner) return true;
    const double outwards = j.reason == Reason::extreme_right || j.reason == Reason::extreme_bottom ? 1 : -1;
    const auto beyond = [&](Point p) { return outwards * (excess_.in_x ? p.x - j.at.x : p.y - j.at.y) > flat_px; };
    const Cubic before = cubic_of(next, next.previous(node)), after = cubic_of(next, node);
    return !beyond(evaluate(before, 0.75)) && !beyond(evaluate(after, 0.25));
  }
  // A curve in place of a straight may not waver.
  bool bends(const DraftLoop& next) const {
    for (const std::size_t i : judged(next))
      if (s_bend(next, i) > std::max(least_bend_rad, s_bend(d_, i))) return true;
    return false;
  }
  void set_extreme(DraftNode* j) const {
    j->angle = axis_, j->angle_fixed = true, j->reason = extreme_reason(cubic_, excess_);
  }
  void move_to_extreme(DraftNode* j) const {
    j->at = j->anchor = evaluate(cubic_, excess_.t);
    j->arc = nearest_arc(c_.loop.curve, j->at, d_.nodes[segment_].arc + from_start_, 0.3 * length_ + 3);
    set_extreme(j);
  }

  bool turn_end(bool start) {
    DraftLoop next = d_;
    const std::size_t node = start ? segment_ : end_;
    DraftNode& j = next.nodes[node];
    if (j.corner) {
      SegmentEnd& end = start ? next.segments[segment_].start : next.segments[segment_].end;
      end.angle_rad = axis_, end.on_axis = true;
    } else {
      if (j.angle_fixed || touches_straight(d_, node)) return false;
      set_extreme(&j);
    }
    return keep(std::move(next), node, 1);
  }

  // Put a node of the extreme into the segment of `next`, which is d_ but for its nodes' places.
  void insert_into(DraftLoop* next, const DraftNode& extreme) const {
    insert_node(next, segment_, extreme);
    const auto [first, second] = split(cubic_, excess_.t);
    set_handles(&next->segments[segment_], first), set_handles(&next->segments[segment_ + 1], second);
  }
  bool insert() {
    DraftNode j;
    move_to_extreme(&j);
    const double room = c_.loop.curve.ahead(d_.nodes[segment_].arc, j.arc);
    if (room < 0.5 * gap_ || room > stretch_px(c_.loop, d_, segment_) - 0.5 * gap_) return false;
    DraftLoop next = d_;
    insert_into(&next, j);
    return keep(std::move(next), segment_ + 1, 2);
  }

  // The straight that runs into this segment's start (or leaves its end), if its join is smooth; level and vertical
  // ones have their extreme in themselves.
  bool straight_at(bool start, std::size_t* straight) const {
    *straight = start ? d_.previous(segment_) : end_;
    const DraftSegment& s = d_.segments[*straight];
    return s.straight && !s.level && !s.vertical && !d_.nodes[start ? segment_ : end_].corner && d_.size() > 2;
  }
  bool curve_straight(bool start) {
    std::size_t s = 0;
    if (!straight_at(start, &s)) return false;
    DraftLoop next = d_;
    const double along = start_angle(d_, s);
    const std::size_t node = start ? segment_ : end_, far = start ? s : d_.next(s);
    move_to_extreme(&next.nodes[node]);
    make_cubic(&next, s);
    next.segments[s].start.angle_rad = next.segments[s].end.angle_rad = along;
    const auto [first, second] = split(cubic_, excess_.t);
    set_handles(&next.segments[segment_], start ? second : first);
    DraftNode& other = next.nodes[far];
    if (!other.corner && !touches_straight(next, far) && other.reason == Reason::straight_end)
      other.reason = Reason::added;
    return keep(std::move(next), node, 2, true);
  }
  bool shorten_straight(bool start) {
    std::size_t s = 0;
    if (!straight_at(start, &s)) return false;
    const std::size_t node = start ? segment_ : end_;
    const Point far = d_.nodes[start ? s : d_.next(s)].at, here = d_.nodes[node].at;
    const double back = gap_ - (start ? from_start_ : length_ - from_start_);
    if (back > 0.5 * distance(far, here)) return false;
    DraftLoop next = d_;
    DraftNode extreme;
    move_to_extreme(&extreme);
    DraftNode& j = next.nodes[node];
    if (back > 0) {
      j.at = j.anchor = here + back * unit(far - here);
      j.arc = c_.loop.curve.wrap(j.arc + (start ? -back : back));
    }
    insert_into(&next, extreme);
    return keep(std::move(next), segment_ + 1, 2);
  }

  const EditContext& c_;
  DraftLoop& d_;
  std::size_t segment_, end_;
  Cubic cubic_;
  ExtremumExcess excess_;
  double length_ = 0, from_start_ = 0, gap_ = 0, axis_ = 0;
};

}  // namespace

bool enforce_extremum(const EditContext& c, DraftLoop* d, std::size_t segment) {
  if (d->segments[segment].straight) return false;
  std::array<ExtremumExcess, 2> found = pokes(cubic_of(*d, segment));
  if (found[1].depth_px > found[0].depth_px) std::swap(found[0], found[1]);
  for (const ExtremumExcess& p : found)
    if (p.depth_px > visible_poke_px && ExtremumEdit(c, d, segment, p).run()) return true;
  return false;
}

}  // namespace batten
