#include "corners/ink_model.h"

namespace batten {

InkModel::InkModel(const CornerScene& scene, std::size_t every) : scene_(scene), w_(scene.pencil->band_px) {
  samples_.reserve(scene.window.samples.size() / every + 1);
  for (std::size_t i = 0; i < scene.window.samples.size(); i += every) {
    const InkWindow::Sample& q = scene.window.samples[i];
    Sample v{{}, {}, q.at, q.ink};
    for (std::size_t side : {0, 1}) {
      const Arm& arm = scene.sides[side].arm;
      v.s[side] = dot(q.at - arm.base, arm.tangent);
      v.u[side] = dot(q.at - arm.base, left_of(arm.tangent)) - 0.5 * arm.curvature * v.s[side] * v.s[side];
    }
    samples_.push_back(v);
  }
  weight_ = std::sqrt(independent_share * double(every) / scene.pencil->sample_variance);
}

Point InkModel::at(std::size_t side, const ArmShift& a, double s) const {
  const Arm& arm = scene_.sides[side].arm;
  const double u = 0.5 * arm.curvature * s * s + a.offset_px + a.tilt_rad * (s + pivot_px(side));
  return arm.base + s * arm.tangent + u * left_of(arm.tangent);
}

Point InkModel::heading(std::size_t side, const ArmShift& a, double s) const {
  const Arm& arm = scene_.sides[side].arm;
  return unit(arm.tangent + (arm.curvature * s + a.tilt_rad) * left_of(arm.tangent));
}

bool InkModel::meet(const ArmShifts& a, double* s0, double* s1) const {
  for (int k = 0; k < 8; ++k) {
    const Point gap = at(1, a[1], *s1) - at(0, a[0], *s0);
    const Point t = heading(0, a[0], *s0), v = heading(1, a[1], *s1);
    const double den = -cross(t, v);  // p + ds t = q + dr v
    if (std::abs(den) < 0.1) return false;
    *s0 = std::clamp(*s0 - cross(gap, v) / den, -6 * w_, 6 * w_);
    *s1 = std::clamp(*s1 - cross(gap, t) / den, -6 * w_, 6 * w_);
  }
  const Point p = at(0, a[0], *s0);
  return distance(p, at(1, a[1], *s1)) < 0.05 * w_ && distance(p, scene_.window.centre) < farthest_widths * w_;
}

void InkModel::add_priors(const ArmShifts& a, std::vector<double>* r) const {
  for (std::size_t side : {0, 1}) {
    const double shortness = std::max(0.0, 1 - scene_.sides[side].length_px / (long_arm_widths * w_));
    r->push_back(a[side].offset_px / (shift_widths * w_));
    r->push_back(a[side].tilt_rad / (default_tilt_rad + short_tilt_rad * shortness));
  }
}

const std::vector<double>& SideInk::at(const ArmShift& shift, double end_px) {
  for (DrawnSide& k : kept_)
    if (!k.ink.empty() && k.shift.offset_px == shift.offset_px && k.shift.tilt_rad == shift.tilt_rad &&
        k.end_px == end_px) {
      last_ = std::size_t(&k - kept_.data());
      return k.ink;
    }
  last_ = 1 - last_;
  DrawnSide& k = kept_[last_];
  k.shift = shift, k.end_px = end_px;
  k.ink.resize(model_.size());
  for (std::size_t i = 0; i < model_.size(); ++i) k.ink[i] = model_.ink_of(side_, model_[i], shift, end_px, fade_);
  return k.ink;
}

void add_sides(const std::vector<double>& before, const std::vector<double>& after, std::vector<double>* out) {
  out->resize(before.size());
  for (std::size_t i = 0; i < before.size(); ++i) (*out)[i] = 1 - (1 - before[i]) * (1 - after[i]);
}

FittedMiddle fit_middle(const InkModel& c, const std::vector<double>& sides, const std::vector<double>& middle,
                        double least, double most) {
  double without = 0, up = 0, down = 1e-9;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double g = middle[i] * (1 - sides[i]), rest = c[i].ink - sides[i];
    without += rest * rest, up += rest * g, down += g * g;
  }
  const double m = std::clamp(up / down, least, most);
  return {m, without - 2 * m * up + m * m * down};
}

