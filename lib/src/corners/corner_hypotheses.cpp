#include "corners/corner_hypotheses.h"

#include "corners/levenberg_marquardt.h"

namespace batten {
namespace {

constexpr double least_chord_widths = 0.9;  // a round smaller than that can't be told from a corner
constexpr int rounds = 10;

// Some 700 samples hold about 14 independent ones: half of them lead to where all of them then decide.
constexpr std::size_t coarse_every = 2;
constexpr double clearly_worse = 1.25;  // of a part's losses: the others seldom win with all samples

// Ink of a middle piece over that of the drawing's bands: strokes of a short side lie closer or farther apart.
struct AmplitudeRange {
  double least, most;
};
constexpr AmplitudeRange straight_amplitude{0.35, 1.6}, round_amplitude{0.5, 1.5};

template <std::size_t N>
ArmShifts shifts_of(const std::array<double, N>& x) {
  return {{{x[0], x[1]}, {x[2], x[3]}}};
}

// What is common to all fits: where the arms end, which way they run there, and what is left of the samples.
CornerHypothesis hypothesis_from(const InkModel& c, const ArmShifts& a, double s0, double s1,
                                 const std::vector<double>& residuals) {
  CornerHypothesis out;
  out.valid = true;
  for (std::size_t i = 0; i < c.size(); ++i) out.square_sum += residuals[i] * residuals[i];
  out.square_sum /= c.weight() * c.weight();
  out.first = c.at(0, a[0], s0), out.second = c.at(1, a[1], s1);
  out.into = c.heading(0, a[0], s0), out.out_of = -1 * c.heading(1, a[1], s1);
  return out;
}

// One corner: offset and tilt of either arm.
class OneCorner {
 public:
  OneCorner(const CornerScene& scene, std::size_t every)
      : c_(scene, every), start0_(0.5 * c_.band_px()), start1_(start0_) {
    meets_ = c_.size() > 0 && c_.meet({}, &start0_, &start1_);
  }
  bool meets() const { return meets_; }
  bool meet(const ArmShifts& a, double* s0, double* s1) const {
    *s0 = start0_, *s1 = start1_;
    return c_.meet(a, s0, s1);
  }
  const InkModel& model() const { return c_; }
  void operator()(const std::array<double, 4>& x, std::vector<double>* r) const {
    const ArmShifts a = shifts_of(x);
    double s0, s1;
    const bool met = meet(a, &s0, &s1);
    r->resize(c_.size());
    for (std::size_t i = 0; i < c_.size(); ++i)
      (*r)[i] = c_.weight() * (met ? c_[i].ink - ink(c_[i], a, s0, s1, c_.pencil().fade) : 1);
    c_.add_priors(a, r);
  }
  double ink(const InkModel::Sample& v, const ArmShifts& a, double s0, double s1, const EndFade& fade) const {
    return 1 - (1 - c_.ink_of(0, v, a[0], s0, fade)) * (1 - c_.ink_of(1, v, a[1], s1, fade));
  }

 private:
  InkModel c_;
  double start0_, start1_;
  bool meets_ = false;
};

enum class MiddlePiece { straight, round };

// Two arms that end anywhere and a piece between them. Unknowns: offset and tilt of either arm, and where each ends.
class TwoEnds {
 public:
  using Unknowns = std::array<double, 6>;

  TwoEnds(const CornerScene& scene, MiddlePiece piece, std::size_t every)
      : c_(scene, every),
        straight_(piece == MiddlePiece::straight),
        fade_(straight_ ? scene.pencil->fade : EndFade{0, soft_end_widths}),
        before_(c_, 0, fade_),
        after_(c_, 1, fade_) {}
  const InkModel& model() const { return c_; }
  void operator()(const Unknowns& x, std::vector<double>* r) {
    const ArmShifts a = shifts_of(x);
    add_sides(before_.at(a[0], x[4]), after_.at(a[1], x[5]), &sides_);
    const Point p = c_.at(0, a[0], x[4]), q = c_.at(1, a[1], x[5]);
    if (straight_)
      straight_middle(c_, p, q, &middle_);
    else
      round_middle(c_, p, c_.heading(0, a[0], x[4]), q, -1 * c_.heading(1, a[1], x[5]), &middle_);
    const AmplitudeRange range = straight_ ? straight_amplitude : round_amplitude;
    amplitude_ = fit_middle(c_, sides_, middle_, range.least, range.most).amplitude;
    middle_residuals(c_, sides_, middle_, amplitude_, r);
    c_.add_priors(a, r);
    const double w = c_.band_px(), chord = distance(p, q) / w;
    r->push_back(straight_ ? std::max(0.0, 0.4 - chord) / 0.1 : std::max(0.0, least_chord_widths - chord) / 0.2);
    for (double s : {x[4], x[5]}) r->push_back(std::max(0.0, std::abs(s / w) - 3.2) / 0.2);
  }
  double solve(Unknowns* x) {
    const double w = c_.band_px();
    return levenberg_marquardt<6>(x, {0.02 * w, 0.004, 0.02 * w, 0.004, 0.03 * w, 0.03 * w}, *this, rounds);
  }
  // The hypothesis from x on, where a part of the samples led.
  CornerHypothesis hypothesis(Unknowns x) {
    const double loss = solve(&x);
    std::vector<double> r;
    (*this)(x, &r);
    CornerHypothesis out = hypothesis_from(c_, shifts_of(x), x[4], x[5], r);
    out.loss = loss, out.amplitude = amplitude_;
    return out;
  }

