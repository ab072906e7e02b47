#include "corners/corner_places.h"

#include <algorithm>

#include "base/parallel.h"

namespace batten {
namespace {

constexpr double cluster_gap_widths = 2, cluster_span_widths = 3.2;
constexpr double least_place_turn_deg = 50;  // gentler turns are told by the loop alone
constexpr double limiting_turn_deg = 20;     // a candidate that turns more ends the arms of its neighbours
constexpr double certain_turn_deg = 45;      // gentler: perhaps only the bend of middles that have run together
constexpr double longest_arm_widths = 7;
constexpr double window_widths = 2.5;
constexpr double own_stretch_widths = 6;
constexpr double farthest_tip_widths = 6;  // beyond where the arms begin: 160 degrees bring the bands apart by then
constexpr int tip_rounds = 4;
constexpr double most_left_over = 2.5;  // corners leave up to 2.3 times as much, ends of serifs 2.8 and more
constexpr double nothing_from = 0.6;    // odds of no corner from which a cluster is taken apart

// Arc lengths from a place's ends to the neighbouring places, or to the ends of an open line.
struct PlaceRoom {
  double back_px = 0, ahead_px = 0;
  bool to_start = false, to_end = false;  // of the line: nothing lies between
};

// Where on the relocated loop the arms begin: a gap before arc `from` and after arc `to`.
struct ArmStarts {
  double from = 0, to = 0, gap_px = 0;
};

// What lies on the sheet, and what its places ask of it.
class Sheet {
 public:
  Sheet(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink, const LoopIndex& index)
      : loops_(loops), corners_(corners), ink_(ink), index_(index) {}

  const SpacedLoop& loop_of(const CornerPlace& p) const { return loops_.loops[p.loop]; }
  const ArcLoop& relocated(const CornerPlace& p) const { return corners_.relocated[p.loop]; }
  double relocated_arc(const CornerPlace& p, double arc) const {
    const ArcLoop &curve = loop_of(p).curve, &sharp = relocated(p);
    return nearest_arc(sharp, curve.at(arc), arc * sharp.drawn_px() / curve.drawn_px(), 3 * loop_of(p).band_px);
  }
  std::vector<CornerPlace> places_of(std::size_t loop) const;
  std::vector<CornerPlace> taken_apart(const std::vector<CornerPlace>& all) const;
  PlaceRoom room_of(const CornerPlace& p) const;
  BandProfile typical_profile(double band_px) const;
  // Empty where the window holds too little.
  std::optional<CornerScene> scene(const CornerPlace& p, const PencilInk& pencil, const ArmStarts& starts,
                                   Point centre) const;
  CornerHypothesis wedge(const CornerPlace& p, const PencilInk& pencil, const InkWindow& judged,
                         double least_turn_deg) const {
    return fit_wedge(loop_of(p), index_, ink_, pencil, wedge_of(p), judged, least_turn_deg);
  }

 private:
  std::vector<const Corner*> neighbours_of(const CornerPlace& p) const;
  WedgePlace wedge_of(const CornerPlace& p) const;
  BandProfile arm_profile(std::size_t loop, const Arm& arm, double arc, int sign, double length_px,
                          const PencilInk& pencil) const;

