#include "corners/weigh_corners.h"

#include <algorithm>

#include "corners/band_ink.h"
#include "corners/corner_arms.h"
#include "corners/corner_places.h"
#include "corners/tip_support.h"

namespace batten {
namespace {

constexpr double apart_from = 0.5;    // its neighbours were no corner either: the odds must speak for it by themselves
constexpr double fused_widths = 1.5;  // what the 71 places of is_fused() were picked by; shorter ones were not counted
constexpr double step_turn_deg = 45;
constexpr double same_corner_widths = 0.35;
constexpr double least_turn_deg = 24;  // what find_corners accepts

// What the odds of one place make of its candidates.
class PlaceDecision {
 public:
  PlaceDecision(const SpacedLoop& loop, const std::vector<Corner>& candidates, const CornerPlace& place,
                const Plane<float>& ink)
      : loop_(loop), candidates_(candidates), place_(place), ink_(ink) {}

  std::vector<Corner> corners() const {
    const PlaceFacts& f = place_.facts;
    if (!place_.read || !f.two.valid || !f.round.valid) return unchanged();
    const CornerOdds odds = odds_of(evidence_of(f));
    if (is_fused()) {
      std::vector<Corner> out = one(unless_against(odds.one));
      if (!out.empty()) return out;
    }
    if (place_.apart && !(candidates_[place_.candidates[0]].accepted && odds.one > apart_from))
      return rejected(odds.none);
    if (odds.two > two_from || is_step()) {
      std::vector<Corner> out = two(unless_against(odds.two));
      if (!out.empty()) return out;
    }
    if (odds.one > one_from * (odds.one + odds.none) && (f.one.valid || place_.tip.valid || place_.wedge.valid)) {
      std::vector<Corner> out = one(odds.one);
      if (!out.empty()) return out;
    }
    return rejected(odds.none);
  }

 private:
  // What its shape decides alone may have the odds against it: then they are no certainty.
  static std::optional<double> unless_against(double odds) {
    return odds > 0.5 ? std::optional<double>(odds) : std::nullopt;
  }
  std::vector<Corner> rejected(double certainty) const {
    std::vector<Corner> out = unchanged();
    for (Corner& c : out) {
      c.accepted = false, c.certainty = certainty;
      if (certainty > 0.65) c.weighed_abruptness = std::max(c.abruptness, 0.8);
    }
    return out;
  }
  std::vector<Corner> unchanged() const {
    std::vector<Corner> out;
    for (std::size_t i : place_.candidates) out.push_back(candidates_[i]);
    return out;
  }
  // A step in a side: two abrupt turns, one back from the other, that the loop itself keeps apart. The odds know steps
  // mostly from sides that waver, where neither turn is abrupt.
  bool is_step() const {
    if (place_.candidates.size() != 2 || place_.facts.one.valid) return false;
    const Corner &a = candidates_[place_.candidates[0]], &b = candidates_[place_.candidates[1]];
    const bool back = cross(a.into, a.out_of) * cross(b.into, b.out_of) < 0;
    return back && a.accepted && b.accepted && std::min(a.turn_deg, b.turn_deg) > step_turn_deg &&
           place_.facts.two.square_sum < place_.facts.round.square_sum;
  }
  // Sides that draw nearer and nearer over that long end in one point, whatever the round of their common end looks
  // like from near by: of 71 such places (13 typefaces) 70 were corners.
  bool is_fused() const {
    const CornerHypothesis& w = place_.wedge;
    return w.valid && w.fused_px > fused_widths * width() && turn_of(w) > fused_turn_deg;
  }
  double width() const { return place_.facts.band_px; }

  bool has_ink(Point p) const { return ink_near(ink_, p, tip_near_widths * width()) > tip_ink_share * place_.ink_peak; }
  // The apex, brought back towards the loop until there is ink.
  Point with_ink(Point apex, Point loop_point) const {
    for (double f = 0; f <= 1; f += 0.125) {
      const Point p = apex + f * (loop_point - apex);
      if (has_ink(p)) return p;
    }
    return loop_point;
  }
  Corner at(Point apex, double arc, Point into, Point out_of, std::optional<double> certainty) const {
    Corner c;
    c.arc = loop_.curve.wrap(arc);
    c.apex = with_ink(apex, loop_.curve.at(arc));
    c.into = into, c.out_of = out_of;
    c.turn_deg = std::abs(degrees(turn_between(into, out_of)));
    c.abruptness = place_.facts.abruptness;
    c.weighed_abruptness = std::min(c.abruptness, certainty > 0.8 ? 0.35 : 0.5);
    c.certainty = certainty;
    c.zone_px = corner_zone_px(loop_, c.turn_deg);
    c.accepted = c.turn_deg > least_turn_deg && is_shown_by_line(loop_, c);
    return c;
  }
  double middle_arc() const { return place_.first_arc + 0.5 * loop_.curve.ahead(place_.first_arc, place_.last_arc); }
  double arc_near(Point p) const {
    const double span = loop_.curve.ahead(place_.first_arc, place_.last_arc);
    return nearest_arc(loop_.curve, p, middle_arc(), 0.5 * span + 2.5 * width());
  }