void middle_residuals(const InkModel& c, const std::vector<double>& sides, const std::vector<double>& middle,
                      double amplitude, std::vector<double>* r) {
  r->resize(c.size());
  for (std::size_t i = 0; i < c.size(); ++i)
    (*r)[i] = c.weight() * (c[i].ink - sides[i] - amplitude * middle[i] * (1 - sides[i]));
}

void straight_middle(const InkModel& c, Point p, Point q, std::vector<double>* out) {
  const PencilInk& pencil = c.pencil();
  const double len = distance(p, q);
  const Point t = unit(q - p), n = left_of(t);
  out->assign(c.size(), 0);
  for (std::size_t i = 0; i < c.size(); ++i) {
    const Point d = c[i].at - p;
    const double ink = c.profile().at(dot(d, n));
    if (ink <= 0) continue;
    const double s = dot(d, t);
    (*out)[i] = ink * pencil.left_beyond(s - len, pencil.fade) * pencil.left_beyond(-s, pencil.fade);
  }
}

namespace {

constexpr int chord_count = 12;

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
  for (int k = 0; k <= chord_count; ++k) {
    const double x = k / double(chord_count), y = 1 - x;
    out.push_back(y * y * y * p + 3 * y * y * x * b + 3 * y * x * x * d + x * x * x * q);
  }
  return out;
}

// The chords of a round, laid out so that a point is held against all of them at once.
struct Chords {
  static constexpr std::size_t count = chord_count;
  std::array<double, count> x, y, dx, dy, length, per_square, lowest, highest, before;
  double total = 0;

  explicit Chords(const std::vector<Point>& line) {
    for (std::size_t k = 0; k < count; ++k) {
      const Point d = line[k + 1] - line[k];
      x[k] = line[k].x, y[k] = line[k].y, dx[k] = d.x, dy[k] = d.y;
      length[k] = std::max(norm(d), 1e-9), per_square[k] = 1 / (length[k] * length[k]);
      lowest[k] = k == 0 ? -3 : 0, highest[k] = k + 1 == count ? 4 : 1;  // ends run on: their softness cuts them
      before[k] = total;
      total += norm(d);
    }
  }
  // Nearest place on the chords: squared distance, signed offset across, arc length along.
  void nearest(Point q, double* d2, double* across, double* along) const {
    std::array<double, count> share, far2;
    for (std::size_t k = 0; k < count; ++k) {
      const double ex = q.x - x[k], ey = q.y - y[k];
      const double f = (ex * dx[k] + ey * dy[k]) * per_square[k];
      share[k] = std::min(std::max(f, lowest[k]), highest[k]);
      const double ux = ex - share[k] * dx[k], uy = ey - share[k] * dy[k];
      far2[k] = ux * ux + uy * uy;
    }
    std::size_t best = 0;
    for (std::size_t k = 1; k < count; ++k)
      if (far2[k] < far2[best]) best = k;
    *d2 = far2[best], *along = before[best] + share[best] * length[best];
    *across = (dx[best] * (q.y - y[best]) - dy[best] * (q.x - x[best])) / length[best];
  }
};

}  // namespace

void round_middle(const InkModel& c, Point p, Point t, Point end, Point v, std::vector<double>* out) {
  const std::vector<Point> line = round_points(p, t, end, v);
  const double half_px = c.profile().half * c.profile().step_px, soft = soft_end_widths * c.band_px();
  const Point mid = line[line.size() / 2];
  double radius = 0;
  for (Point on : line) radius = std::max(radius, distance(on, mid));
  const Chords chords(line);
  const NormalTable& normal = c.pencil().normal;
  out->assign(c.size(), 0);
  for (std::size_t i = 0; i < c.size(); ++i) {
    const Point q = c[i].at;
    if (norm2(q - mid) > (radius + half_px) * (radius + half_px)) continue;
    double d2, across, along;
    chords.nearest(q, &d2, &across, &along);
    const double ink = c.profile().at(std::copysign(std::sqrt(d2), across));
    if (ink > 0) (*out)[i] = ink * normal(along / soft) * normal((chords.total - along) / soft);
  }
}

}  // namespace batten
