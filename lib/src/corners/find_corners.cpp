#include "corners/find_corners.h"

#include <algorithm>

#include "base/parallel.h"
#include "corners/corner_arms.h"
#include "corners/sharpen_bands.h"
#include "corners/step_model.h"

namespace batten {
namespace {

constexpr double propose_turn_deg = 12;    // gentler turns are never called corners by a practitioner
constexpr double accept_turn_deg = 24;     // with a rounding of a few px a weaker turn can't be told from a curve
constexpr double accept_abruptness = 0.5;  // corners: median 0.3, 90 % below 0.4; rounds of one band width: 1
constexpr double neighbour_gap = 0.7;      // scales: closer candidates are one
// A turn hidden beside a sharper one. Weaker ones are as often noise of the band (of 25, 30, 40 degrees, 30 found as
// many corners as 25 and no more false ones than 40); farther off than the turn profile averages it would be a peak
// itself. Lengths in scales.
constexpr double hidden_turn_deg = 30, least_hidden_gap = 1, most_hidden_gap = 3.5, sharp_width = 0.4;
constexpr double step_widths[] = {0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0, 1.3, 1.7, 2.2};  // scales

double mean_angle(const std::vector<double>& angle, double total, std::ptrdiff_t from, std::ptrdiff_t to) {
  const auto n = std::ptrdiff_t(angle.size());
  double sum = 0;
  for (auto i = from; i <= to; ++i) {
    const auto turns = i >= 0 && i < n ? 0 : i >= 0 ? i / n : -((-i + n - 1) / n);
    sum += angle[std::size_t(i - turns * n)] + double(turns) * total;
  }
  return sum / double(to - from + 1);
}

// How close two corners may lie. The edge of a filled shape is known far better than the scale by which a turn is
// called abrupt: a crisp one to a tenth of a pixel, a soft one after an average over 3 px along it.
double fine_scale_px(const SpacedLoop& loop) {
  if (loop.sort() == LoopSort::pencil_band) return loop.scale_px;
  return std::min(loop.scale_px, loop.exact() ? 2.5 : 4.0);
}

// A line of one pixel, which measures 2 px, has its corners rounded as an edge has: no band runs into another there.
bool bands_run_together(const SpacedLoop& loop) { return loop.sort() == LoopSort::pencil_band && loop.band_px > 2; }

// A crisp edge shows a corner as a step of what locating rounds and the spacing blurs; wider is a round of some pixels'
// radius, which a corner would miss by more than fine tolerances allow.
double most_abruptness(const SpacedLoop& loop) {
  if (!loop.exact()) return accept_abruptness;
  return std::min(accept_abruptness, (0.6 + 2 * loop.rounding_px) / loop.scale_px);
}

// How near to an end of an open line no corner of its own is told. Where other lines end as well, their bands and its
// own are one over a band and more: what turns there is the middle of them all.
double clear_of_end_px(const SpacedLoop& loop, const LineEnd& end) {
  const bool shared = end.junction >= 0 || end.on_loop >= 0;
  return shared && bands_run_together(loop) ? 1.2 * loop.scale_px : neighbour_gap * fine_scale_px(loop);
}

// Is a place too near an end of an open line for a corner of its own? On its way back all are.
bool beside_end(const SpacedLoop& loop, double arc) {
  return loop.open() &&
         (arc < clear_of_end_px(loop, loop.start) || arc > loop.curve.line_px - clear_of_end_px(loop, loop.end));
}

// Turn at each point: mean direction over [0.6, 1.8] scales ahead minus the same behind.
std::vector<double> turn_profile(const SpacedLoop& loop, const std::vector<double>& angle, double total) {
  const double h = loop.curve.step_px, fine = fine_scale_px(loop);
  const auto a = std::max<std::ptrdiff_t>(1, std::lround(0.6 * fine / h));
  const auto b = std::max<std::ptrdiff_t>(a + 1, std::lround(1.8 * fine / h));
  std::vector<double> turn(angle.size());
  for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(angle.size()); ++i)
    turn[std::size_t(i)] = mean_angle(angle, total, i + a, i + b) - mean_angle(angle, total, i - b, i - a);
  return turn;
}

std::vector<std::size_t> peaks(const std::vector<double>& turn, double gap_points) {
  std::vector<std::size_t> order;
  const auto n = std::ptrdiff_t(turn.size());
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    const double here = std::abs(turn[std::size_t(i)]);
    const double before = std::abs(turn[std::size_t((i + n - 1) % n)]),
                 after = std::abs(turn[std::size_t((i + 1) % n)]);
    if (here > radians(propose_turn_deg) && here >= before && here > after) order.push_back(std::size_t(i));
  }
  std::stable_sort(order.begin(), order.end(),
                   [&](std::size_t a, std::size_t b) { return std::abs(turn[a]) > std::abs(turn[b]); });
  std::vector<std::size_t> kept;
  for (std::size_t i : order) {
    const bool close = std::any_of(kept.begin(), kept.end(), [&](std::size_t k) {
      const double d = std::abs(double(std::ptrdiff_t(i) - std::ptrdiff_t(k)));
      return std::min(d, double(n) - d) < gap_points;
    });
    if (!close) kept.push_back(i);
  }
  std::sort(kept.begin(), kept.end());
  return kept;
}

