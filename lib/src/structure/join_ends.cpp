#include "structure/join_ends.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>

#include "fit/linear_ties.h"
#include "fit/segment_data.h"

namespace batten {
namespace {

// Numbers the coordinates of all nodes.
class Coordinates {
 public:
  explicit Coordinates(const Draft& draft) {
    for (const DraftLoop& d : draft.loops) first_.push_back(first_.back() + 2 * d.size());
  }
  std::size_t x(std::size_t loop, std::size_t node) const { return first_[loop] + 2 * node; }
  std::size_t y(std::size_t loop, std::size_t node) const { return x(loop, node) + 1; }
  std::size_t count() const { return first_.back(); }

 private:
  std::vector<std::size_t> first_{0};
};

// What the ends at one place say about it: normal equations of a least-squares place.
class MeetingPlace {
 public:
  // A straight says across it where the place is, and hardly anything along it; a curve says little of either.
  void add_straight(Point at, Point along) {
    constexpr double across_weight = 1, along_weight = 0.02;
    add(at, left_of(along), across_weight), add(at, along, along_weight);
  }
  void add_curve(Point at) {
    constexpr double weight = 0.25;
    add(at, {1, 0}, weight), add(at, {0, 1}, weight);
  }
  Point middle() const { return (1 / double(count_)) * sum_; }
  // Lines that nearly run alike meet anywhere: a place farther from the middle of the ends than they lie apart, and
  // than slack_px, is none.
  Point place(double slack_px) const {
    const double det = xx_ * yy_ - xy_ * xy_;
    const Point p{(yy_ * x_ - xy_ * y_) / det, (xx_ * y_ - xy_ * x_) / det};
    double apart_px = slack_px;
    for (const Point e : ends_) apart_px = std::max(apart_px, distance(e, middle()));
    return distance(p, middle()) <= 2 * apart_px ? p : middle();
  }

 private:
  void add(Point at, Point n, double weight) {
    const double d = dot(at, n);
    xx_ += weight * n.x * n.x, xy_ += weight * n.x * n.y, yy_ += weight * n.y * n.y;
    x_ += weight * d * n.x, y_ += weight * d * n.y;
    if (ends_.empty() || !(ends_.back() == at)) ends_.push_back(at), sum_ = sum_ + at, ++count_;
  }
  double xx_ = 0, xy_ = 0, yy_ = 0, x_ = 0, y_ = 0;
  std::vector<Point> ends_;
  Point sum_;
  int count_ = 0;
};

Point meeting_place(const SpacedLoops& loops, const Draft& draft, const std::vector<LineEndPlace>& ends) {
  MeetingPlace out;
  double slack_px = 0;
  for (const LineEndPlace& e : ends) {
    const DraftLoop& d = draft.loops[e.loop];
    const std::size_t segment = segment_at(d, e.at_end);
    const Point at = d.nodes[node_at(d, e.at_end)].at, chord = d.nodes[d.next(segment)].at - d.nodes[segment].at;
    slack_px = std::max(slack_px, loops.loops[e.loop].limit_px);
    if (d.segments[segment].straight && norm(chord) > 0)
      out.add_straight(at, unit(chord));
    else
      out.add_curve(at);
  }
  return out.place(slack_px);
}

bool on_axis(const DraftSegment& s) { return s.straight && !s.way_back && (s.level || s.vertical); }

class Joining {
 public:
  Joining(const SpacedLoops& loops, const Draft& placed)
      : loops_(loops), out_(placed), junctions_(junctions_of(loops)), index_(placed) {
    wanted_.resize(index_.count());
    for (std::size_t k = 0; k < placed.loops.size(); ++k)
      for (std::size_t i = 0; i < placed.loops[k].size(); ++i) want(k, i, placed.loops[k].nodes[i].at);
    find_through_lines(placed);
    for (const auto& ends : junctions_) {
      const Point at = meeting_place(loops, placed, ends);
      for (const LineEndPlace& e : ends) want(e.loop, node_at(placed.loops[e.loop], e.at_end), at);
    }
  }

