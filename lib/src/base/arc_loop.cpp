#include "base/arc_loop.h"

#include <algorithm>
#include <limits>

namespace batten {
namespace {

// `count` points along an open polyline from its first to its last.
std::vector<Point> points_along(std::span<const Point> polyline, const std::vector<double>& arc, std::size_t count) {
  std::vector<Point> out;
  std::size_t k = 0;
  for (std::size_t i = 0; i + 1 < count; ++i) {
    const double s = arc.back() * double(i) / double(count - 1);
    while (k + 2 < arc.size() && arc[k + 1] <= s) ++k;
    const double span = arc[k + 1] - arc[k], f = span > 0 ? (s - arc[k]) / span : 0;
    out.push_back((1 - f) * polyline[k] + f * polyline[k + 1]);
  }
  out.push_back(polyline.back());
  return out;
}

// Leads an open line, whose points are all there are so far, on from its end and back to its start.
void add_way_back(ArcLoop* line) {
  const double window = std::min(0.4 * line->run_on_px, line->line_px), len = line->line_px;
  const Point on = local_quadratic(*line, len - window, len, len).tangent,
              into = local_quadratic(*line, 0, window, 0).tangent;
  const auto count = std::max<std::ptrdiff_t>(1, std::lround(line->run_on_px / line->step_px));
  const Point start = line->points.front(), end = line->points.back();
  const double run_px = double(count) * line->step_px;
  const Point turn = end + run_px * on, gap = start - run_px * into - turn;
  for (std::ptrdiff_t i = 1; i < count; ++i) line->points.push_back(end + (double(i) * line->step_px) * on);
  // As dense as the line, since look-ups count on it.
  const auto across = std::max<std::ptrdiff_t>(1, std::ptrdiff_t(std::ceil(norm(gap) / line->step_px)));
  for (std::ptrdiff_t i = 0; i < across; ++i) line->points.push_back(turn + (double(i) / double(across)) * gap);
  for (std::ptrdiff_t i = count; i > 0; --i) line->points.push_back(start - (double(i) * line->step_px) * into);
}

}  // namespace

double ArcLoop::wrapped(double arc) const {
  const double n = length_px();
  arc = std::fmod(arc, n);
  if (arc < 0) arc += n;
  return arc < n ? arc : 0;
}

double ArcLoop::ahead(double a, double b) const { return wrap(b - a); }

Point ArcLoop::at(double arc) const {
  const double u = wrap(arc) / step_px;
  const auto i = std::ptrdiff_t(std::floor(u));
  const double f = u - double(i);
  return (1 - f) * (*this)[i] + f * (*this)[i + 1];
}

ArcLoop resample(std::span<const Point> polyline, double step_px) {
  const std::size_t n = polyline.size();
  std::vector<double> arc(n + 1, 0);
  for (std::size_t i = 0; i < n; ++i) arc[i + 1] = arc[i] + distance(polyline[i], polyline[(i + 1) % n]);
  const double total = arc[n];
  ArcLoop out;
  const auto count = std::max<std::size_t>(8, std::size_t(std::lround(total / step_px)));
  out.step_px = total / double(count);
  out.points.reserve(count);
  std::size_t k = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const double s = double(i) * out.step_px;
    while (k + 1 < n && arc[k + 1] <= s) ++k;
    const double span = arc[k + 1] - arc[k], f = span > 0 ? (s - arc[k]) / span : 0;
    out.points.push_back((1 - f) * polyline[k] + f * polyline[(k + 1) % n]);
  }
  return out;
}

ArcLoop resample_line(std::span<const Point> polyline, double step_px, double run_on_px) {
  std::vector<double> arc{0};
  for (std::size_t i = 0; i + 1 < polyline.size(); ++i)
    arc.push_back(arc.back() + distance(polyline[i], polyline[i + 1]));
  ArcLoop out;
  const auto steps = std::max<std::size_t>(8, std::size_t(std::lround(arc.back() / step_px)));
  out.points = points_along(polyline, arc, steps + 1);
  out.step_px = arc.back() / double(steps);
  out.line_px = arc.back(), out.run_on_px = run_on_px;
  add_way_back(&out);
  return out;
}

ArcLoop respaced(const ArcLoop& loop, double step_px) {
  if (!loop.open()) return resample(loop.points, step_px);
  return resample_line(std::span(loop.points).first(loop.drawn_count()), step_px, loop.run_on_px);
}