  // A tip that lies farther off than the loop's own turn explains was fitted to the ink of another line. Tips that were
  // right lay at 0.7 of that at most (375 corners); sides that were fused lie farther off, and are known to be.
  bool is_led_astray(const CornerHypothesis& tip) const {
    if (&tip != &place_.tip) return false;
    double turn_deg = 0;
    for (const std::size_t i : place_.candidates) turn_deg = std::max(turn_deg, candidates_[i].turn_deg);
    return distance(tip.first, loop_.curve.at(arc_near(tip.first))) > farthest_apex_px(loop_, turn_deg);
  }
  std::vector<Corner> one(std::optional<double> certainty) const {
    const CornerHypothesis& first = place_.facts.one;
    const CornerHypothesis& tip =
        place_.wedge.valid && (!place_.tip.valid || turn_of(place_.wedge) > fused_turn_deg) ? place_.wedge : place_.tip;
    const bool sharp = tip.valid && (turn_of(first) > acute_turn_deg || !first.valid);
    const CornerHypothesis& r = sharp && !(first.valid && is_led_astray(tip)) ? tip : first;
    Corner c = at(r.first, arc_near(r.first), r.into, r.out_of, certainty);
    if (!c.accepted) return {};
    return {c};
  }
  std::vector<Corner> two(std::optional<double> certainty) const {
    const CornerHypothesis& r = place_.facts.two;
    const double side = distance(r.first, r.second);
    if (side < same_corner_widths * width()) return {};
    const Point along = unit(r.second - r.first);
    double a = arc_near(r.first), b = arc_near(r.second);
    if (loop_.curve.signed_arc_px(a, b) < 0.5 * side) {  // the loop cuts the two short: keep their order
      const double mid = a + 0.5 * loop_.curve.signed_arc_px(a, b);
      a = mid - 0.3 * side, b = mid + 0.3 * side;
    }
    Corner c = at(r.first, a, r.into, along, certainty), d = at(r.second, b, along, r.out_of, certainty);
    if (!c.accepted || !d.accepted) return {};
    return {c, d};
  }

  const SpacedLoop& loop_;
  const std::vector<Corner>& candidates_;
  const CornerPlace& place_;
  const Plane<float>& ink_;
};

// The arms of a filled shape are known to a fraction of a pixel, but two that nearly run alike may meet far out: no
// farther than the ink.
void clip_tips(const SpacedLoop& loop, const Plane<float>& ink, std::vector<Corner>* corners) {
  FillInk fill;
  for (Corner& c : *corners) {
    if (!c.accepted || c.turn_deg < acute_turn_deg) continue;
    if (fill.level == 0) fill = fill_ink(loop.curve, ink);
    const bool turns_left = cross(c.into, c.out_of) > 0;  // towards left_of(travel)
    c.apex = supported_tip(ink, fill, c.apex, loop.curve.at(c.arc), c.turn_deg, turns_left == fill.inside_left);
  }
}

// Where two neighbouring places found the same corner the more certain one stays; one without odds counts as even.
void drop_doubles(const SpacedLoop& loop, std::vector<Corner>* corners) {
  std::vector<Corner> kept;
  for (const Corner& c : *corners) {
    bool drop = false;
    for (Corner& k : kept)
      if (c.accepted && k.accepted && distance(c.apex, k.apex) < same_corner_widths * loop.band_px &&
          std::abs(loop.curve.signed_arc_px(c.arc, k.arc)) < 2 * loop.band_px) {
        if (c.certainty.value_or(0.5) > k.certainty.value_or(0.5)) k = c;
        drop = true;
      }
    if (!drop) kept.push_back(c);
  }
  *corners = std::move(kept);
}

}  // namespace

Result<Corners> weigh_corners(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                              Progress& progress, int threads) {
  if (ink.empty()) return corners;
  const std::vector<CornerPlace> places = corner_places(loops, corners, ink, progress, threads);
  if (progress.stopped()) return progress.cancelled();
  Corners out = corners;
  for (std::size_t i = 0; i < loops.loops.size(); ++i) {
    if (progress.stopped()) return progress.cancelled();
    const SpacedLoop& loop = loops.loops[i];
    if (loop.sort() != LoopSort::pencil_band) {
      clip_tips(loop, ink, &out.of_loop[i]);
      continue;
    }
    std::vector<Corner> weighed;
    for (const CornerPlace& p : places)
      if (p.loop == i)
        for (const Corner& c : PlaceDecision(loop, corners.of_loop[i], p, ink).corners()) weighed.push_back(c);
    std::stable_sort(weighed.begin(), weighed.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
    drop_doubles(loop, &weighed);
    out.of_loop[i] = std::move(weighed);
  }
  return out;
}

}  // namespace batten