 private:
  InkModel c_;
  bool straight_;
  EndFade fade_;
  SideInk before_, after_;
  std::vector<double> sides_, middle_;
  double amplitude_ = 1;
};

// Where the arms end, by a coarse grid: the two best, apart from one another.
std::vector<TwoEnds::Unknowns> starts_of_two(const InkModel& c) {
  const double w = c.band_px();
  std::vector<double> ends;
  std::vector<std::vector<double>> before, after;
  SideInk side0(c, 0, c.pencil().fade), side1(c, 1, c.pencil().fade);
  for (double s = -2; s <= 2.51; s += 0.5) {
    ends.push_back(s * w);
    before.push_back(side0.at({}, s * w)), after.push_back(side1.at({}, s * w));
  }
  struct GridEnds {
    double cost, s0, s1;
  };
  std::vector<GridEnds> found;
  std::vector<double> sides, middle;
  for (std::size_t i = 0; i < ends.size(); ++i)
    for (std::size_t j = 0; j < ends.size(); ++j) {
      const Point p = c.at(0, {}, ends[i]), q = c.at(1, {}, ends[j]);
      const double side = distance(p, q);
      if (side < 0.4 * w || side > 3.2 * w) continue;
      // The short side goes on along the travel: one that runs back against both arms is a crossing, not a corner pair.
      const Point t = unit(q - p);
      if (dot(t, c.scene().sides[0].arm.tangent) < -0.7 && dot(t, c.scene().sides[1].arm.tangent) > 0.7) continue;
      add_sides(before[i], after[j], &sides);
      straight_middle(c, p, q, &middle);
      const double left = fit_middle(c, sides, middle, straight_amplitude.least, straight_amplitude.most).left;
      found.push_back({left, ends[i], ends[j]});
    }
  std::stable_sort(found.begin(), found.end(), [](const GridEnds& a, const GridEnds& b) { return a.cost < b.cost; });
  std::vector<TwoEnds::Unknowns> out;
  for (const GridEnds& g : found) {
    const bool close = std::any_of(out.begin(), out.end(), [&](const TwoEnds::Unknowns& o) {
      return std::abs(o[4] - g.s0) + std::abs(o[5] - g.s1) < 0.9 * w;
    });
    if (!close) out.push_back({0, 0, 0, 0, g.s0, g.s1});
    if (out.size() == 2) break;
  }
  return out;
}

}  // namespace

double one_corner_residual(const CornerScene& scene, const EndFade& fade) {
  const OneCorner corner(scene, 1);
  const InkModel& c = corner.model();
  double s0, s1, sum = 0;
  if (!corner.meets() || !corner.meet({}, &s0, &s1)) return -1;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double off = c[i].ink - corner.ink(c[i], {}, s0, s1, fade);
    sum += off * off;
  }
  return sum / double(c.size());
}

CornerHypothesis fit_one_corner(const CornerScene& scene) {
  OneCorner part(scene, coarse_every), whole(scene, 1);
  if (!whole.meets()) return {};
  std::array<double, 4> x{};
  const double w = scene.pencil->band_px;
  const std::array<double, 4> steps{0.02 * w, 0.004, 0.02 * w, 0.004};
  if (part.meets()) levenberg_marquardt<4>(&x, steps, part, rounds);
  const double loss = levenberg_marquardt<4>(&x, steps, whole, rounds);
  std::vector<double> r;
  whole(x, &r);
  double s0, s1;
  if (!whole.meet(shifts_of(x), &s0, &s1)) return {};
  CornerHypothesis out = hypothesis_from(whole.model(), shifts_of(x), s0, s1, r);
  out.loss = loss, out.second = out.first;
  return out;
}

CornerHypothesis fit_two_corners(const CornerScene& scene) {
  TwoEnds part(scene, MiddlePiece::straight, coarse_every), whole(scene, MiddlePiece::straight, 1);
  CornerHypothesis best;
  best.loss = 1e300;
  if (whole.model().size() == 0) return best;
  std::vector<TwoEnds::Unknowns> starts = starts_of_two(part.model());
  std::vector<double> losses;
  for (TwoEnds::Unknowns& x : starts) losses.push_back(part.solve(&x));
  for (std::size_t i = 0; i < starts.size(); ++i) {
    if (losses[i] > clearly_worse * *std::min_element(losses.begin(), losses.end())) continue;
    const CornerHypothesis h = whole.hypothesis(starts[i]);
    if (h.loss < best.loss) best = h;
  }
  return best;
}

CornerHypothesis fit_round(const CornerScene& scene) {
  TwoEnds part(scene, MiddlePiece::round, coarse_every), whole(scene, MiddlePiece::round, 1);
  const double w = scene.pencil->band_px;
  if (whole.model().size() == 0) return {};
  double m0 = 0.5 * w, m1 = m0;
  if (!whole.model().meet({}, &m0, &m1)) m0 = m1 = 0.75 * w;
  std::vector<double> r;
  double least = 1e300;
  TwoEnds::Unknowns best{};
  for (double back : {0.6, 0.9, 1.3, 1.8, 2.4}) {
    const TwoEnds::Unknowns x{0, 0, 0, 0, m0 - back * w, m1 - back * w};
    whole(x, &r);
    double cost = 0;
    for (double v : r) cost += v * v;
    if (cost < least) least = cost, best = x;
  }
  part.solve(&best);
  return whole.hypothesis(best);
}

}  // namespace batten
