#include "corners/fit_wedge.h"

#include <algorithm>

#include "corners/levenberg_marquardt.h"

namespace batten {
namespace {

constexpr double apart_widths = 1.2;   // from here on the paper shows between the bands, and each has its own middle
constexpr double part_for_widths = 1;  // over such a length, or it was a gap between strokes
constexpr double longest_fused_widths = 10;  // 7 degrees between the sides; less is one line drawn to and fro
constexpr double side_widths = 6;
constexpr double shortest_side_widths = 0.6;
constexpr double window_widths = 2;        // of ink round the fused part
constexpr double farthest_tip_widths = 6;  // beyond the end of the loop
constexpr double line_step_widths = 0.25;  // between the points of a side
constexpr double bend_prior = 0.1;         // one standard deviation of a side's curvature, 1 / W
// The drawing's own fade is measured at corners where the sides run as located, and locating rounds a bundle of strokes
// towards the inside: seen from where the sides meet the ink ends earlier. Of 110 tips of ten typefaces beyond 150
// degrees, drawn in many strokes, the middle distance fell from 5.7 to 4.9 px; one careful line has no such error.
constexpr double fade_earlier = 0.4, single_fade_widths = 0.3;
constexpr double most_bent_deg = 30;  // sides that bend together by more run round the end of something flat
constexpr std::size_t coarse_every = 4;
constexpr int coarse_rounds = 5, rounds = 12;

// One side, led towards the tip.
struct WedgeSide {
  double fused_px = 0, to_px = 0;  // along the loop from the place: where the bands part, and where the side ends
  std::vector<LinePlace> line;
  BandProfile profile;
};

// Arc of the loop's farthest point between the two sides: the candidate may lie on either of them.
double tip_arc(const ArcLoop& loop, const WedgePlace& place, double band_px) {
  double arc = place.arc;
  for (int round = 0; round < 2; ++round) {
    const double moved = arc - place.arc, look = 3 * band_px;
    const double back = std::min(place.back_px + moved, 4 * band_px),
                 ahead = std::min(place.ahead_px - moved, 4 * band_px);
    const Point base = 0.5 * (loop.at(arc - back) + loop.at(arc + ahead)), out = loop.at(arc) - base;
    double best = arc, farthest = 0;
    for (double u = -std::min(back, look); u <= std::min(ahead, look); u += loop.step_px)
      if (const double d = dot(loop.at(arc + u) - base, out); d > farthest) farthest = d, best = arc + u;
    arc = best;
  }
  return arc;
}

double distance_to_side(const ArcLoop& loop, Point p, double from, double to) {
  double best = 1e300;
  for (double s = std::min(from, to); s <= std::max(from, to); s += 2 * loop.step_px)
    best = std::min(best, norm2(loop.at(s) - p));
  return std::sqrt(best);
}

// How far from the place, along the side ahead (sign +1) or back (-1), the middles lie apart for good; negative:
// nowhere. The sides go on for mine_px and other_px.
double parts_at(const ArcLoop& loop, double arc, int sign, double mine_px, double other_px, double band_px) {
  const double step = 0.1 * band_px;
  double from = 0;
  for (double u = step; u <= std::min(mine_px, (longest_fused_widths + part_for_widths) * band_px); u += step) {
    const double other = std::min(other_px, 1.5 * u + 2 * band_px);
    if (distance_to_side(loop, loop.at(arc + sign * u), arc, arc - sign * other) < apart_widths * band_px)
      from = u + step;
    else if (u - from >= part_for_widths * band_px)
      return from;
  }
  return from < mine_px ? from : -1;
}

bool find_side(const SpacedLoop& loop, const WedgePlace& place, int sign, WedgeSide* side) {
  const double w = loop.band_px, mine = sign < 0 ? place.back_px : place.ahead_px,
               other = sign < 0 ? place.ahead_px : place.back_px;
  side->fused_px = parts_at(loop.curve, place.arc, sign, mine, other, w);
  if (side->fused_px < 0 || side->fused_px > longest_fused_widths * w) return false;
  side->to_px = std::min(mine, side->fused_px + side_widths * w);
  for (double arc : place.weak_turns) {
    const double u = sign < 0 ? loop.curve.ahead(arc, place.arc) : loop.curve.ahead(place.arc, arc);
    if (u > side->fused_px + (shortest_side_widths + neighbour_widths) * w)
      side->to_px = std::min(side->to_px, u - neighbour_widths * w);
  }
  if (side->to_px - side->fused_px < shortest_side_widths * w) return false;
  for (double u = side->fused_px; u <= side->to_px; u += line_step_widths * w) {
    const double s = place.arc + sign * u;
    side->line.push_back({loop.curve.at(s), sign * unit(loop.curve.at(s - 2) - loop.curve.at(s + 2))});
  }
  return true;
}

// Direction towards the tip of the near part of a side.
Point direction(const WedgeSide& side, double band_px) {
  Point sum;
  const double far = std::min(side.to_px - side.fused_px, 3 * band_px);
  for (std::size_t i = 0; i < side.line.size() && line_step_widths * double(i) * band_px <= far; ++i)
    sum = sum + side.line[i].tangent;
  return unit(sum);
}

using Unknowns = std::array<double, 6>;  // tip along and across the bisector, then direction and bend of either side

class Wedge {
 public:
  Wedge(const InkWindow& window, const PencilInk& pencil, const SpacedLoop& loop, const std::array<WedgeSide, 2>& sides,
        Point origin)
      : window_(window), pencil_(pencil), w_(loop.band_px), sides_(sides), origin_(origin), fade_(pencil.fade) {
    for (std::size_t i : {0, 1}) start_[i] = direction(sides_[i], w_);
    out_ = unit(start_[0] + start_[1]);
    fade_.start_widths -= fade_earlier * std::max(0.0, fade_.width_widths - single_fade_widths);
    point_weight_ = std::sqrt(std::min(1.0, line_step_widths * w_ / loop.correlation_px)) / loop.sigma_px;
  }
  // A side that ends in the tip.
  struct BentLine {
    Point tip, towards;
    double bend;
    void locate(Point p, double* s, double* u) const {
      const Point d = p - tip;
      *s = dot(d, towards), *u = dot(d, left_of(towards)) - 0.5 * bend * *s * *s;
    }
  };
  std::array<BentLine, 2> lines(const Unknowns& x) const {
    const Point tip = origin_ + x[0] * out_ + x[1] * left_of(out_);
    const auto towards = [&](Point t, double turn) { return std::cos(turn) * t + std::sin(turn) * left_of(t); };
    return {{{tip, towards(start_[0], x[2]), x[3]}, {tip, towards(start_[1], x[4]), x[5]}}};
  }
  double ink(const std::array<BentLine, 2>& lines, Point p) const {
    double paper = 1;
    for (std::size_t i : {0, 1}) {
      double s, u;
      lines[i].locate(p, &s, &u);
      if (const double k = sides_[i].profile.at(u); k > 0) paper *= 1 - k * pencil_.left_beyond(s, fade_);
    }
    return 1 - paper;
  }
  void residuals(const Unknowns& x, std::size_t every, std::vector<double>* r) const {
    const std::array<BentLine, 2> l = lines(x);
    const double weight = std::sqrt(independent_share * double(every) / pencil_.sample_variance);
    r->clear();
    for (std::size_t k = 0; k < window_.samples.size(); k += every)
      r->push_back(weight * (window_.samples[k].ink - ink(l, window_.samples[k].at)));
    for (std::size_t i : {0, 1}) {
      for (const LinePlace& p : sides_[i].line) {
        double s, u;
        l[i].locate(p.at, &s, &u);
        r->push_back(point_weight_ * u);
      }
      r->push_back(l[i].bend * w_ / bend_prior);
    }
  }
  // Solves from x on with one sample of so many.
  double solve(Unknowns* x, std::size_t every, int rounds) const {
    const Unknowns steps{0.02 * w_, 0.02 * w_, 0.004, 0.002 / w_, 0.004, 0.002 / w_};
    const auto of_samples = [&](const Unknowns& y, std::vector<double>* r) { residuals(y, every, r); };
    return levenberg_marquardt<6>(x, steps, of_samples, rounds);
  }

