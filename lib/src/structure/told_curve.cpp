#include "structure/told_curve.h"

#include <algorithm>
#include <cmath>

#include "structure/pin_corners.h"
#include "structure/pin_reach.h"
#include "structure/pin_straights.h"

namespace batten {
namespace {

// What turns less on the loop is no proposal to go by (pin_corners.cpp).
constexpr double least_found_deg = 10;
// What find_corners accepts: nodes that lie two or three px off turn the sides of a letter by up to as much.
constexpr double least_told_deg = 24;
// Two turns of one corner are never farther apart than this, both sides together.
constexpr double most_unlike_deg = 120;
// Of the turn that the path tells: where the loop turns by less it has no corner, and the path just lies askew there.
constexpr double least_share = 0.5;
constexpr double same_corner_widths = 0.35;  // as in weigh_corners.cpp

double turn_of(const KnownCurve::Corner& c) { return std::abs(degrees(turn_between(c.into, c.out_of))); }
double unlike_deg(const KnownCurve::Corner& a, const Corner& b) {
  return std::abs(degrees(turn_between(a.into, b.into))) + std::abs(degrees(turn_between(a.out_of, b.out_of)));
}

double signed_turn_deg(const Corner& c) { return degrees(turn_between(c.into, c.out_of)); }
// Does the loop turn there as the path does?
bool turns_alike(const KnownCurve::Corner& told, const Corner& c) {
  const double way = turn_between(told.into, told.out_of) < 0 ? -1 : 1;
  return way * signed_turn_deg(c) >= std::max(least_found_deg, least_share * turn_of(told));
}

struct PossibleCorner {
  double cost = 0;
  std::size_t told = 0, found = 0;
};

// Pairs that may be one corner, the likeliest first.
std::vector<PossibleCorner> pairs_of(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& found) {
  std::vector<PossibleCorner> out;
  const double reach_px = 2 * corner_reach_px(loop);
  for (std::size_t i = 0; i < told.corners.size(); ++i)
    for (std::size_t j = 0; j < found.size(); ++j) {
      const double px = std::abs(loop.curve.signed_arc_px(loop.curve.wrap(told.corners[i].arc), found[j].arc));
      const double deg = unlike_deg(told.corners[i], found[j]);
      const bool seen = found[j].accepted || turn_of(told.corners[i]) >= least_told_deg;
      if (px > reach_px || deg > most_unlike_deg || !seen || !turns_alike(told.corners[i], found[j])) continue;
      // A scale off counts as much as sides that lean by half a right angle; what the ink accepted comes first.
      out.push_back({px / loop.scale_px + deg / 45 + (found[j].accepted ? 0 : 1), i, j});
    }
  std::stable_sort(out.begin(), out.end(),
                   [](const PossibleCorner& a, const PossibleCorner& b) { return a.cost < b.cost; });
  return out;
}

// Does the path turn there as sharply as a pencil line can show?
bool is_as_good(const SpacedLoop& loop, const std::vector<KnownCurve::Corner>& rounds, const Corner& c) {
  return std::any_of(rounds.begin(), rounds.end(), [&](const KnownCurve::Corner& r) {
    return std::abs(loop.curve.signed_arc_px(loop.curve.wrap(r.arc), c.arc)) < 2 * corner_reach_px(loop) &&
           unlike_deg(r, c) < most_unlike_deg && turn_of(r) >= least_share * c.turn_deg && turns_alike(r, c);
  });
}

}  // namespace

bool can_tell(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& found) {
  constexpr double most_unseen = 0.25;
  std::vector<char> seen(told.corners.size(), 0);
  for (const PossibleCorner& pair : pairs_of(loop, told, found)) seen[pair.told] = 1;
  std::size_t sharp = 0, unseen = 0;
  for (std::size_t i = 0; i < told.corners.size(); ++i) {
    if (turn_of(told.corners[i]) < least_told_deg) continue;
    ++sharp;
    if (!seen[i] && !turns_alike(told.corners[i], corner_near(loop, loop.curve.wrap(told.corners[i].arc)))) ++unseen;
  }
  return double(unseen) <= std::max(1.0, most_unseen * double(sharp));
}

std::vector<Corner> told_corners(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& found) {
  std::vector<char> placed(told.corners.size(), 0), taken(found.size(), 0);
  for (const PossibleCorner& pair : pairs_of(loop, told, found))
    if (!placed[pair.told] && !taken[pair.found]) placed[pair.told] = taken[pair.found] = 1;
  std::vector<Corner> out = found;
  for (std::size_t j = 0; j < found.size(); ++j) {
    if (!taken[j] && !(found[j].accepted && is_as_good(loop, told.rounds, found[j])))
      out[j] = no_corner(found[j]);
    else if (!found[j].accepted && taken[j])
      out[j] = certain_corner(found[j]);
  }
  for (std::size_t i = 0; i < told.corners.size(); ++i) {
    if (placed[i] || turn_of(told.corners[i]) < least_told_deg) continue;
    const Corner c = corner_near(loop, loop.curve.wrap(told.corners[i].arc));
    if (!turns_alike(told.corners[i], c)) continue;
    const bool is_there = std::any_of(out.begin(), out.end(), [&](const Corner& k) {
      return k.accepted && distance(k.apex, c.apex) < same_corner_widths * loop.scale_px;
    });
    if (!is_there) out.push_back(c);
  }
  std::stable_sort(out.begin(), out.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  return out;
}

std::vector<Straight> told_straights(const SpacedLoop& loop, const KnownCurve& told, const std::vector<Corner>& corners,
                                     const std::vector<Straight>& found) {
  constexpr double enough = 0.6;  // beside its ends a straight is cut short where it runs into a round
  // One straight wavers farther than a curve; more is no straight, whatever the path says (pins may ask for more).
  constexpr double wavers_limits = 1.4;
  SpacedLoop asked = loop;
  asked.pins = {};
  asked.limit_px = wavers_limits / most_bent_limits * loop.limit_px;
  const auto is_corner = [&](double arc) {
    return std::any_of(corners.begin(), corners.end(), [&](const Corner& c) {
      return c.accepted && std::abs(loop.curve.signed_arc_px(loop.curve.wrap(arc), c.arc)) < corner_reach_px(loop);
    });
  };
  constexpr double seen_limits = 6;  // as in curve_loop.cpp: shorter, and it may be part of the curves beside it
  for (const KnownCurve::Straight& k : told.straights) {
    const bool is_long = k.to - k.from > seen_limits * loop.limit_px;
    if (!is_long && !(is_corner(k.from) && is_corner(k.to))) continue;
    const double length_px = k.to - k.from;
    double covered_px = 0;
    for (const Straight& s : found) {
      const double begin = k.from + loop.curve.signed_arc_px(loop.curve.wrap(k.from), loop.curve.wrap(s.from));
      covered_px += std::max(0.0, std::min(k.to, begin + s.length_px()) - std::max(k.from, begin));
    }
    if (covered_px < enough * length_px) asked.pins.straights.push_back({k.from, k.to, Pin::Along::any});
  }
  if (asked.pins.straights.empty()) return found;
  std::vector<Straight> out = pin_straights(asked, corners, found);
  for (Straight& s : out) s.pin = -1;
  return out;
}

}  // namespace batten
