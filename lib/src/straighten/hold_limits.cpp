#include "straighten/hold_limits.h"

#include <algorithm>
#include <compare>

#include "base/parallel.h"
#include "base/statistics.h"
#include "corners/band_ink.h"
#include "fit/keeps_pins.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "measure/reference_loop.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"
#include "refine/edit_draft.h"
#include "refine/untangle.h"
#include "straighten/cut_tangles.h"
#include "straighten/fit_plainly.h"

namespace batten {
namespace {

constexpr double straights_too = 1.4;  // times the limit: straight_tolerance_px
constexpr double worth_making = 0.9;   // of what it was: a change that brings less is not worth its node
constexpr double node_price = 0.1;     // limits for each node that a change adds
constexpr int most_changes = 40;       // of one outline, so that noise ends; drawings took up to a dozen

// What is held although it is finer than the line is known is held to the number.
double allowed_px(const SpacedLoop& loop) {
  return loop.held_finer() ? loop.limit_px : std::max(loop.limit_px, unseen_px);
}

class Mending {
 public:
  Mending(const EditContext& c, const Plane<float>& ink) : c_(c), loop_(c.loop), ink_(ink) {}

  void run(DraftLoop* d) const {
    if (!ink_.empty() && !loop_.exact()) pull_in_tips(d);
    if (loop_.held_finer()) divide_all(d);
    for (int k = 0; k < most_changes && !c_.stop.stop_requested(); ++k)
      if (!mend_worst(d)) break;
    const auto keeping_pins = [&](auto&& change) { within_pins(loop_, d, [&] { return change(), true; }); };
    keeping_pins([&] { cut_tangles(loop_, allowed_px(loop_), c_.stop, d); });
    shorten_tips(d);
    if (!loop_.open() && !crossings_of(*d).empty() && !crosses_itself(loop_)) keeping_pins([&] { untangle(c_, d); });
    plainly_if_better(d);
  }

 private:
  double ink_at(Point p) const { return ink_near(ink_, p, tip_near_widths * loop_.band_px); }

  // What a tip needs: a share of what is usual along the loop.
  double least_ink() const {
    std::vector<double> on_loop;
    const std::size_t count = loop_.curve.drawn_count(), step = std::max<std::size_t>(1, count / 60);
    for (std::size_t i = 0; i < count; i += step) on_loop.push_back(ink_at(loop_.curve.points[i]));
    return tip_ink_share * median(std::move(on_loop));
  }

  void pull_in_tips(DraftLoop* d) const {
    double least = -1;
    for (std::size_t i = 0; i < d->size() && !c_.stop.stop_requested(); ++i) {
      const DraftNode& node = d->nodes[i];
      if (!node.corner || is_line_end(*d, i)) continue;
      const Point on_loop = loop_.curve.at(node.arc);
      if (distance(node.at, on_loop) <= allowed_px(loop_)) continue;
      if (least < 0) least = least_ink();
      double share = 0;  // of the way back
      while (share < 1 && ink_at(node.at + share * (on_loop - node.at)) <= least) share += 0.125;
      if (share > 0) move_tip(d, i, node.at + std::min(1., share) * (on_loop - node.at));
    }
  }

  // A limit finer than the line is known is not held here and there but nearly everywhere: every segment over it is
  // divided, straights too, until all hold or nothing comes nearer.
  void divide_all(DraftLoop* d) const {
    constexpr int most_rounds = 6;  // each at least halves what it divides
    bool changed = true;
    for (int k = 0; k < most_rounds && changed; ++k) {
      changed = false;
      for (std::size_t i = 0; i < d->size() && !c_.stop.stop_requested(); ++i)
        if (segment_error(loop_, *d, i).max_px > allowed_px(loop_)) changed |= divide(d, i);
    }
  }

  bool divide(DraftLoop* d, std::size_t segment) const {
    if (d->segments[segment].way_back || stretch_px(loop_, *d, segment) < 6) return false;
    DraftLoop next = *d;
    if (next.segments[segment].straight) {
      make_cubic(&next, segment);
      for (const std::size_t n : {segment, next.next(segment)})
        if (!next.nodes[n].corner && !touches_straight(next, n))
          next.nodes[n] = smooth_node(loop_, next.nodes[n].arc, Reason::added);
      settle_angles(&next);
    }
    const auto parts = std::size_t(split_segment(loop_, &next, segment, c_.stop));
    const Window was = Window::around(*d, segment, 1, 1), is = Window::around(next, segment, 1, parts);
    return try_edit(c_, {std::move(next), was, is, {}, steps::none, allowance::nearer_on_average}, d);
  }

