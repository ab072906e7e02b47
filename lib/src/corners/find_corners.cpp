#include "corners/find_corners.h"

#include <algorithm>
#include <array>

#include "base/parallel.h"
#include "corners/corner_arms.h"
#include "corners/sharpen_bands.h"

namespace batten {
namespace {

constexpr double propose_turn_deg = 12;    // gentler turns are never called corners by a practitioner
constexpr double accept_turn_deg = 24;     // with a rounding of a few px a weaker turn can't be told from a curve
constexpr double accept_abruptness = 0.5;  // corners: median 0.3, 90 % below 0.4; rounds of one band width: 1
constexpr double neighbour_gap = 0.7;      // scales: closer candidates are one
// A turn hidden beside a sharper one. Weaker ones are as often noise of the band (of 25, 30, 40 degrees, 30 found as
// many corners as 25 and no more false ones than 40); farther off than the turn profile averages it would be a peak
// itself.
constexpr double hidden_turn_deg = 30, hidden_gap = 1, hidden_reach = 3.5, sharp_width = 0.4;  // scales
constexpr std::array widths = {0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.65, 0.8, 1.0, 1.3, 1.7, 2.2};

double mean_angle(const std::vector<double>& angle, double total, std::ptrdiff_t from, std::ptrdiff_t to) {
  const auto n = std::ptrdiff_t(angle.size());
  double sum = 0;
  for (auto i = from; i <= to; ++i) {
    const auto turns = i >= 0 ? i / n : -((-i + n - 1) / n);
    sum += angle[std::size_t(i - turns * n)] + double(turns) * total;
  }
  return sum / double(to - from + 1);
}

// How close two corners may lie. The edge of a filled shape is known far better than the scale by which a turn is
// called abrupt: a crisp one to a tenth of a pixel, a soft one after an average over 3 px along it.
double fine_scale_px(const SpacedLoop& loop) {
  if (loop.kind != Kind::filled) return loop.scale_px;
  return std::min(loop.scale_px, loop.exact() ? 2.5 : 4.0);
}

// A crisp edge shows a corner as a step of what locating rounds and the spacing blurs; wider is a round of some pixels'
// radius, which a corner would miss by more than fine tolerances allow.
double most_abruptness(const SpacedLoop& loop) {
  if (loop.kind != Kind::filled || !loop.exact()) return accept_abruptness;
  return std::min(accept_abruptness, (0.6 + 2 * loop.rounding_px) / loop.scale_px);
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

struct Step {
  double width = 1, centre = 0, turn = 0;  // width in scales, centre px from the candidate, turn rad
};

// Least squares of theta(u) = a + b u + J Phi((u - c) / width) over a grid of widths and centres.
Step fit_step(const SpacedLoop& loop, const std::vector<double>& angle, double total, std::size_t at, double back_px,
              double ahead_px) {
  const double h = loop.curve.step_px, scale = loop.scale_px, fine = fine_scale_px(loop);
  const auto from = -std::ptrdiff_t(back_px / h), to = std::ptrdiff_t(ahead_px / h);
  std::vector<double> u, theta;
  for (auto k = from; k <= to; ++k) {
    u.push_back(double(k) * h);
    const auto i = std::ptrdiff_t(at) + k;
    theta.push_back(mean_angle(angle, total, i, i));
  }
  Step best;
  double best_cost = 1e300;
  for (double width : widths)
    for (double c = -0.5 * fine; c <= 0.5 * fine + 1e-9; c += 0.1 * fine) {
      double m[3][3] = {}, r[3] = {}, tt = 0;
      for (std::size_t k = 0; k < u.size(); ++k) {
        const double f[3] = {1, u[k] / scale, 0.5 * std::erfc(-(u[k] - c) / (width * scale * std::sqrt(2.0)))};
        for (int p = 0; p < 3; ++p) {
          r[p] += f[p] * theta[k];
          for (int q = 0; q < 3; ++q) m[p][q] += f[p] * f[q];
        }
        tt += theta[k] * theta[k];
      }
      m[1][1] += 0.02 * double(u.size());  // ridge: a steady bend may take only what the step can't explain
      const double c00 = m[1][1] * m[2][2] - m[1][2] * m[2][1], c01 = m[1][2] * m[2][0] - m[1][0] * m[2][2],
                   c02 = m[1][0] * m[2][1] - m[1][1] * m[2][0];
      const double det = m[0][0] * c00 + m[0][1] * c01 + m[0][2] * c02;
      if (std::abs(det) < 1e-12) continue;
      const double c11 = m[0][0] * m[2][2] - m[0][2] * m[2][0], c12 = m[0][1] * m[2][0] - m[0][0] * m[2][1],
                   c22 = m[0][0] * m[1][1] - m[0][1] * m[1][0];
      const double x0 = (c00 * r[0] + c01 * r[1] + c02 * r[2]) / det, x1 = (c01 * r[0] + c11 * r[1] + c12 * r[2]) / det,
                   x2 = (c02 * r[0] + c12 * r[1] + c22 * r[2]) / det;
      const double cost = tt - x0 * r[0] - x1 * r[1] - x2 * r[2];
      if (cost < best_cost) best_cost = cost, best = {width, c, x2};
    }
  return best;
}

// Position from the intersection of the arms. Of a band, each is fitted from about half a width away from the apex, and
// farther where the turn is acute, since there the two bands run into one another; of an edge, from where locating it
// no longer rounds the corner. Edges may bend, and are known well enough for short arms.
void place(const SpacedLoop& loop, double back_px, double ahead_px, Corner* c) {
  const bool edge = loop.kind == Kind::filled;
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
    const double reach = 2 * gap + 2.5 * scale;
    bool met = meet(a, b, reach, &u, &v);
    // Walls of a wedge that is hardly wider than a pixel run into one another before they meet. Farther out they are
    // themselves; the bend of so short an arm says nothing as far off as that.
    const bool acute = c->turn_deg >= 100;
    if (!met && acute && round > 0) {
      a.curvature = b.curvature = 0;
      met = meet(a, b, reach, &u, &v);
    }
    if (!met && (round > 0 || !acute)) return;
    if (met) {
      c->apex = 0.5 * (along(a, u) + along(b, -v)), c->into = heading(a, u), c->out_of = heading(b, -v);
      c->turn_deg = std::abs(degrees(turn_between(c->into, c->out_of)));
    }
    if (c->turn_deg < 100) return;
    const double half = radians(180 - std::min(c->turn_deg, 165.0)) / 2;
    gap = edge ? std::max(gap, loop.rounding_px / std::tan(half) + loop.rounding_px)
               : 0.5 * scale / std::tan(half) + 0.25 * scale;
  }
}

// Candidates that came to rest on the same turn are one: the most abrupt speaks for all.
std::vector<Corner> one_each(const SpacedLoop& loop, std::vector<Corner> found) {
  std::stable_sort(found.begin(), found.end(), [](const Corner& a, const Corner& b) {
    return a.accepted != b.accepted ? a.accepted : a.turn_deg > b.turn_deg;
  });
  std::vector<Corner> kept;
  for (const Corner& c : found)
    if (std::none_of(kept.begin(), kept.end(), [&](const Corner& k) {
          return std::abs(loop.curve.way(k.arc, c.arc)) < neighbour_gap * fine_scale_px(loop);
        }))
      kept.push_back(c);
  std::sort(kept.begin(), kept.end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
  return kept;
}

struct Room {
  double back_px, ahead_px;  // to the neighbouring candidates
};

Room room_of(const SpacedLoop& loop, const std::vector<std::size_t>& at, std::size_t k) {
  const double h = loop.curve.step_px, len = loop.curve.length_px();
  if (at.size() < 2) return {len / 2, len / 2};
  const double here = double(at[k]) * h;
  return {loop.curve.ahead(double(at[(k + at.size() - 1) % at.size()]) * h, here),
          loop.curve.ahead(here, double(at[(k + 1) % at.size()]) * h)};
}

Step step_at(const SpacedLoop& loop, const std::vector<double>& angle, double total, std::size_t at, const Room& room) {
  const double reach = 2.5 * loop.scale_px, least = 0.7 * fine_scale_px(loop);
  return fit_step(loop, angle, total, at, std::min(reach, std::max(0.55 * room.back_px, least)),
                  std::min(reach, std::max(0.55 * room.ahead_px, least)));
}

// What is left of the directions when steps are taken out of them.
void take_out(const SpacedLoop& loop, const Step& step, double centre, std::vector<double>* angle, double* total) {
  const double h = loop.curve.step_px, len = loop.curve.length_px(), width = step.width * loop.scale_px;
  const auto share = [&](double s) {
    const double u = (s - centre) / width;
    return u < -5 ? 0 : u > 5 ? 1 : 0.5 * std::erfc(-u / std::sqrt(2.0));
  };
  for (std::size_t i = 0; i < angle->size(); ++i) {
    const double s = double(i) * h;
    (*angle)[i] -= step.turn * (share(s) + share(s - len) + share(s + len) - 1);
  }
  *total -= step.turn;
}

// Of two turns the same way and hardly two scales apart only the sharper is a peak: the other shows in what is left of
// the directions without it. Beside a gentle turn nothing is looked for: there the readings of the place tell.
std::vector<std::size_t> with_hidden(const SpacedLoop& loop, const std::vector<double>& angle, double total,
                                     std::vector<std::size_t> at) {
  const double h = loop.curve.step_px;
  std::vector<double> left = angle;
  double left_total = total;
  std::vector<Step> steps;
  for (std::size_t k = 0; k < at.size(); ++k) {
    steps.push_back(step_at(loop, angle, total, at[k], room_of(loop, at, k)));
    take_out(loop, steps.back(), double(at[k]) * h + steps.back().centre, &left, &left_total);
  }
  const std::vector<double> turn = turn_profile(loop, left, left_total);
  const double gap = hidden_gap * fine_scale_px(loop);
  std::vector<std::size_t> hidden;
  for (std::size_t i : peaks(turn, gap / h)) {
    if (std::abs(turn[i]) < radians(hidden_turn_deg)) continue;
    double nearest = hidden_reach * loop.scale_px;
    const Step* beside = nullptr;
    for (std::size_t k = 0; k < at.size(); ++k) {
      const double way = std::abs(loop.curve.way(double(at[k]) * h + steps[k].centre, double(i) * h));
      if (way < nearest) nearest = way, beside = &steps[k];
    }
    if (beside && nearest > gap && beside->width <= sharp_width && beside->turn * turn[i] > 0) hidden.push_back(i);
  }
  at.insert(at.end(), hidden.begin(), hidden.end());
  std::sort(at.begin(), at.end());
  return at;
}

std::vector<Corner> corners_of(const SpacedLoop& loop, const std::stop_token& stop) {
  const std::vector<double> angle = tangent_angles(loop.curve);
  const double total = angle.back() - angle.front() + wrap_angle(angle.front() - angle.back());
  const std::vector<double> turn = turn_profile(loop, angle, total);
  const double h = loop.curve.step_px, scale = loop.scale_px, fine = fine_scale_px(loop);
  const bool band = loop.kind != Kind::filled && loop.band_px > 2;
  auto at = peaks(turn, neighbour_gap * fine / h);
  if (band) at = with_hidden(loop, angle, total, std::move(at));
  std::vector<Corner> out;
  for (std::size_t k = 0; k < at.size() && !stop.stop_requested(); ++k) {
    const double here = double(at[k]) * h;
    const Room room = room_of(loop, at, k);
    const double back = room.back_px, ahead = room.ahead_px;
    const Step step = step_at(loop, angle, total, at[k], room);
    Corner c;
    c.arc = loop.curve.wrap(here + step.centre);
    c.apex = loop.curve.at(c.arc);
    c.into = local_quadratic(loop.curve, c.arc - 2 * scale, c.arc - 0.5 * scale, c.arc - 0.5 * scale).tangent;
    c.out_of = local_quadratic(loop.curve, c.arc + 0.5 * scale, c.arc + 2 * scale, c.arc + 0.5 * scale).tangent;
    c.turn_deg = std::abs(degrees(turn[at[k]]));
    c.abruptness = step.width;
    place(loop, back, ahead, &c);
    const double weakest = std::min({c.turn_deg, std::abs(degrees(step.turn)), std::abs(degrees(turn[at[k]]))});
    c.accepted = step.width <= most_abruptness(loop) && weakest > accept_turn_deg &&
                 distance(c.apex, loop.curve.at(c.arc)) < corner_reach_px(loop, c.turn_deg);
    c.zone_px = corner_zone_px(loop, c.turn_deg);
    out.push_back(c);
  }
  return one_each(loop, std::move(out));
}

}  // namespace

double corner_reach_px(const SpacedLoop& loop, double turn_deg) {
  const double half = radians(180 - std::min(turn_deg, 165.0)) / 2;
  const double cut = loop.rounding_px * (1 / std::sin(half) - 1);
  // An exact edge leaves no room beyond what the tolerance forgives; in a band the strokes of the two sides stray.
  const double slack = loop.exact() ? 2 * loop.rounding_px + 0.5 * loop.limit_px : 2 + 0.8 * loop.band_px;
  return slack + 2 * loop.sigma_px + 2.5 * cut;
}

double corner_zone_px(const SpacedLoop& loop, double turn_deg) {
  const double half = radians(180 - std::min(turn_deg, 165.0)) / 2;
  double zone = 2 * loop.rounding_px;
  if (loop.band_px > 2 && loop.kind != Kind::filled)
    zone = std::max(zone, loop.band_px / (2 * std::tan(half)) + 0.5 * loop.band_px);
  else
    zone = std::max(zone, loop.rounding_px / std::tan(half) + loop.rounding_px);
  return zone;
}

Result<Corners> find_corners(const SpacedLoops& loops, const Plane<float>& ink, double ink_noise, Progress& progress,
                             int threads) {
  Corners out;
  std::vector<const ArcLoop*> all;
  double widest = 4;
  for (const SpacedLoop& loop : loops.loops) {
    all.push_back(&loop.curve);
    widest = std::max(widest, loop.band_px);
  }
  const LoopIndex index(all, 1.5, widest);
  out.of_loop.resize(loops.loops.size());
  out.relocated.resize(loops.loops.size());
  const auto one = [&](std::size_t i) {  // loops know nothing of each other but where they are
    if (progress.stopped()) return;
    const SpacedLoop& loop = loops.loops[i];
    out.relocated[i] = loop.curve;
    if (loop.kind == Kind::filled || ink.empty()) {
      out.of_loop[i] = corners_of(loop, progress.stop_token());
      return;
    }
    SpacedLoop sharp = loop;
    sharp.curve = sharpened_band(loop.curve, int(i), loop.band_px, index, ink, ink_noise, progress.stop_token());
    if (progress.stopped()) return;
    std::vector<Corner> found = corners_of(sharp, progress.stop_token());
    const double share = loop.curve.length_px() / sharp.curve.length_px();
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