  Draft run(const std::stop_token& stop) {
    if (std::none_of(loops_.loops.begin(), loops_.loops.end(), [](const auto& l) { return l.open(); }))
      return std::move(out_);
    constexpr int patient_rounds = 20;  // beyond them all that is strained gives way at once
    std::vector<double> values = solved();
    for (int k = 0; !stop.stop_requested() && drop_strained(values, k < patient_rounds ? 0.8 : 0); ++k)
      values = solved();
    for (std::size_t k = 0; k < out_.loops.size(); ++k) {
      if (!loops_.loops[k].open()) continue;
      DraftLoop& d = out_.loops[k];
      for (std::size_t i = 0; i < d.size(); ++i)
        if (!d.nodes[i].fixed_x) d.nodes[i].at = d.nodes[i].anchor = {values[index_.x(k, i)], values[index_.y(k, i)]};
      settle_angles(&d);
    }
    for (const ThroughLine& l : through_)
      out_.loops[l.a.loop].segments[l.segment_a].runs_on = out_.loops[l.b.loop].segments[l.segment_b].runs_on = true;
    return std::move(out_);
  }

 private:
  // Two straights of one stroke that runs on through a junction: the junction lies on the line between their far ends.
  struct ThroughLine {
    LineEndPlace a, b;
    std::size_t segment_a, segment_b;
    std::size_t from, junction, to;  // coordinates in x; those in y follow
    double share;
  };

  void find_through_lines(const Draft& placed) {
    constexpr double most_turn_deg = 4;  // by which a hand misses; more was drawn
    for (const LineRunsOn& r : loops_.runs_on) {
      if (!names_lines(loops_, r)) continue;
      const auto a = std::size_t(r.loop_a), b = std::size_t(r.loop_b);
      const DraftLoop &d = placed.loops[a], &e = placed.loops[b];
      const std::size_t s = segment_at(d, r.a_at_end), t = segment_at(e, r.b_at_end);
      if (!d.segments[s].straight || !e.segments[t].straight) continue;
      const std::size_t here = node_at(d, r.a_at_end), far_a = r.a_at_end ? s : d.next(s),
                        far_b = r.b_at_end ? t : e.next(t);
      const Point from = d.nodes[far_a].at, at = d.nodes[here].at, to = e.nodes[far_b].at;
      if (std::abs(degrees(turn_between(at - from, to - at))) > most_turn_deg) continue;
      const double share = distance(from, at) / (distance(from, at) + distance(at, to));
      through_.push_back(
          {{a, r.a_at_end}, {b, r.b_at_end}, s, t, index_.x(a, far_a), index_.x(a, here), index_.x(b, far_b), share});
    }
  }

  void want(std::size_t loop, std::size_t node, Point at) {
    wanted_[index_.x(loop, node)] = at.x, wanted_[index_.y(loop, node)] = at.y;
  }

  std::vector<double> solved() const {
    std::vector<Tie> ties;
    std::vector<double> weights(index_.count(), 1);
    for (const auto& ends : junctions_)
      for (std::size_t e = 1; e < ends.size(); ++e) {
        const LineEndPlace &a = ends[0], &b = ends[e];
        const std::size_t i = node_at(out_.loops[a.loop], a.at_end), j = node_at(out_.loops[b.loop], b.at_end);
        ties.push_back({{{index_.x(a.loop, i), 1}, {index_.x(b.loop, j), -1}}});
        ties.push_back({{{index_.y(a.loop, i), 1}, {index_.y(b.loop, j), -1}}});
      }
    for (std::size_t k = 0; k < out_.loops.size(); ++k) {
      const DraftLoop& d = out_.loops[k];
      for (std::size_t i = 0; i < d.size() && loops_.loops[k].open(); ++i) {
        if (!on_axis(d.segments[i])) continue;
        const bool vertical = d.segments[i].vertical;
        const auto across = [&](std::size_t node) { return vertical ? index_.x(k, node) : index_.y(k, node); };
        ties.push_back({{{across(i), 1}, {across(d.next(i)), -1}}});
        // A long side knows its place better than a short one.
        const double px = distance(d.nodes[i].at, d.nodes[d.next(i)].at);
        weights[across(i)] += px, weights[across(d.next(i))] += px;
      }
    }
    for (const ThroughLine& l : through_) {
      // Two on one axis share a coordinate already; one on its axis gives way to nothing.
      if (on_axis(segment_of(l.a, l.segment_a)) || on_axis(segment_of(l.b, l.segment_b))) continue;
      for (const std::size_t q : {0, 1})
        ties.push_back({{{l.junction + q, 1}, {l.from + q, l.share - 1}, {l.to + q, -l.share}}});
    }
    return nearest_tied(eliminate(ties), wanted_, weights);
  }

