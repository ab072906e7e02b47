#include "corners/corner_places.h"

#include <algorithm>

#include "base/parallel.h"
#include "corners/corner_arms.h"

namespace batten {
namespace {

constexpr double cluster_gap_widths = 2, cluster_span_widths = 3.2;
constexpr double least_place_turn_deg = 50;  // gentler turns are told by the loop alone
constexpr double limiting_turn_deg = 20;     // a candidate that turns more ends the arms of its neighbours
constexpr double certain_turn_deg = 45;      // gentler: perhaps only the bend of middles that have run together
constexpr double longest_arm_widths = 7;
constexpr double window_widths = 2.5;
constexpr double own_stretch_widths = 6;
constexpr double neighbour_widths = 0.4;  // before a neighbouring corner its other side begins to show
constexpr double tip_turn_deg =
    100;  // from here on the bands of the two sides run into one another over a band and more
constexpr double farthest_tip_widths = 6;  // beyond where the arms begin: 160 degrees bring the bands apart by then
constexpr int tip_rounds = 4;
constexpr double most_left_over = 2.5;  // corners leave up to 2.3 times as much, ends of serifs 2.8 and more
constexpr double nothing_from = 0.6;    // odds of no corner from which a cluster is taken apart

struct Stretch {
  double back = 0, ahead = 0;  // way to the neighbouring places
};

class Places {
 public:
  Places(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink, const LoopIndex& index)
      : loops_(loops), corners_(corners), ink_(ink), index_(index) {}

  double sharp_arc(std::size_t loop, double arc) const {
    const ArcLoop &even = loops_.loops[loop].curve, &sharp = corners_.relocated[loop];
    return nearest_arc(sharp, even.at(arc), arc * sharp.length_px() / even.length_px(), 3 * loops_.loops[loop].band_px);
  }
  std::vector<CornerPlace> of_loop(std::size_t loop) const;
  Stretch stretch_of(const CornerPlace& p) const;
  WedgePlace wedge_of(const CornerPlace& p) const;
  /// The scene with arms that begin gap0, gap1 beyond the place's ends.
  bool scene(const CornerPlace& p, const PencilInk& pencil, double from, double to, double gap0, double gap1,
             Point centre, InkWindow* window, ReadingScene* out) const;
  BandProfile typical_profile(double band_px) const;
  BandProfile arm_profile(std::size_t loop, const Arm& arm, double from, double to, bool reversed,
                          const PencilInk& pencil) const;
  const Plane<float>& ink() const { return ink_; }
  const LoopIndex& index() const { return index_; }
  const SpacedLoops& loops() const { return loops_; }
  const Corners& corners() const { return corners_; }

