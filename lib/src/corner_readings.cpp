#include "corner_readings.h"

#include "small_least_squares.h"

namespace batten {
namespace {

constexpr double least_chord_widths = 0.9;  // a round smaller than that can't be told from a corner
constexpr int rounds = 10;

double square_sum(const std::vector<double>& r, std::size_t samples, double weight) {
  double s = 0;
  for (std::size_t i = 0; i < samples; ++i) s += r[i] * r[i];
  return s / (weight * weight);
}

}  // namespace

double one_corner_residual(const ReadingScene& scene, const EndFade& fade) {
  const Canvas c(scene);
  double s0 = 0.5 * scene.band_px, s1 = s0, sum = 0;
  if (c.size() == 0 || !c.meet({}, {}, &s0, &s1)) return -1;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double ink = 1 - (1 - c.before(c[i], {}, s0, fade)) * (1 - c.after(c[i], {}, s1, fade));
    sum += (c[i].ink - ink) * (c[i].ink - ink);
  }
  return sum / double(c.size());
}

Reading read_one(const ReadingScene& scene) {
  const Canvas c(scene);
  Reading out;
  double start0 = 0.5 * scene.band_px, start1 = start0;
  if (c.size() == 0 || !c.meet({}, {}, &start0, &start1)) return out;
  std::array<double, 4> x{};
  const auto render = [&](const std::array<double, 4>& y, std::vector<double>* r) {
    const ArmShift a{y[0], y[1]}, b{y[2], y[3]};
    double s0 = start0, s1 = start1;
    const bool met = c.meet(a, b, &s0, &s1);
    r->resize(c.size());
    for (std::size_t i = 0; i < c.size(); ++i) {
      const double ink = 1 - (1 - c.before(c[i], a, s0, scene.fade)) * (1 - c.after(c[i], b, s1, scene.fade));
      (*r)[i] = c.weight() * (met ? c[i].ink - ink : 1);
    }
    c.add_priors(a, b, r);
  };
  const double w = scene.band_px;
  out.loss = small_least_squares<4>(&x, {0.02 * w, 0.004, 0.02 * w, 0.004}, render, rounds);
  std::vector<double> r;
  render(x, &r);
  const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
  double s0 = start0, s1 = start1;
  if (!c.meet(a, b, &s0, &s1)) return out;
  out.valid = true;
  out.square_sum = square_sum(r, c.size(), c.weight());
  out.first = out.second = c.at(scene.before, a, s0);
  out.into = c.heading(scene.before, a, s0), out.out_of = -1 * c.heading(scene.after, b, s1);
  return out;
}

namespace {

// Where the arms end, by a coarse grid: the two best, apart from one another.
std::vector<std::array<double, 6>> starts_of_two(const Canvas& c) {
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

Reading read_two(const ReadingScene& scene) {
  const Canvas c(scene);
  const double w = scene.band_px;
  Reading best;
  best.loss = 1e300;
  std::vector<double> arms(c.size()), middle, r;
  ArmInk before(c, true, scene.fade), after(c, false, scene.fade);
  double amplitude = 1;
  const auto render = [&](const std::array<double, 6>& y, std::vector<double>* out) {
    const ArmShift a{y[0], y[1]}, b{y[2], y[3]};
    add_arms(before.at(a, y[4]), after.at(b, y[5]), &arms);
    const Point p = c.at(scene.before, a, y[4]), q = c.at(scene.after, b, y[5]);
    straight_middle(c, p, q, &middle);
    amplitude = add_middle(c, arms, middle, 0.35, 1.6, out);
    c.add_priors(a, b, out);
    out->push_back(std::max(0.0, 0.4 - distance(p, q) / w) / 0.1);
    for (double s : {y[4], y[5]}) out->push_back(std::max(0.0, std::abs(s / w) - 3.2) / 0.2);
  };
  if (c.size() == 0) return best;
  for (std::array<double, 6> x : starts_of_two(c)) {
    const double loss =
        small_least_squares<6>(&x, {0.02 * w, 0.004, 0.02 * w, 0.004, 0.03 * w, 0.03 * w}, render, rounds);
    if (loss >= best.loss) continue;
    render(x, &r);
    const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
    best = {};
    best.valid = true, best.loss = loss, best.amplitude = amplitude;
    best.square_sum = square_sum(r, c.size(), c.weight());
    best.first = c.at(scene.before, a, x[4]), best.second = c.at(scene.after, b, x[5]);
    best.into = c.heading(scene.before, a, x[4]), best.out_of = -1 * c.heading(scene.after, b, x[5]);
  }
  return best;
}

Reading read_round(const ReadingScene& scene) {
  const Canvas c(scene);
  const double w = scene.band_px;
  Reading best;
  best.loss = 1e300;
  if (c.size() == 0) return best;
  std::vector<double> arms(c.size()), middle, r;
  double amplitude = 1;
  const EndFade soft{0, soft_end_widths};
  ArmInk before(c, true, soft), after(c, false, soft);
  const auto render = [&](const std::array<double, 6>& y, std::vector<double>* out) {
    const ArmShift a{y[0], y[1]}, b{y[2], y[3]};
    add_arms(before.at(a, y[4]), after.at(b, y[5]), &arms);
    const Point p = c.at(scene.before, a, y[4]), q = c.at(scene.after, b, y[5]);
    round_middle(c, p, c.heading(scene.before, a, y[4]), q, -1 * c.heading(scene.after, b, y[5]), &middle);
    amplitude = add_middle(c, arms, middle, 0.5, 1.5, out);
    c.add_priors(a, b, out);
    out->push_back(std::max(0.0, least_chord_widths - distance(p, q) / w) / 0.2);
    for (double s : {y[4], y[5]}) out->push_back(std::max(0.0, std::abs(s / w) - 3.2) / 0.2);
  };
  double m0 = 0.5 * w, m1 = m0;
  const bool met = c.meet({}, {}, &m0, &m1);
  if (!met) m0 = m1 = 0.75 * w;
  struct Start {
    double cost, back;
  } start{1e300, 0};
  for (double back : {0.6, 0.9, 1.3, 1.8, 2.4}) {
    render({0, 0, 0, 0, m0 - back * w, m1 - back * w}, &r);
    double cost = 0;
    for (double v : r) cost += v * v;
    if (cost < start.cost) start = {cost, back};
  }
  std::array<double, 6> x{0, 0, 0, 0, m0 - start.back * w, m1 - start.back * w};
  best.loss = small_least_squares<6>(&x, {0.02 * w, 0.004, 0.02 * w, 0.004, 0.03 * w, 0.03 * w}, render, rounds);
  render(x, &r);
  const ArmShift a{x[0], x[1]}, b{x[2], x[3]};
  best.valid = true, best.amplitude = amplitude;
  best.square_sum = square_sum(r, c.size(), c.weight());
  best.first = c.at(scene.before, a, x[4]), best.second = c.at(scene.after, b, x[5]);
  best.into = c.heading(scene.before, a, x[4]), best.out_of = -1 * c.heading(scene.after, b, x[5]);
  return best;
}

}  // namespace batten