  Point nearest_place(const DraftNode& node) const {
    return loop_.curve.at(nearest_arc(loop_.curve, node.at, node.arc, 2 * loop_.scale_px));
  }

  // How far each corner lies off the line, and each end of an open one that leads on to another.
  std::vector<double> reaches(const DraftLoop& d) const {
    std::vector<double> out;
    for (const DraftNode& node : d.nodes) out.push_back(node.corner ? distance(node.at, nearest_place(node)) : 0);
    return out;
  }

  // Corners run on beyond the located line, which was rounded there, by no more than that explains, three widths. Where
  // one reaches farther it comes back; ends stay, since other lines meet there. (Tips of small shapes are long
  // together, for their size: to bring those back by a pixel or two blunted what was sharp.)
  void shorten_tips(DraftLoop* d) const {
    constexpr double most_widths = 3;
    const std::vector<double> reach = reaches(*d);
    const double most_px = most_widths * std::max(loop_.band_px, unseen_px);
    for (std::size_t i = 0; i < d->size() && !c_.stop.stop_requested(); ++i)
      if (reach[i] > most_px && !is_line_end(*d, i)) {
        const Point on_loop = nearest_place(d->nodes[i]);
        move_tip(d, i, on_loop + most_px / reach[i] * (d->nodes[i].at - on_loop));
      }
  }

  struct Fault {
    std::size_t crossings;
    double off_px;
    auto operator<=>(const Fault&) const = default;
  };
  // A polyline is known everywhere, beside corners too: it strays nowhere that segment_error() does not see.
  Fault fault_of(const DraftLoop& d) const {
    const std::size_t crossings = loop_.open() ? 0 : crossings_of(d).size();
    return {crossings > 0 && crosses_itself(loop_) ? 0 : crossings,
            loop_.exact() ? no_stray_px() : std::max(no_stray_px(), strayed_px(loop_, d))};
  }
  // Where a finer limit is held as well: what corners reach by less than unseen_px is not told from straying, and a
  // fit without corners would come nearest to a line that was rounded there.
  double no_stray_px() const { return straights_too * std::max(allowed_px(loop_), unseen_px); }

  // What still strays by the independent measure, which sees what lies beside corners too, or crosses itself: first
  // with all its corners, then without those where it crosses, then with those alone that lie on the line, then without
  // any: an outline that crosses itself is not delivered at all.
  void plainly_if_better(DraftLoop* d) const {
    const DraftLoop from = *d;
    Fault least = fault_of(from);
    std::vector<char> all(from.size(), 1), clear = all, on_line = all, none(from.size(), 0);
    if (least.crossings > 0)
      for (const Crossing& x : crossings_of(from))
        for (const std::size_t i : {x.first, from.next(x.first), x.second, from.next(x.second)}) clear[i] = 0;
    for (std::size_t i = 0; i < from.size(); ++i)
      on_line[i] = distance(from.nodes[i].at, loop_.curve.at(from.nodes[i].arc)) <= allowed_px(loop_);
    for (const std::vector<char>* kept : {&all, &clear, &on_line, &none}) {
      if (c_.stop.stop_requested() || least <= Fault{0, no_stray_px()}) return;
      if (kept == &none && least.crossings == 0) return;
      DraftLoop plain = fit_plainly(loop_, allowed_px(loop_), *kept, from, c_.stop);
      if (!keeps_pins(loop_, from, plain)) continue;
      if (const Fault fault = fault_of(plain); fault < least) least = fault, *d = std::move(plain);
    }
  }

  void move_tip(DraftLoop* d, std::size_t i, Point at) const {
    DraftLoop next = *d;
    next.nodes[i].at = next.nodes[i].anchor = at;
    for (const std::size_t s : {next.previous(i), i}) next.segments[s].level = next.segments[s].vertical = false;
    settle_angles(&next);
    fit_segments(loop_, &next, Window::around(next, i, 1, 0));
    const Window round = Window::around(*d, i, 3, 3);
    try_edit(c_, {std::move(next), round, round, {}, steps::none, allowance::mended, allowed_px(loop_)}, d);
  }

  struct Change {
    DraftLoop draft;
    double off_px = 1e300, cost_px = 1e300;
  };

