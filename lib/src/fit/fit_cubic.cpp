#include "fit/fit_cubic.h"

#include <Eigen/Dense>
#include <algorithm>
#include <array>
#include <limits>

#include "fit/handle_caps.h"
#include "fit/minimax_step.h"

namespace batten {
namespace {

struct CubicTrial {
  double h0, h3, a0, a3;  // handle lengths px, end directions rad
  double n0 = 0, n3 = 0;  // ends moved across the directions given, px
};
constexpr int trial_size = 6;
constexpr double optimism = 3;       // a step far from the minimum may gain more than its model promises
constexpr double least_gain = 1e-5;  // of the cost: a step that gains less ends least squares
using Step = Eigen::Matrix<double, trial_size, 1>;

Cubic curve_of(const CubicTask& k, const CubicTrial& v) {
  const Point p0 = k.p0 + v.n0 * left_of(k.t0), p3 = k.p3 + v.n3 * left_of(k.t3);
  return {p0, p0 + v.h0 * direction(v.a0), p3 - v.h3 * direction(v.a3), p3};
}

CubicTrial clamped(const CubicTask& k, CubicTrial v) {
  const double chord = std::max(distance(k.p0, k.p3), 1e-9);
  HandleCaps caps{2.5 * chord, 2.5 * chord};
  if (k.capped) caps = handle_caps(k.p0, direction(v.a0), k.p3, direction(v.a3));
  const double least = shortest_handle * chord;
  v.h0 = std::clamp(v.h0, least, caps.start_px);
  v.h3 = std::clamp(v.h3, least, caps.end_px);
  return v;
}

// Offsets of all points; the foot of each is looked for near its share of the arc length.
struct Offsets {
  std::vector<FootFinder::Foot> feet;
  double sum2 = 0, weight = 0, worst = 0;  // sum2: divided by the weight of all
};

double weight_of(const CubicTask& k, std::size_t i) { return k.weights.empty() ? 1 : k.weights[i]; }
// Does the largest distance count this point? (It does not beside corners.)
bool counts(const CubicTask& k, std::size_t i) { return weight_of(k, i) > 0.5; }

Offsets offsets_of(const CubicTask& k, const Cubic& c) {
  constexpr double window = 0.3;  // ends that do not fit yet shift the shares
  const FootFinder finder(c);
  Offsets out;
  out.feet.reserve(k.points.size());
  const double n = double(k.points.size());
  for (std::size_t i = 0; i < k.points.size(); ++i) {
    const double share = (double(i) + 0.5) / n, w = weight_of(k, i);
    const auto f = finder.foot_near(k.points[i], share, window);
    const double d2 = norm2(k.points[i] - f.at);
    out.sum2 += w * d2;
    out.weight += w;
    if (counts(k, i)) out.worst = std::max(out.worst, std::sqrt(d2));
    out.feet.push_back(f);
  }
  out.weight = std::max(out.weight, 1e-12);
  out.sum2 /= out.weight;
  return out;
}

// Share of the damping that stays after a step, by how much of the promised gain came true.
double eased(double came_true) { return came_true > 0.75 ? 0.2 : came_true > 0.25 ? 1 : 3; }

// Derivatives of offsets by the numbers of a trial.
class Derivatives {
 public:
  Derivatives(const CubicTask& k, const CubicTrial& v)
      : freed_{true, true, k.free0, k.free3, k.sliding, k.sliding},
        h0_(v.h0),
        h3_(v.h3),
        d0_(direction(v.a0)),
        d3_(direction(v.a3)),
        across0_(left_of(k.t0)),
        across3_(left_of(k.t3)) {}
  Step at(const FootFinder::Foot& f) const {
    const auto b = bernstein(f.t);
    Step j;
    j << -b[1] * dot(f.normal, d0_), b[2] * dot(f.normal, d3_), -b[1] * h0_ * dot(f.normal, left_of(d0_)),
        b[2] * h3_ * dot(f.normal, left_of(d3_)), -(b[0] + b[1]) * dot(f.normal, across0_),
        -(b[2] + b[3]) * dot(f.normal, across3_);
    for (std::size_t q = 0; q < trial_size; ++q)
      if (!freed_[q]) j[Eigen::Index(q)] = 0;
    return j;
  }