  const SpacedLoops& loops_;
  const Corners& corners_;
  const Plane<float>& ink_;
  const LoopIndex& index_;
};

void add_candidate(CornerPlace* p, std::size_t index, const Corner& c) {
  p->facts.abruptness = p->candidates.empty() ? c.abruptness : std::min(p->facts.abruptness, c.abruptness);
  p->candidates.push_back(index);
  p->last_arc = c.arc;
  p->facts.several = p->candidates.size() > 1;
  p->turn_deg = std::max(p->turn_deg, c.turn_deg);
}

CornerPlace place_at(std::size_t loop, double band_px, double arc) {
  CornerPlace p;
  p.loop = loop, p.first_arc = p.last_arc = arc, p.facts.band_px = band_px;
  return p;
}

std::vector<CornerPlace> Sheet::places_of(std::size_t loop) const {
  const SpacedLoop& l = loops_.loops[loop];
  const std::vector<Corner>& c = corners_.of_loop[loop];
  // Begin after the widest gap, so that no cluster is cut in two.
  std::size_t begin = 0;
  double widest = -1;
  for (std::size_t i = 0; i < c.size() && c.size() > 1; ++i) {
    const double gap = l.curve.ahead(c[(i + c.size() - 1) % c.size()].arc, c[i].arc);
    if (gap > widest) widest = gap, begin = i;
  }
  std::vector<CornerPlace> out;
  for (std::size_t k = 0; k < c.size(); ++k) {
    const std::size_t i = (begin + k) % c.size();
    const bool joins = !out.empty() && l.curve.ahead(out.back().last_arc, c[i].arc) < cluster_gap_widths * l.band_px &&
                       l.curve.ahead(out.back().first_arc, c[i].arc) < cluster_span_widths * l.band_px;
    if (!joins) out.push_back(place_at(loop, l.band_px, c[i].arc));
    add_candidate(&out.back(), i, c[i]);
  }
  return out;
}

// A corner that stands beside a tight round is no corner together with it: such candidates are looked at one by one.
std::vector<CornerPlace> Sheet::taken_apart(const std::vector<CornerPlace>& all) const {
  std::vector<CornerPlace> out;
  for (const CornerPlace& p : all) {
    const bool whole = !p.facts.several || !p.read || !p.facts.two.valid || !p.facts.round.valid ||
                       odds_of(evidence_of(p.facts)).none < nothing_from;
    if (whole) {
      out.push_back(p);
      continue;
    }
    for (std::size_t i : p.candidates) {
      const Corner& c = corners_.of_loop[p.loop][i];
      out.push_back(place_at(p.loop, p.facts.band_px, c.arc));
      add_candidate(&out.back(), i, c);
      out.back().apart = true;
    }
  }
  return out;
}

// The loop's other candidates that turn enough to end the arms of a place.
std::vector<const Corner*> Sheet::neighbours_of(const CornerPlace& p) const {
  std::vector<const Corner*> out;
  const std::vector<Corner>& c = corners_.of_loop[p.loop];
  for (std::size_t i = 0; i < c.size(); ++i)
    if (c[i].turn_deg >= limiting_turn_deg && std::count(p.candidates.begin(), p.candidates.end(), i) == 0)
      out.push_back(&c[i]);
  return out;
}

PlaceRoom Sheet::room_of(const CornerPlace& p) const {
  const ArcLoop& curve = loop_of(p).curve;
  PlaceRoom out{curve.length_px() / 2, curve.length_px() / 2};
  if (curve.open()) out = {p.first_arc, curve.line_px - p.last_arc, true, true};
  for (const Corner* c : neighbours_of(p)) {
    const double back_px = curve.ahead(c->arc, p.first_arc), ahead_px = curve.ahead(p.last_arc, c->arc);
    if (back_px < out.back_px) out.back_px = back_px, out.to_start = false;
    if (ahead_px < out.ahead_px) out.ahead_px = ahead_px, out.to_end = false;
  }
  return out;
}

WedgePlace Sheet::wedge_of(const CornerPlace& p) const {
  const ArcLoop& curve = loop_of(p).curve;
  const double mid = p.first_arc + 0.5 * curve.ahead(p.first_arc, p.last_arc), gap = neighbour_widths * p.facts.band_px;
  WedgePlace out{int(p.loop), mid, curve.length_px() / 2, curve.length_px() / 2, {}};
  if (curve.open()) out.back_px = mid, out.ahead_px = curve.line_px - mid;
  for (const Corner* c : neighbours_of(p)) {
    if (c->turn_deg < certain_turn_deg) {
      out.weak_turns.push_back(c->arc);
    } else {
      out.back_px = std::min(out.back_px, curve.ahead(c->arc, mid) - gap);
      out.ahead_px = std::min(out.ahead_px, curve.ahead(mid, c->arc) - gap);
    }
  }
  return out;
}

// The mean ink across all loops of one band width, away from corners and other loops.
BandProfile Sheet::typical_profile(double band_px) const {
  for (const double clear_widths : {2.5, 1.2}) {
    std::vector<LinePlace> places;
    for (std::size_t j = 0; j < loops_.loops.size(); ++j) {
      const SpacedLoop& l = loops_.loops[j];
      if (l.band_px != band_px || l.sort() != LoopSort::pencil_band) continue;
      for (double arc = 0; arc < l.curve.drawn_px(); arc += std::max(2.0, band_px / 4)) {
        const bool corner = std::any_of(corners_.of_loop[j].begin(), corners_.of_loop[j].end(), [&](const Corner& c) {
          return std::abs(l.curve.signed_arc_px(c.arc, arc)) < clear_widths * band_px;
        });
        const Point p = l.curve.at(arc);
        if (corner || index_.foreign_near(p, 2.5 * band_px, int(j), arc, 6 * band_px)) continue;
        places.push_back({p, unit(l.curve.at(arc + 2) - l.curve.at(arc - 2))});
      }
    }
    if (places.size() >= 12) return symmetric(profile_across(ink_, places, band_px));
  }
  return {};
}

// The band's ink in the first part of an arm that leads to the corner and begins at `arc`; the loop leaves the corner
// in the direction `sign` of its travel.
BandProfile Sheet::arm_profile(std::size_t loop, const Arm& arm, double arc, int sign, double length_px,
                               const PencilInk& pencil) const {
  const double w = pencil.band_px;
  std::vector<LinePlace> places;
  for (double u = 0; u <= std::min(length_px, profile_widths * w); u += std::max(1.0, w / 8)) {
    const Point p = along(arm, -u);
    if (!index_.foreign_near(p, 1.5 * w, int(loop), arc + sign * u, 6 * w)) places.push_back({p, heading(arm, -u)});
  }
  return side_profile(ink_, places, pencil);
}

std::optional<CornerScene> Sheet::scene(const CornerPlace& p, const PencilInk& pencil, const ArmStarts& starts,
                                        Point centre) const {
  const ArcLoop& sharp = relocated(p);
  const double w = pencil.band_px;
  const PlaceRoom room = room_of(p);
  const double g0 = std::min(starts.gap_px, 0.5 * room.back_px), g1 = std::min(starts.gap_px, 0.5 * room.ahead_px);
  const double l0 = std::clamp(room.back_px - g0 - 0.45 * w, 0.6 * w, longest_arm_widths * w);
  const double l1 = std::clamp(room.ahead_px - g1 - 0.45 * w, 0.6 * w, longest_arm_widths * w);
  const double end0 = starts.from - g0, end1 = starts.to + g1;
  const Arm a = fit_arm(sharp, end0 - l0, end0, true, w), b = fit_arm(sharp, end1, end1 + l1, false, w);
  const double span = loop_of(p).curve.ahead(p.first_arc, p.last_arc);
  const auto own_px = [&](double free_px, bool to_end) {
    return std::min(free_px + (to_end ? 1 : -neighbour_widths) * w, own_stretch_widths * w);
  };
  const OwnStretch own{int(p.loop), p.first_arc, own_px(room.back_px, room.to_start),
                       own_px(room.ahead_px, room.to_end) + span};
  std::vector<Point> run_on;
  double u = 0, v = 0;
  if (meet(a, b, farthest_tip_widths * w, &u, &v)) {
    for (double s = 0; s < u; s += 0.25 * w) run_on.push_back(along(a, s));
    for (double s = 0; s < v; s += 0.25 * w) run_on.push_back(along(b, -s));
  }
  const Arm towards{b.base, -1 * b.tangent, -b.curvature};  // led towards the corner like the one before it
  CornerScene out{ink_window(ink_, index_, own, centre, w, window_widths * w, run_on),
                  {{{a, arm_profile(p.loop, a, end0, -1, l0, pencil), l0},
                    {towards, arm_profile(p.loop, towards, end1, 1, l1, pencil), l1}}},
                  &pencil};
  if (out.window.samples.size() <= too_few_samples) return {};
  return out;
}

double first_gap_px(const CornerPlace& p, double w) {
  if (p.facts.several) return 0.5 * w;
  const double s = std::min(p.facts.abruptness, 1.2);
  return (0.45 + std::sqrt(std::max(s * s - 0.09, 0.0))) * w;  // two steps L apart look like one of width L/2
}

// Scenes by which a drawing's own pencil is measured: up to 16 of its corners, plain ones first.
std::vector<CornerScene> teaching_scenes(const Sheet& sheet, const std::vector<CornerPlace>& all,
                                         const PencilInk& pencil) {
  const double w = pencil.band_px;
  std::vector<CornerScene> out;
  std::size_t tried = 0;
  for (const bool plain_only : {true, false}) {
    for (const CornerPlace& p : all) {
      if (p.facts.band_px != w || p.facts.several || tried >= 16) continue;
      const PlaceRoom room = sheet.room_of(p);
      const double free_widths = std::min(room.back_px, room.ahead_px) / w;
      const bool plain = p.turn_deg > 60 && p.turn_deg < 115 && free_widths > 4;
      if (p.facts.abruptness > 0.5 || plain_only != plain) continue;  // a round would teach wrong ends
      if (p.turn_deg < 40 || p.turn_deg > 130 || free_widths < 2) continue;
      const double arc = sheet.relocated_arc(p, p.first_arc);
      ++tried;
      if (auto s = sheet.scene(p, pencil, {arc, arc, first_gap_px(p, w)}, sheet.relocated(p).at(arc)))
        out.push_back(std::move(*s));
    }
    if (out.size() >= 2) break;
  }
  return out;
}

// The drawing's own ends of strokes, and what a right hypothesis leaves over, from its plain corners.
void measure_pencil(const Sheet& sheet, const std::vector<CornerPlace>& all, const std::stop_token& stop,
                    PencilInk* pencil) {
  const double peak = pencil->profile.peak();
  pencil->sample_variance = 0.02 * peak * peak;
  const std::vector<CornerScene> scenes = teaching_scenes(sheet, all, *pencil);
  if (scenes.empty()) return;
  double best = 1e300;
  for (double start = -0.5; start <= 0.41 && !stop.stop_requested(); start += 0.1)
    for (double width : {0.08, 0.15, 0.3, 0.45, 0.6, 0.8}) {
      double sum = 0;  // of logarithms: one place that is no corner must not outweigh the others
      for (const CornerScene& s : scenes) {
        const double r = one_corner_residual(s, {start, width});
        if (r >= 0) sum += std::log(r + 1e-9);
      }
      if (sum < best) best = sum, pencil->fade = {start, width};
    }
  std::vector<double> left;
  for (const CornerScene& s : scenes)
    if (const CornerHypothesis one = fit_one_corner(s); one.valid)
      left.push_back(one.square_sum / double(s.window.samples.size()));
  if (left.empty()) return;
  std::nth_element(left.begin(), left.begin() + std::ptrdiff_t(left.size() / 2), left.end());
  pencil->sample_variance = std::max(left[left.size() / 2], 1e-6);
}

// One corner again, its arms taken from beyond where the two bands run into one another and its window moved to where
// the corner was found, until it rests.
CornerHypothesis fit_tip(const Sheet& sheet, const PencilInk& pencil, const CornerPlace& p, double mid) {
  const double w = pencil.band_px;
  const ArcLoop& sharp = sheet.relocated(p);
  CornerHypothesis tip, last = p.facts.one;
  // Arms that begin on the rounded tip itself need not meet: farther out they do.
  for (const double gap_widths : {1.2, 2.0, 3.0}) {
    if (last.valid) break;
    const auto s = sheet.scene(p, pencil, {mid, mid, gap_widths * w}, sharp.at(mid));
    if (!s) break;
    tip = last = fit_one_corner(*s);
  }
  if (!last.valid) return {};
  for (int round = 0; round < tip_rounds && turn_of(last) > acute_turn_deg; ++round) {
    const double apex = nearest_arc(sharp, last.first, mid, 2 * w);
    const auto s = sheet.scene(p, pencil, {apex, apex, arm_gap_px(w, turn_of(last))}, last.first);
    if (!s) break;
    const CornerHypothesis next = fit_one_corner(*s);
    if (!next.valid) break;
    tip = next;
    if (distance(tip.first, last.first) < 0.1 * w) break;
    last = tip;
  }
  return tip;
}

// The better of the two ways to fit one corner stands for it. But a wedge that leaves that much more ink than the other
// hypotheses goes round something: the end of a serif, a tight round.
void take_wedge_for_one(CornerPlace* p) {
  PlaceFacts& f = p->facts;
  CornerHypothesis& wedge = p->wedge;
  if (!wedge.valid) return;
  if (wedge.square_sum > most_left_over * std::min(f.two.square_sum, f.round.square_sum))
    wedge.valid = false;
  else if (!f.one.valid || (turn_of(wedge) > fused_turn_deg && wedge.square_sum < f.one.square_sum))
    f.one = wedge;
}

void read_place(const Sheet& sheet, const PencilInk& pencil, CornerPlace* p) {
  const double w = pencil.band_px;
  const ArcLoop& sharp = sheet.relocated(*p);
  const double from = sheet.relocated_arc(*p, p->first_arc), to = sheet.relocated_arc(*p, p->last_arc);
  const double span = sharp.ahead(from, to), mid = from + 0.5 * span;
  const auto scene = sheet.scene(*p, pencil, {from, from + span, first_gap_px(*p, w)}, sharp.at(mid));
  if (!scene) return;
  p->read = true, p->ink_peak = pencil.profile.peak();
  p->facts.one = fit_one_corner(*scene);
  p->facts.two = fit_two_corners(*scene);
  p->facts.round = fit_round(*scene);
  const PlaceRoom room = sheet.room_of(*p);
  const auto turn_px = [&](double free_px) {
    return std::min(2.5 * w, std::max(0.55 * free_px + 0.5 * span, 0.7 * w));
  };
  p->facts.steps = turn_steps(sharp, mid, turn_px(room.back_px), turn_px(room.ahead_px), w);
  p->tip = fit_tip(sheet, pencil, *p, mid);
  // Where the others serve as well a wedge is asked for only from the turn on at which it counts.
  const double least_turn_deg = p->facts.one.valid && p->tip.valid ? fused_turn_deg : acute_turn_deg;
  p->wedge = sheet.wedge(*p, pencil, scene->window, least_turn_deg);
  take_wedge_for_one(p);
}

}  // namespace

std::vector<CornerPlace> corner_places(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                                       Progress& progress, int threads) {
  std::vector<CornerPlace> all;
  if (ink.empty()) return all;
  const LoopIndex index = index_of(loops);
  const Sheet sheet(loops, corners, ink, index);
  std::vector<PencilInk> pencils;
  const auto pencil_of = [&](double band_px) {
    return std::find_if(pencils.begin(), pencils.end(), [&](const PencilInk& p) { return p.band_px == band_px; });
  };
  for (std::size_t j = 0; j < loops.loops.size(); ++j) {
    const SpacedLoop& l = loops.loops[j];
    if (l.sort() != LoopSort::pencil_band) continue;
    for (CornerPlace& p : sheet.places_of(j)) all.push_back(std::move(p));
    if (pencil_of(l.band_px) == pencils.end()) pencils.emplace_back().band_px = l.band_px;
  }
  for (PencilInk& p : pencils) {
    if (progress.stopped()) return all;
    p.profile = sheet.typical_profile(p.band_px);
    if (!p.profile.ink.empty()) measure_pencil(sheet, all, progress.stop_token(), &p);
  }
  const auto read = [&](std::size_t k) {
    CornerPlace& p = all[k];
    if (progress.stopped() || p.read) return;
    const PencilInk& pencil = *pencil_of(p.facts.band_px);
    if (pencil.profile.ink.empty() || (!p.facts.several && p.turn_deg < least_place_turn_deg)) return;
    read_place(sheet, pencil, &p);
  };
  const auto read_all = [&](double from, double share) {
    const double count = double(std::max<std::size_t>(1, all.size()));
    share_out(all.size(), threads, read,
              [&](std::size_t done) { progress.advance(from + share * double(done) / count); });
  };
  read_all(0.4, 0.5);
  if (progress.stopped()) return all;
  all = sheet.taken_apart(all);
  read_all(0.9, 0.1);
  return all;
}

}  // namespace batten