 private:
  const SpacedLoops& loops_;
  const Corners& corners_;
  const Plane<float>& ink_;
  const LoopIndex& index_;
};

std::vector<CornerPlace> Places::of_loop(std::size_t loop) const {
  const SpacedLoop& l = loops_.loops[loop];
  const std::vector<Corner>& c = corners_.of_loop[loop];
  std::vector<CornerPlace> out;
  if (c.empty()) return out;
  const double w = l.band_px, len = l.curve.length_px();
  // Begin after the widest gap, so that no cluster is cut in two.
  std::size_t begin = 0;
  double widest = -1;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double gap = c.size() == 1 ? len : l.curve.ahead(c[(i + c.size() - 1) % c.size()].arc, c[i].arc);
    if (gap > widest) widest = gap, begin = i;
  }
  for (std::size_t k = 0; k < c.size(); ++k) {
    const std::size_t i = (begin + k) % c.size();
    const bool joins = !out.empty() && l.curve.ahead(out.back().last_arc, c[i].arc) < cluster_gap_widths * w &&
                       l.curve.ahead(out.back().first_arc, c[i].arc) < cluster_span_widths * w;
    if (!joins) {
      out.push_back({});
      out.back().facts.band_px = w;
      out.back().loop = loop, out.back().first_arc = c[i].arc;
    }
    CornerPlace& p = out.back();
    p.candidates.push_back(i);
    p.last_arc = c[i].arc;
    p.facts.several = p.candidates.size() > 1;
    p.facts.abruptness = p.candidates.size() == 1 ? c[i].abruptness : std::min(p.facts.abruptness, c[i].abruptness);
    p.turn_deg = std::max(p.turn_deg, c[i].turn_deg);
  }
  return out;
}

Stretch Places::stretch_of(const CornerPlace& p) const {
  const SpacedLoop& l = loops_.loops[p.loop];
  Stretch out{l.curve.length_px() / 2, l.curve.length_px() / 2};
  const std::vector<Corner>& c = corners_.of_loop[p.loop];
  for (std::size_t i = 0; i < c.size(); ++i) {
    if (std::find(p.candidates.begin(), p.candidates.end(), i) != p.candidates.end()) continue;
    if (c[i].turn_deg < limiting_turn_deg) continue;
    out.back = std::min(out.back, l.curve.ahead(c[i].arc, p.first_arc));
    out.ahead = std::min(out.ahead, l.curve.ahead(p.last_arc, c[i].arc));
  }
  return out;
}

WedgePlace Places::wedge_of(const CornerPlace& p) const {
  const SpacedLoop& l = loops_.loops[p.loop];
  const double half = 0.5 * l.curve.ahead(p.first_arc, p.last_arc), mid = p.first_arc + half;
  WedgePlace out{int(p.loop), mid, l.curve.length_px() / 2, l.curve.length_px() / 2, {}};
  const std::vector<Corner>& c = corners_.of_loop[p.loop];
  for (std::size_t i = 0; i < c.size(); ++i) {
    if (std::find(p.candidates.begin(), p.candidates.end(), i) != p.candidates.end()) continue;
    if (c[i].turn_deg < limiting_turn_deg) continue;
    if (c[i].turn_deg < certain_turn_deg) {
      out.weak_turns.push_back(c[i].arc);
      continue;
    }
    out.back_px = std::min(out.back_px, l.curve.ahead(c[i].arc, mid) - neighbour_widths * l.band_px);
    out.ahead_px = std::min(out.ahead_px, l.curve.ahead(mid, c[i].arc) - neighbour_widths * l.band_px);
  }
  return out;
}

BandProfile Places::typical_profile(double band_px) const {
  for (const double clear : {2.5, 1.2}) {
    std::vector<LinePlace> places;
    for (std::size_t j = 0; j < loops_.loops.size(); ++j) {
      const SpacedLoop& l = loops_.loops[j];
      if (l.band_px != band_px || l.kind == Kind::filled) continue;
      for (double arc = 0; arc < l.curve.length_px(); arc += std::max(2.0, band_px / 4)) {
        const bool corner = std::any_of(corners_.of_loop[j].begin(), corners_.of_loop[j].end(), [&](const Corner& c) {
          return std::abs(l.curve.way(c.arc, arc)) < clear * band_px;
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

// The band's ink in the first part of the arm.
BandProfile Places::arm_profile(std::size_t loop, const Arm& arm, double from, double to, bool reversed,
                                const PencilInk& pencil) const {
  const double w = pencil.band_px;
  std::vector<LinePlace> places;
  const double len = std::min(to - from, profile_widths * w);
  for (double u = 0; u <= len; u += std::max(1.0, w / 8)) {
    const double s = reversed ? u : -u;  // away from the corner: behind the arm that comes, ahead of the arm that goes
    const Point p = along(arm, s), t = heading(arm, s);
    if (index_.foreign_near(p, 1.5 * w, int(loop), reversed ? from + u : to - u, 6 * w)) continue;
    places.push_back({p, reversed ? -1 * t : t});
  }
  return side_profile(ink_, places, pencil);
}

bool Places::scene(const CornerPlace& p, const PencilInk& pencil, double from, double to, double gap0, double gap1,
                   Point centre, InkWindow* window, ReadingScene* out) const {
  const ArcLoop& sharp = corners_.relocated[p.loop];
  const double w = pencil.band_px;
  const Stretch way = stretch_of(p);
  const double g0 = std::min(gap0, 0.5 * way.back), g1 = std::min(gap1, 0.5 * way.ahead);
  const double l0 = std::clamp(way.back - g0 - 0.45 * w, 0.6 * w, longest_arm_widths * w);
  const double l1 = std::clamp(way.ahead - g1 - 0.45 * w, 0.6 * w, longest_arm_widths * w);
  const Arm a = fit_arm(sharp, from - g0 - l0, from - g0, true, w), b = fit_arm(sharp, to + g1, to + g1 + l1, false, w);
  const double span = loops_.loops[p.loop].curve.ahead(p.first_arc, p.last_arc);
  const OwnStretch own{int(p.loop), p.first_arc, std::min(way.back - neighbour_widths * w, own_stretch_widths * w),
                       std::min(way.ahead - neighbour_widths * w, own_stretch_widths * w) + span};
  std::vector<Point> run_on;
  double u = 0, v = 0;
  if (meet(a, b, farthest_tip_widths * w, &u, &v)) {
    for (double s = 0; s < u; s += 0.25 * w) run_on.push_back(along(a, s));
    for (double s = 0; s < v; s += 0.25 * w) run_on.push_back(along(b, -s));
  }
  *window = ink_window(ink_, index_, own, centre, w, window_widths * w, run_on);
  out->window = window;
  out->before = {a.base, a.tangent, a.curvature, arm_profile(p.loop, a, from - g0 - l0, from - g0, false, pencil), l0};
  out->after = {b.base, -1 * b.tangent, -b.curvature, arm_profile(p.loop, b, to + g1, to + g1 + l1, true, pencil), l1};
  out->side = pencil.profile;
  out->fade = pencil.fade;
  out->band_px = w;
  out->sample_variance = pencil.sample_variance;
  return window->samples.size() > 60;
}

double first_gap(const CornerPlace& p, double w) {
  if (p.facts.several) return 0.5 * w;
  const double s = std::min(p.facts.abruptness, 1.2);
  return (0.45 + std::sqrt(std::max(s * s - 0.09, 0.0))) * w;  // two steps L apart look like one of width L/2
}

Point middle_of(const ArcLoop& sharp, double from, double to) { return sharp.at(from + 0.5 * sharp.ahead(from, to)); }

// The drawing's own ends of strokes, and what a right reading leaves over, from its plain corners.
void measure_pencil(const Places& places, const std::vector<CornerPlace>& all, const NormalTable& normal,
                    const std::stop_token& stop, PencilInk* pencil) {
  const double w = pencil->band_px;
  std::vector<InkWindow> windows;
  std::vector<ReadingScene> scenes;
  windows.reserve(all.size());
  double peak = pencil->profile.peak();
  pencil->sample_variance = 0.02 * peak * peak;
  for (const bool plain_only : {true, false}) {
    for (const CornerPlace& p : all) {
      if (places.loops().loops[p.loop].band_px != w || p.facts.several || windows.size() >= 16) continue;
      const Stretch way = places.stretch_of(p);
      const double free = std::min(way.back, way.ahead) / w;
      const bool plain = p.turn_deg > 60 && p.turn_deg < 115 && free > 4;
      if (p.facts.abruptness > 0.5 || plain_only != plain) continue;  // a round would teach wrong ends
      if (p.turn_deg < 40 || p.turn_deg > 130 || free < 2) continue;
      const double arc = places.sharp_arc(p.loop, p.first_arc);
      windows.push_back({});
      ReadingScene s;
      if (places.scene(p, *pencil, arc, arc, first_gap(p, w), first_gap(p, w),
                       places.corners().relocated[p.loop].at(arc), &windows.back(), &s)) {
        s.normal = &normal;
        scenes.push_back(std::move(s));
      }
    }
    if (scenes.size() >= 2) break;
  }
  if (scenes.empty()) return;
  double best = 1e300;
  for (double start = -0.5; start <= 0.41 && !stop.stop_requested(); start += 0.1)
    for (double width : {0.08, 0.15, 0.3, 0.45, 0.6, 0.8}) {
      double sum = 0;  // of logarithms: one place that is no corner must not outweigh the others
      for (const ReadingScene& s : scenes) {
        const double r = one_corner_residual(s, {start, width});
        if (r >= 0) sum += std::log(r + 1e-9);
      }
      if (sum < best) best = sum, pencil->fade = {start, width};
    }
  std::vector<double> left;
  for (ReadingScene& s : scenes) {
    s.fade = pencil->fade;
    const CornerHypothesis one = fit_one_corner(s);
    if (one.valid) left.push_back(one.square_sum / double(s.window->samples.size()));
  }
  if (left.empty()) return;
  std::nth_element(left.begin(), left.begin() + std::ptrdiff_t(left.size() / 2), left.end());
  pencil->sample_variance = std::max(left[left.size() / 2], 1e-6);
}

// One corner again, its arms taken from beyond where the two bands run into one another and its window moved to where
// the corner was found, until it rests.
CornerHypothesis read_tip(const Places& places, const PencilInk& pencil, const NormalTable& normal,
                          const CornerPlace& p, double mid) {
  const double w = pencil.band_px;
  const ArcLoop& sharp = places.corners().relocated[p.loop];
  CornerHypothesis tip, last = p.facts.one;
  // Arms that begin on the rounded tip itself need not meet: farther out they do.
  for (const double gap : {1.2, 2.0, 3.0}) {
    InkWindow window;
    ReadingScene s;
    if (last.valid || !places.scene(p, pencil, mid, mid, gap * w, gap * w, sharp.at(mid), &window, &s)) break;
    s.normal = &normal;
    tip = last = fit_one_corner(s);
  }
  if (!last.valid) return {};
  for (int round = 0; round < tip_rounds; ++round) {
    const double turn = std::abs(degrees(turn_between(last.into, last.out_of)));
    if (turn <= tip_turn_deg) break;
    const double half = radians(180 - std::min(turn, 165.0)) / 2;
    const double apex = nearest_arc(sharp, last.first, mid, 2 * w);
    const double g = 0.5 * w / std::tan(half) + 0.25 * w;
    InkWindow window;
    ReadingScene s;
    if (!places.scene(p, pencil, apex, apex, g, g, last.first, &window, &s)) break;
    s.normal = &normal;
    const CornerHypothesis next = fit_one_corner(s);
    if (!next.valid) break;
    tip = next;
    if (distance(tip.first, last.first) < 0.1 * w) break;
    last = tip;
  }
  return tip;
}

// Of two ways to read one corner the better one stands for it. But a wedge that leaves that much more ink than the
// other readings goes round something: the end of a serif, a tight round.
void take_wedge_for_one(CornerPlace* p) {
  PlaceFacts& f = p->facts;
  CornerHypothesis& wedge = p->wedge;
  if (!wedge.valid) return;
  if (wedge.square_sum > most_left_over * std::min(f.two.square_sum, f.round.square_sum))
    wedge.valid = false;
  else if (!f.one.valid || (turn_of(wedge) > fused_turn_deg && wedge.square_sum < f.one.square_sum))
    f.one = wedge;
}

void read_place(const Places& places, const PencilInk& pencil, const NormalTable& normal, CornerPlace* p) {
  const double w = pencil.band_px;
  const ArcLoop& sharp = places.corners().relocated[p->loop];
  const double from = places.sharp_arc(p->loop, p->first_arc), to = places.sharp_arc(p->loop, p->last_arc);
  const double gap = first_gap(*p, w), span = sharp.ahead(from, to);
  InkWindow window;
  ReadingScene s;
  if (!places.scene(*p, pencil, from, from + span, gap, gap, middle_of(sharp, from, to), &window, &s)) return;
  s.normal = &normal;
  p->read = true, p->ink_peak = pencil.profile.peak();
  p->facts.one = fit_one_corner(s);
  p->facts.two = read_two(s);
  p->facts.round = read_round(s);
  const Stretch way = places.stretch_of(*p);
  const double mid = from + 0.5 * span;
  const double reach = 2.5 * w;
  p->facts.steps = turn_steps(sharp, mid, std::min(reach, std::max(0.55 * way.back + 0.5 * span, 0.7 * w)),
                              std::min(reach, std::max(0.55 * way.ahead + 0.5 * span, 0.7 * w)), w);
  p->tip = read_tip(places, pencil, normal, *p, mid);
  // Where the older readings serve as well it is asked only from the turn on at which it counts.
  const double least_turn_deg = p->facts.one.valid && p->tip.valid ? fused_turn_deg : tip_turn_deg;
  p->wedge = read_wedge(places.loops().loops[p->loop], places.index(), places.ink(), pencil, normal,
                        places.wedge_of(*p), window, least_turn_deg);
  take_wedge_for_one(p);
}

// A corner that stands beside a tight round is no corner together with it: such candidates are looked at one by one.
std::vector<CornerPlace> taken_apart(const Places& places, const std::vector<CornerPlace>& all) {
  std::vector<CornerPlace> out;
  for (const CornerPlace& p : all) {
    const bool whole = !p.facts.several || !p.read || !p.facts.two.valid || !p.facts.round.valid ||
                       odds_of(evidence_of(p.facts)).none < nothing_from;
    if (whole) {
      out.push_back(p);
      continue;
    }
    for (std::size_t i : p.candidates) {
      const Corner& c = places.corners().of_loop[p.loop][i];
      CornerPlace single;
      single.loop = p.loop, single.candidates = {i};
      single.first_arc = single.last_arc = c.arc;
      single.turn_deg = c.turn_deg;
      single.facts.band_px = p.facts.band_px, single.facts.abruptness = c.abruptness;
      single.apart = true;
      out.push_back(std::move(single));
    }
  }
  return out;
}

}  // namespace

std::vector<CornerPlace> corner_places(const SpacedLoops& loops, const Corners& corners, const Plane<float>& ink,
                                       Progress& progress, int threads) {
  std::vector<CornerPlace> all;
  if (ink.empty()) return all;
  std::vector<const ArcLoop*> even;
  double widest = 4;
  for (const SpacedLoop& l : loops.loops) even.push_back(&l.curve), widest = std::max(widest, l.band_px);
  const LoopIndex index(even, 1.5, widest);
  const Places places(loops, corners, ink, index);
  const NormalTable normal;
  std::vector<PencilInk> pencils;
  for (std::size_t j = 0; j < loops.loops.size(); ++j) {
    const SpacedLoop& l = loops.loops[j];
    if (l.kind == Kind::filled || l.exact()) continue;
    for (CornerPlace& p : places.of_loop(j)) all.push_back(std::move(p));
    if (std::none_of(pencils.begin(), pencils.end(), [&](const PencilInk& p) { return p.band_px == l.band_px; }))
      pencils.push_back({l.band_px, {}, {}, 0});
  }
  for (PencilInk& p : pencils) {
    if (progress.stopped()) return all;
    p.profile = places.typical_profile(p.band_px);
    if (!p.profile.ink.empty()) measure_pencil(places, all, normal, progress.stop_token(), &p);
  }
  const auto read = [&](std::size_t k) {
    CornerPlace& p = all[k];
    if (progress.stopped() || p.read) return;
    const auto pencil = std::find_if(pencils.begin(), pencils.end(),
                                     [&](const PencilInk& q) { return q.band_px == loops.loops[p.loop].band_px; });
    if (pencil->profile.ink.empty() || (!p.facts.several && p.turn_deg < least_place_turn_deg)) return;
    read_place(places, *pencil, normal, &p);
  };
  const auto read_all = [&](double from, double share) {
    const double count = double(std::max<std::size_t>(1, all.size()));
    share_out(all.size(), threads, read,
              [&](std::size_t done) { progress.advance(from + share * double(done) / count); });
  };
  read_all(0.4, 0.5);
  if (progress.stopped()) return all;
  all = taken_apart(places, all);
  read_all(0.9, 0.1);
  return all;
}

}  // namespace batten