 private:
  std::array<bool, trial_size> freed_;
  double h0_, h3_;
  Point d0_, d3_, across0_, across3_;
};

CubicTrial moved(const CubicTask& k, const CubicTrial& v, const Step& s) {
  constexpr double most_turn = 0.3;  // rad
  CubicTrial next{v.h0 + s[0], v.h3 + s[1], v.a0, v.a3};
  if (k.free0) next.a0 += std::clamp(s[2], -most_turn, most_turn);
  if (k.free3) next.a3 += std::clamp(s[3], -most_turn, most_turn);
  if (k.sliding) next.n0 = v.n0 + s[4], next.n3 = v.n3 + s[5];
  return clamped(k, next);
}

// A trial and how it came out.
struct Outcome {
  CubicTrial trial;
  CubicFit fit;
};
Outcome outcome_of(const CubicTask& k, const CubicTrial& v, const Offsets& o) {
  return {v, {curve_of(k, v), o.worst, std::sqrt(o.sum2)}};
}

// Levenberg-Marquardt; keeps the best iterate (without that 1 % of the fits end far off).
Outcome least_squares(const CubicTask& k, CubicTrial v, int rounds) {
  v = clamped(k, v);
  Offsets o = offsets_of(k, curve_of(k, v));
  double lambda = 1e-3;
  const double hopeless = k.hopeless_px * k.hopeless_px;
  for (int round = 0; round < rounds; ++round) {
    Eigen::Matrix<double, trial_size, trial_size> h = decltype(h)::Zero();
    Step g = Step::Zero();
    const Derivatives derivatives(k, v);
    for (std::size_t i = 0; i < o.feet.size(); ++i) {
      const Step j = derivatives.at(o.feet[i]);
      const double w = weight_of(k, i) / o.weight;
      h += w * j * j.transpose();
      g += (w * o.feet[i].offset_px) * j;
    }
    bool went = false;
    for (int tries = 0; tries < 6 && !went; ++tries) {
      auto damped = h;
      for (int q = 0; q < trial_size; ++q) damped(q, q) += lambda * h(q, q) + 1e-12;
      const Step s = damped.ldlt().solve(-g);
      // What the quadratic model promises; at a minimum nothing is gained by trying shorter steps.
      const double promise = -2 * s.dot(g) - s.dot(h * s);
      if (promise < least_gain * o.sum2 || o.sum2 - optimism * promise > hopeless) return outcome_of(k, v, o);
      const CubicTrial next = moved(k, v, s);
      Offsets there = offsets_of(k, curve_of(k, next));
      if (there.sum2 < o.sum2) {
        went = true;
        const double gain = o.sum2 - there.sum2;
        const bool small = gain < least_gain * o.sum2;
        v = next, o = std::move(there), lambda = std::max(lambda * eased(gain / promise), 1e-9);
        if (small) return outcome_of(k, v, o);
      } else {
        lambda *= 8;
      }
    }
    if (!went) break;
  }
  return outcome_of(k, v, o);
}

MinimaxProblem linear_problem(const CubicTask& k, const CubicTrial& v, const Offsets& o, double trust) {
  // At first the linear model is trusted for a seventh of the chord of handle, nine degrees of direction, and for ends
  // that slide a few pixels.
  const double handle_px = 0.15 * std::max(distance(k.p0, k.p3), 1e-9), turn_rad = 0.15, slide_px = 3;
  MinimaxProblem out;
  out.high.resize(trial_size);
  out.high << handle_px, handle_px, turn_rad, turn_rad, slide_px, slide_px;
  out.high *= trust;
  out.low = -out.high;
  out.quadratic = Eigen::VectorXd(staying_share * o.worst * out.high.cwiseAbs2().cwiseInverse()).asDiagonal();
  out.linear = Eigen::VectorXd::Zero(trial_size);
  std::vector<Eigen::Triplet<double>> entries;
  std::vector<double> residuals;
  const Derivatives derivatives(k, v);
  for (std::size_t i = 0; i < o.feet.size(); ++i) {
    if (!counts(k, i)) continue;
    const Step j = derivatives.at(o.feet[i]);
    for (int q = 0; q < trial_size; ++q)
      if (j[q] != 0) entries.emplace_back(int(residuals.size()), q, j[q]);
    residuals.push_back(o.feet[i].offset_px);
  }
  out.residuals = Eigen::Map<const Eigen::VectorXd>(residuals.data(), Eigen::Index(residuals.size()));
  out.jacobian.resize(out.residuals.size(), trial_size);
  out.jacobian.setFromTriplets(entries.begin(), entries.end());
  return out;
}

// Madsen's method (minimax_step.h).
Outcome towards_minimax(const CubicTask& k, CubicTrial v, int rounds) {
  constexpr double least_promise = 1e-3, least_trust = 1e-2;
  v = clamped(k, v);
  Offsets o = offsets_of(k, curve_of(k, v));
  double trust = 1;
  for (int round = 0; round < rounds && trust > least_trust && o.worst > k.minimax_enough_px; ++round) {
    const MinimaxStep step = minimax_step(linear_problem(k, v, o, trust));
    if (!step.found || step.largest > o.worst * (1 - least_promise)) break;
    const CubicTrial next = moved(k, v, step.x);
    Offsets there = offsets_of(k, curve_of(k, next));
    const double came_true = (o.worst - there.worst) / (o.worst - step.largest);
    if (came_true > worth_keeping) v = next, o = std::move(there);
    trust *= trust_factor(came_true);
  }
  return outcome_of(k, v, o);
}

}  // namespace

std::vector<std::pair<double, double>> area_moment_handles(std::span<const Point> points, Point p0, Point p3, Point t0,
                                                           Point t3) {
  std::vector<std::pair<double, double>> out;
  const Point chord = p3 - p0;
  const double len = norm(chord);
  if (len < 1e-9) return out;
  const Point ex = (1 / len) * chord, ey = left_of(ex);
  const auto local = [&](Point p) { return Point{dot(p - p0, ex) / len, dot(p - p0, ey) / len}; };
  double area = 0, moment = 0;  // integrals of y dx and x y dx along the points, chord below
  Point a{0, 0};
  const auto add = [&](Point b) {
    const double dx = b.x - a.x;
    area += 0.5 * (a.y + b.y) * dx;
    moment += dx * (a.x * (2 * a.y + b.y) + b.x * (a.y + 2 * b.y)) / 6;
    a = b;
  };
  for (Point p : points) add(local(p));
  add({1, 0});
  const double s0 = dot(t0, ey), c0 = dot(t0, ex), s1 = -dot(t3, ey), c1 = dot(t3, ex);
  const double s01 = s0 * c1 + c0 * s1;  // sin(theta0 + theta1)
  const auto other = [&](double d0) {
    const double den = 0.5 * d0 * s01 - s1;
    return std::abs(den) > 1e-9 ? (d0 * s0 - 10 * area / 3) / den : -1.0;
  };
  const auto residual = [&](double d0, double d1) {
    return (34 * d0 * s0 + 50 * d1 * s1 + 15 * d0 * d0 * s0 * c0 - 15 * d1 * d1 * s1 * c1 -
            d0 * d1 * (33 * s0 * c1 + 9 * c0 * s1) - 9 * d0 * d0 * d1 * s01 * c0 + 9 * d0 * d1 * d1 * s01 * c1) /
               280 -
           moment;
  };
  constexpr int steps = 48;
  constexpr double longest = 1.5;            // handle looked for, in chords
  double last_d = 0, last_r = 0, slope = 0;  // slope: of |r| over the last step
  bool have = false;
  for (int i = 1; i <= steps; ++i) {
    const double d0 = longest * i / steps, d1 = other(d0);
    if (d1 <= 0 || d1 > 3) {
      have = false, slope = 0;
      continue;
    }
    const double r = residual(d0, d1);
    // Two roots that noise has merged into none: where they would be (the real part of a complex pair).
    if (slope < 0 && std::abs(r) > std::abs(last_r) && (r > 0) == (last_r > 0)) out.emplace_back(last_d, other(last_d));
    slope = have && (r > 0) == (last_r > 0) ? std::abs(r) - std::abs(last_r) : 0;
    if (have && (r > 0) != (last_r > 0)) {
      double lo = last_d, hi = d0;
      for (int k = 0; k < 24; ++k) {
        const double m = 0.5 * (lo + hi);
        ((residual(m, other(m)) > 0) == (last_r > 0) ? lo : hi) = m;
      }
      out.emplace_back(0.5 * (lo + hi), other(0.5 * (lo + hi)));
    }
    last_d = d0, last_r = r, have = true;
  }
  return out;
}

CubicFit fit_cubic(const CubicTask& task) {
  const double chord = distance(task.p0, task.p3);
  const double a0 = angle_of(task.t0), a3 = angle_of(task.t3);
  // A closed run has no chord: start from handles of a third of its extent.
  double extent = chord;
  for (Point p : task.points) extent = std::max(extent, distance(p, task.p0));
  std::vector<CubicTrial> starts{{extent / 3, extent / 3, a0, a3}};
  for (const auto& [d0, d1] : area_moment_handles(task.points, task.p0, task.p3, task.t0, task.t3))
    starts.push_back({d0 * chord, d1 * chord, a0, a3});
  CubicFit best;
  best.rms_px = std::numeric_limits<double>::infinity();
  CubicTrial winner = starts[0];
  for (const CubicTrial& s : starts) {
    const Outcome o = least_squares(task, s, 12);
    if (o.fit.rms_px < best.rms_px) best = o.fit, winner = o.trial;
  }
  if (task.minimax && best.max_px > task.minimax_above_px && best.max_px < task.minimax_below_px) {
    const CubicFit f = towards_minimax(task, winner, 8).fit;
    if (f.max_px <= best.max_px) best = f;
  }
  return best;
}

}  // namespace batten