// The turn at a candidate as a step of the direction.
struct TurnStep {
  double width = 1, centre_px = 0, turn_rad = 0;  // width in scales, centre from the candidate
};

// The step that explains most of the directions round a candidate, over a grid of widths and centres.
TurnStep fit_step(const SpacedLoop& loop, const std::vector<double>& angle, double total, std::size_t at,
                  double back_px, double ahead_px) {
  const double h = loop.curve.step_px, fine = fine_scale_px(loop);
  std::vector<double> places, theta;
  for (auto k = -std::ptrdiff_t(back_px / h); k <= std::ptrdiff_t(ahead_px / h); ++k) {
    const auto i = std::ptrdiff_t(at) + k;
    places.push_back(double(k) * h);
    theta.push_back(mean_angle(angle, total, i, i));
  }
  const StepModel model(places, theta, loop.scale_px);
  TurnStep best;
  double least = 1e300;
  for (double width : step_widths)
    for (double c = -0.5 * fine; c <= 0.5 * fine + 1e-9; c += 0.1 * fine) {
      const StepFit fit = model.fit(model.step(c, width * loop.scale_px));
      if (fit.mean_square_rad2 < least) least = fit.mean_square_rad2, best = {width, c, fit.turn_rad};
    }
  return best;
}

// How far from a tip of that turn locating still rounds an edge.
double rounded_px(const SpacedLoop& loop, double turn_deg) {
  return loop.rounding_px / std::tan(half_inner_angle_rad(turn_deg)) + loop.rounding_px;
}

// Position from the intersection of the arms. Of a band, each is fitted from about half a width away from the apex, and
// farther where the turn is acute, since there the two bands run into one another; of an edge, from where locating it
// no longer rounds the corner. Edges may bend, and are known well enough for short arms.
void place_apex(const SpacedLoop& loop, double back_px, double ahead_px, Corner* c) {
  const bool edge = loop.sort() != LoopSort::pencil_band;
  const double scale = edge ? fine_scale_px(loop) : loop.scale_px;
  double gap = edge ? std::max(0.45 * scale, 1.3 * loop.rounding_px) : 0.45 * scale;
  // A band's middle errs over 4-5 widths: only a long arm averages that out. An exact edge needs no averaging, and a
  // short arm follows its bend more truly.
  const double longest_arm = loop.exact() ? 2.5 * loop.scale_px : 7 * scale;
  for (int round = 0; round < 3; ++round) {
    const double g0 = std::min(gap, 0.5 * back_px), g1 = std::min(gap, 0.5 * ahead_px);
    const double l0 = std::clamp(back_px - 0.45 * scale - g0, 0.6 * scale, longest_arm);
    const double l1 = std::clamp(ahead_px - 0.45 * scale - g1, 0.6 * scale, longest_arm);
    Arm a = fit_arm(loop.curve, c->arc - g0 - l0, c->arc - g0, true, scale);
    Arm b = fit_arm(loop.curve, c->arc + g1, c->arc + g1 + l1, false, scale);
    double u = 0, v = 0;
    const double most = 2 * gap + 2.5 * scale;
    bool met = meet(a, b, most, &u, &v);
    // Walls of a wedge that is hardly wider than a pixel run into one another before they meet. Farther out they are
    // themselves; the bend of so short an arm says nothing as far off as that.
    const bool acute = c->turn_deg >= acute_turn_deg;
    if (!met && acute && round > 0) {
      a.curvature = b.curvature = 0;
      met = meet(a, b, most, &u, &v);
    }
    if (!met && (round > 0 || !acute)) return;
    if (met) {
      c->apex = 0.5 * (along(a, u) + along(b, -v)), c->into = heading(a, u), c->out_of = heading(b, -v);
      c->turn_deg = std::abs(degrees(turn_between(c->into, c->out_of)));
    }
    if (c->turn_deg < acute_turn_deg) return;
    gap = edge ? std::max(gap, rounded_px(loop, c->turn_deg)) : arm_gap_px(scale, c->turn_deg);
  }
}

