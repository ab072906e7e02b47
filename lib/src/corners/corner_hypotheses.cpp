#include "corners/corner_hypotheses.h"

#include "corners/small_least_squares.h"

namespace batten {
namespace {

constexpr double least_chord_widths = 0.9;  // a round smaller than that can't be told from a corner
constexpr int rounds = 10;

// Some 700 samples hold about 14 independent ones: half of them lead to where all of them then decide.
constexpr std::size_t coarse_every = 2;
constexpr double clearly_worse = 1.25;  // of a part's losses: the others seldom win with all samples

double square_sum(const std::vector<double>& r, std::size_t samples, double weight) {
  double s = 0;
  for (std::size_t i = 0; i < samples; ++i) s += r[i] * r[i];
  return s / (weight * weight);
}

}  // namespace

double one_corner_residual(const ReadingScene& scene, const EndFade& fade) {
  const InkModel c(scene);
  double s0 = 0.5 * scene.band_px, s1 = s0, sum = 0;
  if (c.size() == 0 || !c.meet({}, {}, &s0, &s1)) return -1;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double ink = 1 - (1 - c.before(c[i], {}, s0, fade)) * (1 - c.after(c[i], {}, s1, fade));
    sum += (c[i].ink - ink) * (c[i].ink - ink);
  }
  return sum / double(c.size());
}

namespace {

// One corner: offset and tilt of either arm.
class OneCorner {
 public:
  OneCorner(const ReadingScene& scene, std::size_t every)
      : c_(scene, every), start0_(0.5 * scene.band_px), start1_(start0_) {
    meets_ = c_.size() > 0 && c_.meet({}, {}, &start0_, &start1_);
  }
  bool meets() const { return meets_; }
  bool meet(const std::array<double, 4>& x, double* s0, double* s1) const {
    *s0 = start0_, *s1 = start1_;
    return c_.meet({x[0], x[1]}, {x[2], x[3]}, s0, s1);
  }
  const InkModel& canvas() const { return c_; }
  void operator()(const std::array<double, 4>& x, std::vector<double>* r) const {
    const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
    const EndFade& fade = c_.scene().fade;
    double s0, s1;
    const bool met = meet(x, &s0, &s1);
    r->resize(c_.size());
    for (std::size_t i = 0; i < c_.size(); ++i) {
      const double ink = 1 - (1 - c_.before(c_[i], a, s0, fade)) * (1 - c_.after(c_[i], b, s1, fade));
      (*r)[i] = c_.weight() * (met ? c_[i].ink - ink : 1);
    }
    c_.add_priors(a, b, r);
  }

 private:
  InkModel c_;
  double start0_, start1_;
  bool meets_ = false;
};

enum class Middle { straight, round };

// Two arms that end anywhere and a piece between them: offset and tilt of either arm, and where each ends.
class TwoEnds {
 public:
  TwoEnds(const ReadingScene& scene, Middle middle, std::size_t every)
      : c_(scene, every),
        kind_(middle),
        before_(c_, true, fade(scene)),
        after_(c_, false, fade(scene)),
        arms_(c_.size()) {}
  const InkModel& canvas() const { return c_; }
  double amplitude() const { return amplitude_; }
  void operator()(const std::array<double, 6>& x, std::vector<double>* out) {
    const ReadingScene& scene = c_.scene();
    const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
    add_arms(before_.at(a, x[4]), after_.at(b, x[5]), &arms_);
    const Point p = c_.at(scene.before, a, x[4]), q = c_.at(scene.after, b, x[5]);
    const bool straight = kind_ == Middle::straight;
    if (straight)
      straight_middle(c_, p, q, &middle_);
    else
      round_middle(c_, p, c_.heading(scene.before, a, x[4]), q, -1 * c_.heading(scene.after, b, x[5]), &middle_);
    amplitude_ =
        straight ? add_middle(c_, arms_, middle_, 0.35, 1.6, out) : add_middle(c_, arms_, middle_, 0.5, 1.5, out);
    c_.add_priors(a, b, out);
    const double w = c_.w(), chord = distance(p, q) / w;
    out->push_back(straight ? std::max(0.0, 0.4 - chord) / 0.1 : std::max(0.0, least_chord_widths - chord) / 0.2);
    for (double s : {x[4], x[5]}) out->push_back(std::max(0.0, std::abs(s / w) - 3.2) / 0.2);
  }

 private:
  EndFade fade(const ReadingScene& scene) const {
    return kind_ == Middle::straight ? scene.fade : EndFade{0, soft_end_widths};
  }
  InkModel c_;
  Middle kind_;
  ArmInk before_, after_;
  std::vector<double> arms_, middle_;
  double amplitude_ = 1;
};

std::array<double, 6> differences(double w) { return {0.02 * w, 0.004, 0.02 * w, 0.004, 0.03 * w, 0.03 * w}; }

// The reading from x on, where a part of the samples led.
CornerHypothesis fitted(TwoEnds* whole, std::array<double, 6> x) {
  const InkModel& c = whole->canvas();
  const ReadingScene& scene = c.scene();
  CornerHypothesis out;
  out.loss = small_least_squares<6>(&x, differences(c.w()), *whole, rounds);
  std::vector<double> r;
  (*whole)(x, &r);
  const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
  out.valid = true, out.amplitude = whole->amplitude();
  out.square_sum = square_sum(r, c.size(), c.weight());
  out.first = c.at(scene.before, a, x[4]), out.second = c.at(scene.after, b, x[5]);
  out.into = c.heading(scene.before, a, x[4]), out.out_of = -1 * c.heading(scene.after, b, x[5]);
  return out;
}

}  // namespace