  // Farthest first; where nothing helps the next one has its turn.
  bool mend_worst(DraftLoop* d) const {
    std::vector<std::pair<double, std::size_t>> far;
    for (std::size_t i = 0; i < d->size(); ++i)
      if (const double off = segment_error(loop_, *d, i).max_px; off > allowed_px(loop_)) far.emplace_back(off, i);
    std::sort(far.begin(), far.end(), [](const auto& a, const auto& b) { return a.first > b.first; });
    for (const auto& [off, i] : far) {
      Change best = best_change(*d, i);
      if (best.off_px > worth_making * off) continue;
      *d = std::move(best.draft);
      return true;
    }
    return false;
  }

  Change best_change(const DraftLoop& d, std::size_t segment) const {
    Change best;
    const double arc = segment_error(loop_, d, segment).worst_arc;
    const std::size_t end = d.next(segment);
    const auto is_corner = [&](std::size_t n) { return d.nodes[n].corner && !is_line_end(d, n); };
    for (const bool divide : {false, true})
      for (const auto treat : {&Mending::leave, &Mending::smooth, &Mending::put_on_line})
        for (const int ends : {1, 2, 3}) {
          if (treat == &Mending::leave && (ends > 1 || !divide)) continue;
          DraftLoop next = d;
          bool any = treat == &Mending::leave;
          if ((ends & 1) && is_corner(segment)) (this->*treat)(&next, segment), any = true;
          if ((ends & 2) && is_corner(end)) (this->*treat)(&next, end), any = true;
          if (!any || (divide && !put_node(&next, segment, arc))) continue;
          try_change(d, segment, std::move(next), &best);
        }
    return best;
  }

  void leave(DraftLoop*, std::size_t) const {}
  void smooth(DraftLoop* d, std::size_t i) const {
    for (const std::size_t s : {d->previous(i), i})
      if (d->segments[s].straight && !d->segments[s].way_back) make_cubic(d, s);
    d->nodes[i] = smooth_node(loop_, d->nodes[i].arc, Reason::added);
  }
  void put_on_line(DraftLoop* d, std::size_t i) const {
    DraftNode& node = d->nodes[i];
    node.at = node.anchor = loop_.curve.at(node.arc);
    node.zone_px = std::min(node.zone_px, loop_.rounding_px);
  }
  bool put_node(DraftLoop* d, std::size_t segment, double arc) const {
    const double before = loop_.curve.ahead(d->nodes[segment].arc, arc),
                 after = loop_.curve.ahead(arc, d->nodes[d->next(segment)].arc);
    if (std::min(before, after) < 1.5) return false;
    if (d->segments[segment].straight) make_cubic(d, segment);
    insert_node(d, segment, smooth_node(loop_, arc, Reason::added));
    return true;
  }

  void try_change(const DraftLoop& d, std::size_t segment, DraftLoop next, Change* best) const {
    settle_angles(&next);
    const std::size_t added = next.size() - d.size();
    const Window beside = Window::around(next, segment, 1, 1 + added);
    fit_segments(loop_, &next, beside);
    const auto off = [&] { return local_error(loop_, next, Window::around(next, segment, 3, 3 + added)).max_px; };
    const double fitted = off();
    if (fitted > allowed_px(loop_)) {
      DraftLoop solved = next;
      if (solve(c_, &solved, Window::around(next, segment, 1, 2 + added).flags(), {.rounds = 2}) &&
          local_error(loop_, solved, Window::around(solved, segment, 3, 3 + added)).max_px < fitted)
        next = std::move(solved);
    }
    if (!keeps_pins(loop_, d, next)) return;
    const double px = off(), cost = std::max(px, allowed_px(loop_)) + node_price * loop_.limit_px * double(added);
    if (cost < best->cost_px) *best = {std::move(next), px, cost};
  }

  const EditContext& c_;
  const SpacedLoop& loop_;
  const Plane<float>& ink_;
};

}  // namespace

Draft hold_limits(const SpacedLoops& loops, const Draft& draft, const Plane<float>& ink, const Options& options,
                  const std::stop_token& stop) {
  Draft out = draft;
  share_out_by_size(
      lengths_of(loops), options.threads,
      [&](std::size_t k) {
        if (stop.stop_requested()) return;
        const EditContext c{loops.loops[k], options.extremes == Options::Extremes::required, stop};
        Mending(c, ink).run(&out.loops[k]);
      },
      [](std::size_t) {});
  return out;
}

}  // namespace batten
