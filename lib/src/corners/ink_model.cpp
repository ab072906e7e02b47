#include "corners/ink_model.h"

namespace batten {

void add_arms(const std::vector<double>& before, const std::vector<double>& after, std::vector<double>* out) {
  out->resize(before.size());
  for (std::size_t i = 0; i < before.size(); ++i) (*out)[i] = 1 - (1 - before[i]) * (1 - after[i]);
}

Added added_middle(const InkModel& c, const std::vector<double>& arms, const std::vector<double>& middle, double least,
                   double most) {
  double without = 0, up = 0, down = 1e-9;
  for (std::size_t i = 0; i < c.size(); ++i) {
    const double g = middle[i] * (1 - arms[i]), rest = c[i].ink - arms[i];
    without += rest * rest, up += rest * g, down += g * g;
  }
  const double m = std::clamp(up / down, least, most);
  return {m, without - 2 * m * up + m * m * down};
}

double add_middle(const InkModel& c, const std::vector<double>& arms, const std::vector<double>& middle, double least,
                  double most, std::vector<double>* r) {
  const double m = added_middle(c, arms, middle, least, most).amplitude;
  r->resize(c.size());
  for (std::size_t i = 0; i < c.size(); ++i)
    (*r)[i] = c.weight() * (c[i].ink - arms[i] - m * middle[i] * (1 - arms[i]));
  return m;
}

void straight_middle(const InkModel& c, Point p, Point q, std::vector<double>* out) {
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
  // Nearest place on the chords: squared distance, signed offset across, way along.
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
  const double reach = c.scene().side.half * c.scene().side.step_px, soft = soft_end_widths * c.w();
  const Point mid = line[line.size() / 2];
  double radius = 0;
  for (Point on : line) radius = std::max(radius, distance(on, mid));
  const Chords chords(line);
  out->assign(c.size(), 0);
  for (std::size_t i = 0; i < c.size(); ++i) {
    const Point q{c[i].x, c[i].y};
    if (norm2(q - mid) > (radius + reach) * (radius + reach)) continue;
    double d2, across, along;
    chords.nearest(q, &d2, &across, &along);
    const double ink = c.scene().side.at(std::copysign(std::sqrt(d2), across));
    if (ink > 0)
      (*out)[i] = ink * (*c.scene().normal)(along / soft) * (*c.scene().normal)((chords.total - along) / soft);
  }
}

}  // namespace batten