CornerHypothesis fit_one_corner(const ReadingScene& scene) {
  OneCorner part(scene, coarse_every), whole(scene, 1);
  const InkModel& c = whole.canvas();
  CornerHypothesis out;
  if (!whole.meets()) return out;
  std::array<double, 4> x{};
  const double w = scene.band_px;
  const std::array<double, 4> steps{0.02 * w, 0.004, 0.02 * w, 0.004};
  if (part.meets()) small_least_squares<4>(&x, steps, part, rounds);
  out.loss = small_least_squares<4>(&x, steps, whole, rounds);
  std::vector<double> r;
  whole(x, &r);
  const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
  double s0, s1;
  if (!whole.meet(x, &s0, &s1)) return out;
  out.valid = true;
  out.square_sum = square_sum(r, c.size(), c.weight());
  out.first = out.second = c.at(scene.before, a, s0);
  out.into = c.heading(scene.before, a, s0), out.out_of = -1 * c.heading(scene.after, b, s1);
  return out;
}

namespace {

// Where the arms end, by a coarse grid: the two best, apart from one another.
std::vector<std::array<double, 6>> starts_of_two(const InkModel& c) {
  const double w = c.w();
  std::vector<double> ends;
  for (double s = -2; s <= 2.51; s += 0.5) ends.push_back(s * w);
  std::vector<std::vector<double>> before, after;
  for (double s : ends) {
    std::vector<double> a(c.size()), b(c.size());
    for (std::size_t i = 0; i < c.size(); ++i)
      a[i] = c.before(c[i], {}, s, c.scene().fade), b[i] = c.after(c[i], {}, s, c.scene().fade);
    before.push_back(std::move(a)), after.push_back(std::move(b));
  }
  struct Start {
    double cost, s0, s1;
  };
  std::vector<Start> found;
  std::vector<double> arms(c.size()), middle;
  for (std::size_t i = 0; i < ends.size(); ++i)
    for (std::size_t j = 0; j < ends.size(); ++j) {
      const Point p = c.at(c.scene().before, {}, ends[i]), q = c.at(c.scene().after, {}, ends[j]);
      const double side = distance(p, q);
      if (side < 0.4 * w || side > 3.2 * w) continue;
      // The short side goes on along the travel: one that runs back against both arms is a crossing, not a corner pair.
      const Point t = unit(q - p);
      if (dot(t, c.scene().before.tangent) < -0.7 && dot(t, c.scene().after.tangent) > 0.7) continue;
      add_arms(before[i], after[j], &arms);
      straight_middle(c, p, q, &middle);
      found.push_back({added_middle(c, arms, middle, 0.35, 1.6).left, ends[i], ends[j]});
    }
  std::stable_sort(found.begin(), found.end(), [](const Start& a, const Start& b) { return a.cost < b.cost; });
  std::vector<std::array<double, 6>> out;
  for (const Start& s : found) {
    const bool close = std::any_of(out.begin(), out.end(), [&](const std::array<double, 6>& o) {
      return std::abs(o[4] - s.s0) + std::abs(o[5] - s.s1) < 0.9 * w;
    });
    if (!close) out.push_back({0, 0, 0, 0, s.s0, s.s1});
    if (out.size() == 2) break;
  }
  return out;
}

}  // namespace

CornerHypothesis read_two(const ReadingScene& scene) {
  TwoEnds part(scene, Middle::straight, coarse_every), whole(scene, Middle::straight, 1);
  CornerHypothesis best;
  best.loss = 1e300;
  if (whole.canvas().size() == 0) return best;
  std::vector<std::array<double, 6>> starts = starts_of_two(part.canvas());
  std::vector<double> losses;
  for (std::array<double, 6>& x : starts)
    losses.push_back(small_least_squares<6>(&x, differences(scene.band_px), part, rounds));
  for (std::size_t i = 0; i < starts.size(); ++i) {
    if (losses[i] > clearly_worse * *std::min_element(losses.begin(), losses.end())) continue;
    const CornerHypothesis r = fitted(&whole, starts[i]);
    if (r.loss < best.loss) best = r;
  }
  return best;
}

CornerHypothesis read_round(const ReadingScene& scene) {
  TwoEnds part(scene, Middle::round, coarse_every), whole(scene, Middle::round, 1);
  const double w = scene.band_px;
  CornerHypothesis best;
  best.loss = 1e300;
  if (whole.canvas().size() == 0) return best;
  double m0 = 0.5 * w, m1 = m0;
  if (!whole.canvas().meet({}, {}, &m0, &m1)) m0 = m1 = 0.75 * w;
  std::vector<double> r;
  double least = 1e300, start = 0;
  for (double back : {0.6, 0.9, 1.3, 1.8, 2.4}) {
    whole({0, 0, 0, 0, m0 - back * w, m1 - back * w}, &r);
    double cost = 0;
    for (double v : r) cost += v * v;
    if (cost < least) least = cost, start = back;
  }
  std::array<double, 6> x{0, 0, 0, 0, m0 - start * w, m1 - start * w};
  small_least_squares<6>(&x, differences(w), part, rounds);
  return fitted(&whole, x);
}

}  // namespace batten