// Candidates that came to rest on the same turn are one: an accepted one stays, or else the one that turns most.
std::vector<Corner> one_each(const SpacedLoop& loop, std::vector<Corner> found) {
  std::stable_sort(found.begin(), found.end(), [](const Corner& a, const Corner& b) {
    return a.accepted != b.accepted ? a.accepted : a.turn_deg > b.turn_deg;
  });
  std::vector<Corner> kept;
  for (const Corner& c : found)
    if (std::none_of(kept.begin(), kept.end(), [&](const Corner& k) {
          return std::abs(loop.curve.signed_arc_px(k.arc, c.arc)) < neighbour_gap * fine_scale_px(loop);
        }))
      kept.push_back(c);
  std::sort(kept.begin(), kept.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  return kept;
}

// Arc lengths to the neighbouring candidates, or to the ends of an open line.
struct CandidateRoom {
  double back_px, ahead_px;
};

CandidateRoom room_of(const SpacedLoop& loop, const std::vector<std::size_t>& at, std::size_t k) {
  const double h = loop.curve.step_px, len = loop.curve.length_px(), here = double(at[k]) * h;
  if (loop.open()) {
    const double from = k == 0 ? 0 : double(at[k - 1]) * h;
    const double to = k + 1 == at.size() ? loop.curve.line_px : double(at[k + 1]) * h;
    return {here - from, to - here};
  }
  if (at.size() < 2) return {len / 2, len / 2};
  return {loop.curve.ahead(double(at[(k + at.size() - 1) % at.size()]) * h, here),
          loop.curve.ahead(here, double(at[(k + 1) % at.size()]) * h)};
}

TurnStep step_at(const SpacedLoop& loop, const std::vector<double>& angle, double total, std::size_t at,
                 const CandidateRoom& room) {
  const double most = 2.5 * loop.scale_px, least = 0.7 * fine_scale_px(loop);
  return fit_step(loop, angle, total, at, std::min(most, std::max(0.55 * room.back_px, least)),
                  std::min(most, std::max(0.55 * room.ahead_px, least)));
}

// What is left of the directions when steps are taken out of them.
void take_out(const SpacedLoop& loop, const TurnStep& step, double centre, std::vector<double>* angle, double* total) {
  const double h = loop.curve.step_px, len = loop.curve.length_px(), width = step.width * loop.scale_px;
  const auto share = [&](double s) {
    const double u = (s - centre) / width;
    return u < -5 ? 0 : u > 5 ? 1 : 0.5 * std::erfc(-u / std::sqrt(2.0));
  };
  for (std::size_t i = 0; i < angle->size(); ++i) {
    const double s = double(i) * h;
    (*angle)[i] -= step.turn_rad * (share(s) + share(s - len) + share(s + len) - 1);
  }
  *total -= step.turn_rad;
}

// Adds candidates that a sharper one hides. Where two turns in the same sense lie hardly two scales apart only the
// sharper is a peak; the other shows in what is left of the directions without it. Beside a gentle turn nothing is
// looked for: there weigh_corners tells.
std::vector<std::size_t> with_hidden(const SpacedLoop& loop, const std::vector<double>& angle, double total,
                                     std::vector<std::size_t> at) {
  const double h = loop.curve.step_px;
  std::vector<double> left = angle;
  double left_total = total;
  std::vector<TurnStep> steps;
  for (std::size_t k = 0; k < at.size(); ++k) {
    steps.push_back(step_at(loop, angle, total, at[k], room_of(loop, at, k)));
    take_out(loop, steps.back(), double(at[k]) * h + steps.back().centre_px, &left, &left_total);
  }
  const std::vector<double> turn = turn_profile(loop, left, left_total);
  const double gap = least_hidden_gap * fine_scale_px(loop);
  std::vector<std::size_t> hidden;
  for (std::size_t i : peaks(turn, gap / h)) {
    if (std::abs(turn[i]) < radians(hidden_turn_deg)) continue;
    double nearest = most_hidden_gap * loop.scale_px;
    const TurnStep* beside = nullptr;
    for (std::size_t k = 0; k < at.size(); ++k) {
      const double apart_px = std::abs(loop.curve.signed_arc_px(double(at[k]) * h + steps[k].centre_px, double(i) * h));
      if (apart_px < nearest) nearest = apart_px, beside = &steps[k];
    }
    if (beside && nearest > gap && beside->width <= sharp_width && beside->turn_rad * turn[i] > 0) hidden.push_back(i);
  }
  std::erase_if(hidden, [&](std::size_t i) { return beside_end(loop, double(i) * h); });
  at.insert(at.end(), hidden.begin(), hidden.end());
  std::sort(at.begin(), at.end());
  return at;
}

std::vector<Corner> corners_of(const SpacedLoop& loop, const std::stop_token& stop) {
  const std::vector<double> angle = tangent_angles(loop.curve);
  const double total = angle.back() - angle.front() + wrap_angle(angle.front() - angle.back());
  const std::vector<double> turn = turn_profile(loop, angle, total);
  const double h = loop.curve.step_px, scale = loop.scale_px, fine = fine_scale_px(loop);
  auto at = peaks(turn, neighbour_gap * fine / h);
  std::erase_if(at, [&](std::size_t i) { return beside_end(loop, double(i) * h); });
  if (bands_run_together(loop)) at = with_hidden(loop, angle, total, std::move(at));
  std::vector<Corner> out;
  for (std::size_t k = 0; k < at.size() && !stop.stop_requested(); ++k) {
    const double here = double(at[k]) * h;
    const CandidateRoom room = room_of(loop, at, k);
    const TurnStep step = step_at(loop, angle, total, at[k], room);
    Corner c;
    c.arc = loop.curve.wrap(here + step.centre_px);
    c.apex = loop.curve.at(c.arc);
    c.into = local_quadratic(loop.curve, c.arc - 2 * scale, c.arc - 0.5 * scale, c.arc - 0.5 * scale).tangent;
    c.out_of = local_quadratic(loop.curve, c.arc + 0.5 * scale, c.arc + 2 * scale, c.arc + 0.5 * scale).tangent;
    c.turn_deg = std::abs(degrees(turn[at[k]]));
    c.abruptness = c.weighed_abruptness = step.width;
    place_apex(loop, room.back_px, room.ahead_px, &c);
    const double weakest = std::min({c.turn_deg, std::abs(degrees(step.turn_rad)), std::abs(degrees(turn[at[k]]))});
    c.accepted = step.width <= most_abruptness(loop) && weakest > accept_turn_deg &&
                 distance(c.apex, loop.curve.at(c.arc)) < farthest_apex_px(loop, c.turn_deg) &&
                 is_shown_by_line(loop, c);
    c.zone_px = corner_zone_px(loop, c.turn_deg);
    out.push_back(c);
  }
  std::erase_if(out, [&](const Corner& c) { return beside_end(loop, c.arc); });
  return one_each(loop, std::move(out));
}

}  // namespace

