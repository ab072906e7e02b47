#include "straighten/cut_tangles.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "fit/window.h"
#include "refine/edit_draft.h"
#include "refine/untangle.h"

namespace batten {
namespace {

constexpr double longest_widths = 3;  // a round drawn by hand is at least a width across, and that is 3 widths round
constexpr double least_width_px = 4;

double longest_px(const SpacedLoop& loop) { return longest_widths * std::max(least_width_px, loop.band_px); }

// Where two segments cross, as parameters.
struct Place {
  double first_t, second_t;
};

std::optional<double> share_at(Point a, Point b, Point c, Point d) {
  const double den = cross(b - a, d - c);
  if (den == 0) return std::nullopt;
  const double s = cross(c - a, d - c) / den, t = cross(c - a, b - a) / den;
  if (s < 0 || s > 1 || t < 0 || t > 1) return std::nullopt;
  return s;
}

// Of several crossings the one nearest to where the two segments lie apart along the outline: it cuts off most.
std::optional<Place> crossing_of(const DraftLoop& d, std::size_t first, std::size_t second) {
  constexpr int chords = 48;
  const Cubic a = cubic_of(d, first), b = cubic_of(d, second);
  const auto at = [&](const Cubic& c, int k) { return evaluate(c, double(k) / chords); };
  for (int i = 0; i < chords; ++i)
    for (int k = chords; k-- > (first == second ? i + 2 : 0);) {
      const bool shared_node = first != second && d.next(first) == second && i + 1 == chords && k == 0;
      const bool shared_back = first != second && d.next(second) == first && i == 0 && k + 1 == chords;
      if (shared_node || shared_back) continue;
      const auto s = share_at(at(a, i), at(a, i + 1), at(b, k), at(b, k + 1));
      if (!s) continue;
      const auto t = share_at(at(b, k), at(b, k + 1), at(a, i), at(a, i + 1));
      return Place{(i + *s) / chords, (k + t.value_or(0.5)) / chords};
    }
  return std::nullopt;
}

void put_cubic(const Cubic& c, DraftSegment* s) {
  if (s->straight) return;
  s->start = {distance(c[0], c[1]), angle_of(start_tangent(c)), false};
  s->end = {distance(c[2], c[3]), angle_of(end_tangent(c)), false};
}

// The draft without what lies between the crossing on `first` and that on `second`, which is not before it; empty where
// that is too long.
std::optional<DraftLoop> without_loop(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t second,
                                      const Place& at) {
  const auto [before, rest] = split(cubic_of(d, first), at.first_t);
  const auto [end, after] = split(cubic_of(d, second), at.second_t);
  double between_px =
      first == second ? length(cubic_of(d, first)) - length(before) - length(after) : length(rest) + length(end);
  for (std::size_t i = first + 1; i < second; ++i) between_px += length(cubic_of(d, i));
  if (between_px > longest_px(loop) || (!loop.open() && d.size() < second - first + 3)) return std::nullopt;
  DraftNode node;
  node.at = node.anchor = before[3];
  const double from = d.nodes[first].arc, ahead = loop.curve.ahead(from, d.nodes[d.next(second)].arc);
  node.arc = nearest_arc(loop.curve, node.at, loop.curve.wrap(from + 0.5 * ahead), 0.5 * ahead);
  node.corner = true, node.reason = Reason::corner;
  node.zone_px = 2 * loop.rounding_px;
  DraftLoop out = d;
  if (first == second) {
    insert_node(&out, first, node);
  } else {
    out.nodes.erase(out.nodes.begin() + std::ptrdiff_t(first) + 2, out.nodes.begin() + std::ptrdiff_t(second) + 1);
    out.segments.erase(out.segments.begin() + std::ptrdiff_t(first) + 1, out.segments.begin() + std::ptrdiff_t(second));
    out.nodes[first + 1] = node;
  }
  put_cubic(before, &out.segments[first]);
  put_cubic(after, &out.segments[first + 1]);
  for (DraftSegment* s : {&out.segments[first], &out.segments[first + 1]}) s->level = s->vertical = false;
  settle_angles(&out);
  if (turn_at_deg(out, first + 1) < weakest_corner_deg && !touches_straight(out, first + 1)) {
    DraftNode& n = out.nodes[first + 1];
    n.corner = false, n.reason = Reason::added, n.zone_px = 0;
    n.angle = angle_of(direction(end_angle(out, first)) + direction(start_angle(out, first + 1)));
    settle_angles(&out);
  }
  return out;
}

// Begins at another node, so that a loop over the end of the list lies within it.
void turn_round(std::size_t first, DraftLoop* d) {
  std::rotate(d->nodes.begin(), d->nodes.begin() + std::ptrdiff_t(first), d->nodes.end());
  std::rotate(d->segments.begin(), d->segments.begin() + std::ptrdiff_t(first), d->segments.end());
}

// Is what lies between the two segments, along the located line, too long for a small loop?
bool lie_far_apart(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t second) {
  if (first == second || d.next(first) == second) return false;
  return loop.curve.ahead(d.nodes[d.next(first)].arc, d.nodes[second].arc) > longest_px(loop);
}

bool cut_one(const SpacedLoop& loop, double allowed_px, const std::stop_token& stop, DraftLoop* d) {
  const std::vector<Crossing> crossings = crossings_of(*d);
  for (const Crossing& x : crossings)
    for (const bool over_the_end : {false, true}) {
      if (over_the_end && (loop.open() || x.first == x.second)) continue;
      DraftLoop from = *d;
      std::size_t first = x.first, second = x.second;
      if (stop.stop_requested()) return false;
      if (lie_far_apart(loop, *d, over_the_end ? x.second : x.first, over_the_end ? x.first : x.second)) continue;
      if (over_the_end) turn_round(second, &from), first = 0, second = x.first + d->size() - x.second;
      const auto at = crossing_of(from, first, second);
      if (!at) continue;
      auto next = without_loop(loop, from, first, second, *at);
      if (!next || crossings_of(*next).size() >= crossings.size()) continue;
      const Window was(from, first, second - first + 1), is(*next, first, 2);
      EditCandidate cut{std::move(*next), was, is, {}, steps::none, allowance::mended, allowed_px};
      auto held = judge_edit({loop, true, stop}, from, std::move(cut));
      if (!held) continue;
      *d = std::move(*held);
      return true;
    }
  return false;
}

}  // namespace

bool cut_tangles(const SpacedLoop& loop, double allowed_px, const std::stop_token& stop, DraftLoop* d) {
  constexpr int most = 20;  // of one outline
  bool changed = false;
  for (int k = 0; k < most && cut_one(loop, allowed_px, stop, d); ++k) changed = true;
  return changed;
}

}  // namespace batten