  const DraftSegment& segment_of(const LineEndPlace& end, std::size_t segment) const {
    return out_.loops[end.loop].segments[segment];
  }

  // How far a straight lies off its points once its nodes have moved, in limits: not over 1 where that is no farther
  // than before.
  double strain_of(std::size_t loop, std::size_t segment, const std::vector<double>& values) const {
    const SpacedLoop& spaced = loops_.loops[loop];
    DraftLoop moved = out_.loops[loop];
    const double before_px = segment_error(spaced, moved, segment).max_px;
    for (const std::size_t node : {segment, moved.next(segment)})
      moved.nodes[node].at = {values[index_.x(loop, node)], values[index_.y(loop, node)]};
    const double after_px = segment_error(spaced, moved, segment).max_px;
    return after_px > before_px ? after_px / spaced.limit_px : std::min(1.0, after_px / spaced.limit_px);
  }
  double strain_of(const ThroughLine& l, const std::vector<double>& values) const {
    return std::max(strain_of(l.a.loop, l.segment_a, values), strain_of(l.b.loop, l.segment_b, values));
  }

  // Straights that ties hold beyond the limit no longer keep to their axis, or to one line with the next: the worst of
  // them, and all that are nearly as bad. Returns whether there were any.
  bool drop_strained(const std::vector<double>& values, double nearly) {
    double worst = 1;
    std::vector<std::pair<double, DraftSegment*>> strained;
    for (std::size_t k = 0; k < out_.loops.size(); ++k) {
      DraftLoop& d = out_.loops[k];
      for (std::size_t i = 0; i < d.size() && loops_.loops[k].open(); ++i) {
        if (!on_axis(d.segments[i])) continue;
        strained.push_back({strain_of(k, i, values), &d.segments[i]});
        worst = std::max(worst, strained.back().first);
      }
    }
    for (const ThroughLine& l : through_) worst = std::max(worst, strain_of(l, values));
    if (worst <= 1) return false;
    const auto gives_way = [&](double strain) { return strain > 1 && strain >= nearly * worst; };
    std::erase_if(through_, [&](const ThroughLine& l) { return gives_way(strain_of(l, values)); });
    for (const auto& [strain, segment] : strained)
      if (gives_way(strain)) segment->level = segment->vertical = false;
    return true;
  }

  const SpacedLoops& loops_;
  Draft out_;
  std::vector<std::vector<LineEndPlace>> junctions_;
  Coordinates index_;
  std::vector<ThroughLine> through_;
  std::vector<double> wanted_;
};

}  // namespace

std::vector<std::vector<LineEndPlace>> junctions_of(const SpacedLoops& loops) {
  std::map<int, std::vector<LineEndPlace>> by_number;
  for (std::size_t k = 0; k < loops.loops.size(); ++k)
    for (const bool at_end : {false, true}) {
      const SpacedLoop& loop = loops.loops[k];
      const int junction = (at_end ? loop.end : loop.start).junction;
      if (loop.open() && junction >= 0) by_number[junction].push_back({k, at_end});
    }
  std::vector<std::vector<LineEndPlace>> out;
  for (auto& [number, ends] : by_number)
    if (ends.size() > 1) out.push_back(std::move(ends));
  return out;
}

bool names_lines(const SpacedLoops& loops, const LineRunsOn& runs_on) {
  const auto is_line = [&](int k) {
    return k >= 0 && std::size_t(k) < loops.loops.size() && loops.loops[std::size_t(k)].open();
  };
  return is_line(runs_on.loop_a) && is_line(runs_on.loop_b);
}

std::size_t node_at(const DraftLoop& d, bool at_end) {
  for (std::size_t i = 0; i < d.size(); ++i)
    if (d.segments[i].way_back) return at_end ? i : d.next(i);
  return 0;
}

std::size_t segment_at(const DraftLoop& d, bool at_end) {
  const std::size_t node = node_at(d, at_end);
  return at_end ? d.previous(node) : node;
}

Draft join_ends(const SpacedLoops& loops, const Draft& placed, const std::stop_token& stop) {
  return Joining(loops, placed).run(stop);
}

}  // namespace batten