double farthest_apex_px(const SpacedLoop& loop, double turn_deg) {
  const double cut = loop.rounding_px * (1 / std::sin(half_inner_angle_rad(turn_deg)) - 1);
  // An exact edge leaves no room beyond what the tolerance forgives; in a band the strokes of the two sides stray.
  const double slack = loop.exact() ? 2 * loop.rounding_px + 0.5 * loop.limit_px : 2 + 0.8 * loop.band_px;
  return slack + 2 * loop.sigma_px + 2.5 * cut;
}

bool is_shown_by_line(const SpacedLoop& loop, const Corner& c) {
  if (!loop.open()) return true;
  constexpr double shown = 0.5;
  const double shorter_px = std::min(c.arc, loop.curve.line_px - c.arc);
  return distance(c.apex, loop.curve.at(c.arc)) < std::min(farthest_apex_px(loop, c.turn_deg), shown * shorter_px);
}

double corner_zone_px(const SpacedLoop& loop, double turn_deg) {
  const double run_together_px =
      bands_run_together(loop) ? loop.band_px / (2 * std::tan(half_inner_angle_rad(turn_deg))) + 0.5 * loop.band_px
                               : rounded_px(loop, turn_deg);
  return std::max(2 * loop.rounding_px, run_together_px);
}

Result<Corners> find_corners(const SpacedLoops& loops, const Plane<float>& ink, double ink_noise, Progress& progress,
                             int threads) {
  Corners out;
  const LoopIndex index = index_of(loops);
  out.of_loop.resize(loops.loops.size());
  out.relocated.resize(loops.loops.size());
  const auto one = [&](std::size_t i) {  // loops know nothing of each other but where they are
    if (progress.stopped()) return;
    const SpacedLoop& loop = loops.loops[i];
    out.relocated[i] = loop.curve;
    if (loop.sort() != LoopSort::pencil_band || ink.empty()) {
      out.of_loop[i] = corners_of(loop, progress.stop_token());
      return;
    }
    SpacedLoop sharp = loop;
    sharp.curve = sharpened_band(loop.curve, int(i), loop.band_px, index, ink, ink_noise, progress.stop_token());
    if (progress.stopped()) return;
    std::vector<Corner> found = corners_of(sharp, progress.stop_token());
    const double share = loop.curve.drawn_px() / sharp.curve.drawn_px();
    for (Corner& c : found) c.arc = nearest_arc(loop.curve, sharp.curve.at(c.arc), c.arc * share, 3 * loop.band_px);
    std::stable_sort(found.begin(), found.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
    out.of_loop[i] = std::move(found);
    out.relocated[i] = std::move(sharp.curve);
  };
  const double count = double(std::max<std::size_t>(1, loops.loops.size()));
  share_out_by_size(lengths_of(loops), threads, one,
                    [&](std::size_t done) { progress.advance(0.4 * double(done) / count); });
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
