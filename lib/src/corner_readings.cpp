#include "corner_readings.h"

#include <algorithm>

#include "small_least_squares.h"

namespace batten {
namespace {

// Strokes of one side share their error over four or five bands, so a window of some 700 samples holds about 14
// independent ones.
constexpr double independent_share = 0.02;
constexpr double shift_widths = 0.35;  // prior of an arm's offset: what the located middle strays near a corner
constexpr double tilt_rad = 0.08;      // prior of its tilt, about the point `pivot_widths` back
constexpr double pivot_widths = 2;
constexpr double short_tilt_rad = 0.25;  // more for an arm of no length: locating rounds a short side into an S
constexpr double long_arm_widths = 3;    // from here on an arm's direction is its own
constexpr double soft_end_widths = 0.15;
constexpr double least_chord_widths = 0.9;     // a round smaller than that can't be told from a corner
constexpr double farthest_widths = 3.5;        // apex from the window's centre
constexpr int rounds = 10;

// A sample as the two arms see it: s along, u across (left positive), the parabola taken out.
struct Seen {
  double s0, u0, s1, u1, x, y, ink;
};

struct ArmShift {
  double offset = 0, tilt = 0;
};

class Canvas {
 public:
  explicit Canvas(const ReadingScene& scene) : scene_(scene), w_(scene.band_px) {
    for (const InkWindow::Sample& q : scene.window->samples) {
      Seen v;
      see(scene.before, q.at, &v.s0, &v.u0);
      see(scene.after, q.at, &v.s1, &v.u1);
      v.x = q.at.x, v.y = q.at.y, v.ink = q.ink;
      seen_.push_back(v);
    }
    weight_ = std::sqrt(independent_share / scene.sample_variance);
  }
  std::size_t size() const { return seen_.size(); }
  const Seen& operator[](std::size_t i) const { return seen_[i]; }
  double weight() const { return weight_; }
  double w() const { return w_; }
  const ReadingScene& scene() const { return scene_; }

  double pivot(const ArmLine& arm) const { return std::min(pivot_widths * w_, 0.5 * arm.length_px); }
  double across(const ArmLine& arm, double s, double u, const ArmShift& a) const {
    return u - a.offset - a.tilt * (s + pivot(arm));
  }
  double fade(double beyond_px, const EndFade& e) const {
    return (*scene_.normal)(-(beyond_px / w_ - e.start_widths) / e.width_widths);
  }
  double before(const Seen& v, const ArmShift& a, double end, const EndFade& e) const {
    const double ink = scene_.before.profile.at(across(scene_.before, v.s0, v.u0, a));
    return ink > 0 ? ink * fade(v.s0 - end, e) : 0;
  }
  double after(const Seen& v, const ArmShift& a, double end, const EndFade& e) const {
    const double ink = scene_.after.profile.at(across(scene_.after, v.s1, v.u1, a));
    return ink > 0 ? ink * fade(v.s1 - end, e) : 0;
  }
  Point at(const ArmLine& arm, const ArmShift& a, double s) const {
    const double u = 0.5 * arm.curvature * s * s + a.offset + a.tilt * (s + pivot(arm));
    return arm.base + s * arm.tangent + u * left_of(arm.tangent);
  }
  Point heading(const ArmLine& arm, const ArmShift& a, double s) const {
    return unit(arm.tangent + (arm.curvature * s + a.tilt) * left_of(arm.tangent));
  }
  // Newton for the meeting point of the two arms, from s0, s1 on.
  bool meet(const ArmShift& a, const ArmShift& b, double* s0, double* s1) const {
    for (int k = 0; k < 8; ++k) {
      const Point p = at(scene_.before, a, *s0), q = at(scene_.after, b, *s1), gap = q - p;
      const Point t = heading(scene_.before, a, *s0), v = heading(scene_.after, b, *s1);
      const double den = -cross(t, v);  // p + ds t = q + dr v
      if (std::abs(den) < 0.1) return false;
      *s0 = std::clamp(*s0 - cross(gap, v) / den, -6 * w_, 6 * w_);
      *s1 = std::clamp(*s1 - cross(gap, t) / den, -6 * w_, 6 * w_);
    }
    const Point p = at(scene_.before, a, *s0), q = at(scene_.after, b, *s1);
    return distance(p, q) < 0.05 * w_ && distance(p, scene_.window->centre) < farthest_widths * w_;
  }
  void add_priors(const ArmShift& a, const ArmShift& b, std::vector<double>* r) const {
    r->push_back(a.offset / (shift_widths * w_));
    r->push_back(a.tilt / tilt_sd(scene_.before));
    r->push_back(b.offset / (shift_widths * w_));
    r->push_back(b.tilt / tilt_sd(scene_.after));
  }