 private:
  const InkWindow& window_;
  const PencilInk& pencil_;
  double w_, point_weight_;
  const std::array<WedgeSide, 2>& sides_;
  std::array<Point, 2> start_;
  Point origin_, out_;
  EndFade fade_;
};

// The window of ink round the fused part and the tip, and the tip as the loop has it.
struct WedgeScene {
  Point origin;          // the loop's farthest point between the sides
  double beyond_px = 0;  // from there to where the sides would meet
  InkWindow window;
};

WedgeScene scene_of(const LoopIndex& loops, const ArcLoop& loop, const Plane<float>& ink, const WedgePlace& place,
                    const std::array<WedgeSide, 2>& side, Point in, Point back, double w) {
  WedgeScene out;
  const Point outwards = unit(in + back), a = side[0].line.front().at, b = side[1].line.front().at;
  out.origin = loop.at(place.arc);
  const double fused = std::max({dot(out.origin - a, outwards), dot(out.origin - b, outwards), 0.0});
  const double half = std::max(0.5 * std::abs(turn_between(in, back)), radians(3));
  out.beyond_px = std::clamp(0.5 * distance(a, b) / std::tan(half) - fused, 0.0, farthest_tip_widths * w);
  std::vector<Point> run_on;
  for (double s = 0; s < out.beyond_px + w; s += 0.25 * w) run_on.push_back(out.origin + s * outwards);
  out.window = ink_window(ink, loops, {place.loop, place.arc, side[0].to_px, side[1].to_px},
                          out.origin + 0.5 * (out.beyond_px - fused) * outwards, w,
                          0.5 * (out.beyond_px + fused) + window_widths * w, run_on);
  return out;
}

Unknowns fitted(const Wedge& wedge, double beyond_px, double w) {
  Unknowns best{};
  double least = 1e300;
  for (double s = 0; s <= beyond_px + 1.5 * w; s += w) {
    Unknowns x{s};
    const double loss = wedge.solve(&x, coarse_every, coarse_rounds);
    if (loss < least) least = loss, best = x;
  }
  wedge.solve(&best, 1, rounds);
  return best;
}

}  // namespace

CornerHypothesis fit_wedge(const SpacedLoop& loop, const LoopIndex& loops, const Plane<float>& ink,
                           const PencilInk& pencil, const WedgePlace& about, const InkWindow& judged,
                           double least_turn_deg) {
  const double w = loop.band_px;
  WedgePlace place = about;
  const double moved = tip_arc(loop.curve, about, w) - about.arc;
  place.arc = about.arc + moved, place.back_px += moved, place.ahead_px -= moved;
  std::array<WedgeSide, 2> side;
  if (!find_side(loop, place, -1, &side[0]) || !find_side(loop, place, 1, &side[1])) return {};
  const Point in = direction(side[0], w), back = direction(side[1], w);
  const double turn_deg = 180 - std::abs(degrees(turn_between(in, back)));
  if (turn_deg < least_turn_deg) return {};
  for (WedgeSide& s : side) {
    const std::size_t near = std::min(s.line.size(), std::size_t(profile_widths / line_step_widths) + 1);
    s.profile = side_profile(ink, {s.line.begin(), s.line.begin() + std::ptrdiff_t(near)}, pencil);
  }
  const WedgeScene scene = scene_of(loops, loop.curve, ink, place, side, in, back, w);
  if (scene.window.samples.size() <= too_few_samples) return {};
  const Wedge wedge(scene.window, pencil, loop, side, scene.origin);
  const Unknowns x = fitted(wedge, scene.beyond_px, w);
  const std::array<Wedge::BentLine, 2> lines = wedge.lines(x);
  CornerHypothesis out;
  out.fused_px = 0.5 * (side[0].fused_px + side[1].fused_px);
  out.first = out.second = lines[0].tip, out.into = lines[0].towards, out.out_of = -1 * lines[1].towards;
  for (const InkWindow::Sample& q : judged.samples) {
    const double off = q.ink - wedge.ink(lines, q.at);
    out.square_sum += off * off;
  }
  const double fitted_deg = turn_of(out);
  out.valid = fitted_deg >= least_turn_deg && fitted_deg > turn_deg - most_bent_deg;
  return out;
}

}  // namespace batten