ArcLoop smooth(const ArcLoop& loop, double sigma_px) {
  const double sigma = sigma_px / loop.step_px;
  if (sigma < 0.2) return loop;
  const auto half = std::min<std::ptrdiff_t>(std::ptrdiff_t(std::ceil(3.5 * sigma)), std::ptrdiff_t(loop.size() / 2));
  std::vector<double> w(std::size_t(half) + 1);
  double sum = 0;
  for (std::ptrdiff_t k = 0; k <= half; ++k) {
    w[std::size_t(k)] = std::exp(-0.5 * double(k * k) / (sigma * sigma));
    sum += (k ? 2 : 1) * w[std::size_t(k)];
  }
  ArcLoop out = loop;
  for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(loop.size()); ++i) {
    Point p = w[0] * loop[i];
    for (std::ptrdiff_t k = 1; k <= half; ++k) p = p + w[std::size_t(k)] * (loop[i - k] + loop[i + k]);
    out.points[std::size_t(i)] = (1 / sum) * p;
  }
  return out;
}

std::vector<double> tangent_angles(const ArcLoop& loop) {
  std::vector<double> angle(loop.size());
  for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(loop.size()); ++i) {
    const Point d = loop[i + 1] - loop[i - 1];
    const double a = angle_of(d);
    angle[std::size_t(i)] = i == 0 ? a : angle[std::size_t(i - 1)] + wrap_angle(a - angle[std::size_t(i - 1)]);
  }
  return angle;
}

LocalFit local_quadratic(const ArcLoop& loop, double from, double to, double where) {
  // Moments of u = arc - where; two 3 x 3 normal equations with one matrix, solved by Cramer's rule.
  const auto first = std::ptrdiff_t(std::ceil(from / loop.step_px)),
             last = std::ptrdiff_t(std::floor(to / loop.step_px));
  const double scale = std::max(0.5 * (to - from), loop.step_px);
  double m[5] = {};
  Point b[3] = {};
  for (auto i = first; i <= last; ++i) {
    const double u = (double(i) * loop.step_px - where) / scale;
    double un = 1;
    for (int k = 0; k < 5; ++k) {
      m[k] += un;
      if (k < 3) b[k] = b[k] + un * loop[i];
      un *= u;
    }
  }
  LocalFit out{loop.at(where), unit(loop.at(to) - loop.at(from)), 0};
  if (last - first < 2) return out;
  m[4] += 1e-9 * m[0];
  const double c0 = m[2] * m[4] - m[3] * m[3], c1 = m[2] * m[3] - m[1] * m[4], c2 = m[1] * m[3] - m[2] * m[2];
  const double det = m[0] * c0 + m[1] * c1 + m[2] * c2;
  if (std::abs(det) < 1e-12) return out;
  const double d11 = m[0] * m[4] - m[2] * m[2], d12 = m[1] * m[2] - m[0] * m[3], d22 = m[0] * m[2] - m[1] * m[1];
  const Point p = (1 / det) * (c0 * b[0] + c1 * b[1] + c2 * b[2]);
  const Point v = (1 / det) * (c1 * b[0] + d11 * b[1] + d12 * b[2]);
  const Point a = (1 / det) * (c2 * b[0] + d12 * b[1] + d22 * b[2]);
  out.at = p;
  const double speed = norm(v);
  if (speed < 1e-9) return out;
  out.tangent = unit(v);
  out.curvature = 2 * cross(v, a) / (speed * speed * speed);
  return out;
}

double nearest_arc(const ArcLoop& loop, Point p, double near, double window_px) {
  const auto first = std::ptrdiff_t(std::floor((near - window_px) / loop.step_px));
  const auto last = std::ptrdiff_t(std::ceil((near + window_px) / loop.step_px));
  // An edge farther off than this place needs no look: along the loop the distance falls by at most the length gone.
  const double reached2 = norm2(p - loop[std::ptrdiff_t(std::floor(near / loop.step_px))]),
               reached = std::sqrt(reached2);
  double best = std::numeric_limits<double>::infinity(), arc = near;
  Point a = loop[first];
  double far2 = norm2(p - a);
  for (auto i = first; i < last;) {
    if (far2 > 4 * (reached2 + loop.step_px * loop.step_px)) {
      i += std::max<std::ptrdiff_t>(1, std::ptrdiff_t((std::sqrt(far2) - reached) / loop.step_px - 1));
      a = loop[i], far2 = norm2(p - a);
      continue;
    }
    const Point b = loop[i + 1], from_a = p - a, d = b - a;
    const double along = dot(from_a, d), len2 = norm2(d);
    // The nearest place of most edges is one of their ends, which needs no division.
    const double f = along <= 0 || len2 <= 0 ? 0 : along >= len2 ? 1 : along / len2;
    const double d2 = norm2(p - (a + f * d));
    if (d2 < best) best = d2, arc = (double(i) + f) * loop.step_px;
    a = b, far2 = norm2(p - a), ++i;
  }
  return loop.wrap(near + std::clamp(loop.signed_arc_px(near, arc), -window_px, window_px));
}

}  // namespace batten