 private:
  double tilt_sd(const ArmLine& arm) const {
    return tilt_rad + short_tilt_rad * std::max(0.0, 1 - arm.length_px / (long_arm_widths * w_));
  }
  void see(const ArmLine& arm, Point q, double* s, double* u) const {
    const Point d = q - arm.base;
    *s = dot(d, arm.tangent);
    *u = dot(d, left_of(arm.tangent)) - 0.5 * arm.curvature * *s * *s;
  }
  const ReadingScene& scene_;
  double w_, weight_ = 1;
  std::vector<Seen> seen_;
};

double square_sum(const std::vector<double>& r, std::size_t samples, double weight) {
  double s = 0;
  for (std::size_t i = 0; i < samples; ++i) s += r[i] * r[i];
  return s / (weight * weight);
}

// Ink of a middle piece added to that of the arms: 1 - (1 - A)(1 - m M), the amplitude m in closed form.
double add_middle(const Canvas& c, const std::vector<double>& arms, const std::vector<double>& middle, double least,
                  double most, std::vector<double>* r) {
  double up = 0, down = 1e-9;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double g = middle[i] * (1 - arms[i]);
    up += (c[i].ink - arms[i]) * g, down += g * g;
  }
  const double m = std::clamp(up / down, least, most);
  r->resize(c.size());
  for (std::size_t i = 0; i < c.size(); ++i)
    (*r)[i] = c.weight() * (c[i].ink - arms[i] - m * middle[i] * (1 - arms[i]));
  return m;
}

// A straight piece from p to q with faded ends.
void straight_middle(const Canvas& c, Point p, Point q, std::vector<double>* out) {
  const double len = distance(p, q);
  const Point t = unit(q - p), n = left_of(t);
  out->assign(c.size(), 0);
  for (std::size_t i = 0; i < c.size(); ++i) {
    const Point d = Point{c[i].x, c[i].y} - p;
    const double ink = c.scene().side.at(dot(d, n));
    if (ink <= 0) continue;
    const double s = dot(d, t);
    (*out)[i] = ink * c.fade(s - len, c.scene().fade) * c.fade(-s, c.scene().fade);
  }
}

// A cubic from p (direction t) to q (direction v), as 12 chords. Each handle is the one that a circle would have that
// leaves the chord by the same angle, chord / (3 cos^2(angle / 2)): a circle where both agree, an S where they oppose.
std::vector<Point> round_points(Point p, Point t, Point q, Point v) {
  const Point chord = q - p;
  const auto handle = [&](Point direction) {
    const double half = 0.5 * std::min(std::abs(turn_between(direction, chord)), 2.2);
    return norm(chord) / (3 * std::cos(half) * std::cos(half));
  };
  const Point b = p + handle(t) * t, d = q - handle(v) * v;
  std::vector<Point> out;
  for (int k = 0; k <= 12; ++k) {
    const double x = k / 12.0, y = 1 - x;
    out.push_back(y * y * y * p + 3 * y * y * x * b + 3 * y * x * x * d + x * x * x * q);
  }
  return out;
}

void round_middle(const Canvas& c, const std::vector<Point>& line, std::vector<double>* out) {
  const double reach = c.scene().side.half * c.scene().side.step_px, soft = soft_end_widths * c.w();
  Point mid = line[line.size() / 2];
  double radius = 0;
  for (Point p : line) radius = std::max(radius, distance(p, mid));
  double total = 0;
  std::vector<double> length;
  for (std::size_t k = 0; k + 1 < line.size(); ++k)
    length.push_back(distance(line[k], line[k + 1])), total += length.back();
  out->assign(c.size(), 0);
  for (std::size_t i = 0; i < c.size(); ++i) {
    const Point q{c[i].x, c[i].y};
    if (norm2(q - mid) > (radius + reach) * (radius + reach)) continue;
    double best = 1e300, across = 0, along = 0, run = 0;
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
      const Point d = line[k + 1] - line[k], e = q - line[k];
      const double len = std::max(length[k], 1e-9);
      const double f = dot(e, d) / (len * len);
      const bool open_start = k == 0, open_end = k + 2 == line.size();  // the ends run on: their softness cuts them
      const double g = std::clamp(f, open_start ? -3.0 : 0.0, open_end ? 4.0 : 1.0);
      const double d2 = norm2(e - g * d);
      if (d2 < best) best = d2, across = cross(d, e) / len, along = run + g * len;
      run += length[k];
    }
    const double ink = c.scene().side.at(std::copysign(std::sqrt(best), across));
    if (ink > 0) (*out)[i] = ink * (*c.scene().normal)(along / soft) * (*c.scene().normal)((total - along) / soft);
  }
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
  std::vector<double> arms(c.size()), middle, r;
  for (std::size_t i = 0; i < ends.size(); ++i)
    for (std::size_t j = 0; j < ends.size(); ++j) {
      const Point p = c.at(c.scene().before, {}, ends[i]), q = c.at(c.scene().after, {}, ends[j]);
      const double side = distance(p, q);
      if (side < 0.4 * w || side > 3.2 * w) continue;
      // The short side goes on along the travel: one that runs back against both arms is a crossing, not a corner pair.
      const Point t = unit(q - p);
      if (dot(t, c.scene().before.tangent) < -0.7 && dot(t, c.scene().after.tangent) > 0.7) continue;
      for (std::size_t k = 0; k < c.size(); ++k) arms[k] = 1 - (1 - before[i][k]) * (1 - after[j][k]);
      straight_middle(c, p, q, &middle);
      add_middle(c, arms, middle, 0.35, 1.6, &r);
      double cost = 0;
      for (double v : r) cost += v * v;
      found.push_back({cost, ends[i], ends[j]});
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
  double amplitude = 1;
  const auto render = [&](const std::array<double, 6>& y, std::vector<double>* out) {
    const ArmShift a{y[0], y[1]}, b{y[2], y[3]};
    for (std::size_t i = 0; i < c.size(); ++i)
      arms[i] = 1 - (1 - c.before(c[i], a, y[4], scene.fade)) * (1 - c.after(c[i], b, y[5], scene.fade));
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
  const auto render = [&](const std::array<double, 6>& y, std::vector<double>* out) {
    const ArmShift a{y[0], y[1]}, b{y[2], y[3]};
    for (std::size_t i = 0; i < c.size(); ++i)
      arms[i] = 1 - (1 - c.before(c[i], a, y[4], soft)) * (1 - c.after(c[i], b, y[5], soft));
    const Point p = c.at(scene.before, a, y[4]), q = c.at(scene.after, b, y[5]);
    round_middle(c, round_points(p, c.heading(scene.before, a, y[4]), q, -1 * c.heading(scene.after, b, y[5])),
                 &middle);
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
