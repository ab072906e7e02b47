#include "support/score.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <limits>
#include <numbers>

#include "batten/measure.h"
#include "support/shapes.h"

namespace batten::support {
namespace {

constexpr double deg = 180 / std::numbers::pi;
double length(Point a) { return std::hypot(a.x, a.y); }
double angle_between(Point a, Point b) {
  return std::abs(std::atan2(a.x * b.y - a.y * b.x, a.x * b.x + a.y * b.y)) * deg;
}

struct Box {
  double left = 1e18, top = 1e18, right = -1e18, bottom = -1e18;
  double size() const { return std::max(right - left, bottom - top); }
};

Box box_of(const Polyline& points) {
  Box box;
  for (const Point p : points) {
    box.left = std::min(box.left, p.x), box.right = std::max(box.right, p.x);
    box.top = std::min(box.top, p.y), box.bottom = std::max(box.bottom, p.y);
  }
  return box;
}

std::vector<Point> corners_of(const Outline& outline, double least_deg) {
  std::vector<Point> corners;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i)
    if (turn_deg(outline, i) > least_deg) corners.push_back(outline.nodes[i].at);
  return corners;
}

/// One-to-one, nearest pairs first; both lists lose what was matched.
std::size_t match(std::vector<Point>& a, std::vector<Point>& b, double limit_px) {
  std::size_t count = 0;
  for (;;) {
    double best = limit_px;
    std::size_t bi = a.size(), bj = 0;
    for (std::size_t i = 0; i < a.size(); ++i)
      for (std::size_t j = 0; j < b.size(); ++j)
        if (const double d = length(a[i] - b[j]); d < best) best = d, bi = i, bj = j;
    if (bi == a.size()) return count;
    a.erase(a.begin() + std::ptrdiff_t(bi));
    b.erase(b.begin() + std::ptrdiff_t(bj));
    ++count;
  }
}

/// Does the truth (points 0.25 px apart) turn by more than 25 deg within 6 px of the place? Then a corner there is not
/// false.
bool turns_near(const Polyline& truth, Point place) {
  std::size_t k = 0;
  for (std::size_t i = 0; i < truth.size(); ++i)
    if (length(truth[i] - place) < length(truth[k] - place)) k = i;
  const auto at = [&](std::ptrdiff_t i) {
    const auto n = std::ptrdiff_t(truth.size());
    return truth[std::size_t(((std::ptrdiff_t(k) + i) % n + n) % n)];
  };
  return angle_between(at(-22) - at(-26), at(26) - at(22)) > 25;
}

bool is_axis_line(const Outline& o, std::size_t i, bool level) {
  if (!o.is_straight(i)) return false;
  const Cubic c = o.segment(i);
  return std::abs(level ? c[0].y - c[3].y : c[0].x - c[3].x) < 1e-3;
}

void count_axis_straights(const Outline& truth, const Outline& traced, Score& s) {
  for (std::size_t i = 0; i < truth.nodes.size(); ++i)
    for (const bool level : {true, false}) {
      const Cubic c = truth.segment(i);
      if (!is_axis_line(truth, i, level) || length(c[3] - c[0]) < 12) continue;
      ++s.axis_straights;
      const auto along = [&](Point p) { return level ? p.x : p.y; };
      const auto across = [&](Point p) { return level ? p.y : p.x; };
      bool found = false;
      for (std::size_t k = 0; k < traced.nodes.size() && !found; ++k) {
        const Cubic q = traced.segment(k);
        if (!is_axis_line(traced, k, level) || std::abs(across(q[0]) - across(c[0])) > 4) continue;
        const double lo = std::min(along(q[0]), along(q[3])), hi = std::max(along(q[0]), along(q[3]));
        const double l2 = std::min(along(c[0]), along(c[3])), h2 = std::max(along(c[0]), along(c[3]));
        found = std::min(hi, h2) - std::max(lo, l2) > 0.6 * (h2 - l2);
      }
      s.axis_straights_found += found;
    }
}

void count_handles(const Outline& o, Score& s) {
  const std::size_t n = o.nodes.size();
  for (std::size_t i = 0; i < n; ++i) {
    if (o.is_straight(i)) continue;
    const std::size_t before = (i + n - 1) % n, after = (i + 1) % n;
    // A handle along a straight follows the straight.
    const bool joined[2] = {o.is_straight(before) && turn_deg(o, i) < 0.5,
                            o.is_straight(after) && turn_deg(o, after) < 0.5};
    for (const bool end : {false, true}) {
      if (joined[end]) continue;
      const Point d = direction(o.segment(i), end);
      const double off =
          std::atan2(std::min(std::abs(d.x), std::abs(d.y)), std::max(std::abs(d.x), std::abs(d.y))) * deg;
      if (off < 3) ++s.handles_near_axis, s.handles_on_axis += off < 0.02;
    }
  }
}

/// Index of the traced outline that belongs to each truth, or -1; nearest pairs first.
std::vector<int> pairs_of(const std::vector<Outline>& truth, const std::vector<Outline>& traced,
                          const std::vector<Polyline>& points) {
  struct Pair {
    double distance;
    std::size_t truth, traced;
  };
  std::vector<Pair> candidates;
  std::vector<Box> boxes;
  for (const Outline& o : traced) boxes.push_back(box_of(points_of(o, 2)));
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const Box a = box_of(points[i]);
    for (std::size_t j = 0; j < traced.size(); ++j) {
      const Box& b = boxes[j];
      const double limit = 0.3 * a.size() + 6;
      if (std::abs(a.left - b.left) > limit || std::abs(a.right - b.right) > limit || std::abs(a.top - b.top) > limit ||
          std::abs(a.bottom - b.bottom) > limit)
        continue;
      const double d = measure(traced[j], points[i], 1).rms_px;
      if (d < 0.15 * a.size()) candidates.push_back({d, i, j});
    }
  }
  std::sort(candidates.begin(), candidates.end(), [](const Pair& a, const Pair& b) { return a.distance < b.distance; });
  std::vector<int> of_truth(truth.size(), -1);
  std::vector<bool> used(traced.size(), false);
  for (const Pair& p : candidates)
    if (of_truth[p.truth] < 0 && !used[p.traced]) of_truth[p.truth] = int(p.traced), used[p.traced] = true;
  return of_truth;
}

void compare(const Outline& truth, const Outline& traced, const Polyline& points, Score& s) {
  s.truth_segments += truth.segment_count(), s.segments += traced.segment_count();
  const Deviation d = measure(traced, points);
  s.p95_px = std::max(s.p95_px, d.p95_px), s.max_px = std::max(s.max_px, d.max_px);
  std::vector<Point> wanted = corners_of(truth, 25), got = corners_of(traced, 15), mild = corners_of(truth, 8);
  s.start_off_corner += !got.empty() && turn_deg(traced, 0) < 15;
  s.truth_corners += wanted.size();
  std::vector<Point> rest = got;
  s.corners_found += match(wanted, rest, 8);
  std::erase_if(got, [&](Point p) { return turns_near(points, p); });
  match(mild, got, 8);
  s.false_corners += got.size();
  s.bumps += std::max(turning_changes(traced), turning_changes(truth)) - turning_changes(truth);
  s.crossing += crosses_itself(traced);
  s.wrong_way += (signed_area_px2(traced) > 0) != (signed_area_px2(truth) > 0);
  for (std::size_t i = 0; i < traced.nodes.size(); ++i) {
    s.missed_extremes += leaves_box_px(traced.segment(i)) > 0.3;
    const double turn = turn_deg(traced, i);
    s.kinks += turn > 0.5 && turn < 15;
  }
  count_handles(traced, s);
  count_axis_straights(truth, traced, s);
}

}  // namespace

Point direction(const Cubic& c, bool end) {
  for (const int i : {1, 2, 3}) {
    const Point d = end ? c[3] - c[std::size_t(3 - i)] : c[std::size_t(i)] - c[0];
    if (const double l = length(d); l > 1e-9) return (1 / l) * d;
  }
  return {};
}

double turn_deg(const Outline& outline, std::size_t i) {
  const std::size_t n = outline.nodes.size();
  return angle_between(direction(outline.segment((i + n - 1) % n), true), direction(outline.segment(i), false));
}

double leaves_box_px(const Cubic& c) {
  double out = 0;
  for (int k = 1; k < 64; ++k) {
    const Point p = at(c, k / 64.0);
    out = std::max({out, std::min(c[0].x, c[3].x) - p.x, p.x - std::max(c[0].x, c[3].x), std::min(c[0].y, c[3].y) - p.y,
                    p.y - std::max(c[0].y, c[3].y)});
  }
  return out;
}

std::size_t turning_changes(const Outline& outline) {
  const std::size_t n = outline.nodes.size();
  std::size_t start = 0;
  while (start < n && turn_deg(outline, start) <= 15) ++start;
  start = start == n ? 0 : start;
  constexpr double least_deg = 3;
  std::size_t changes = 0;
  double angle = 0, low = 0, high = 0;
  int way = 0;
  Point before{};
  for (std::size_t k = 0; k < n; ++k) {
    const std::size_t i = (start + k) % n;
    if (turn_deg(outline, i) > 15) angle = low = high = 0, way = 0, before = {};
    const Cubic c = outline.segment(i);
    const int steps = 2 + int((length(c[1] - c[0]) + length(c[2] - c[1]) + length(c[3] - c[2])));
    for (int q = 0; q < steps; ++q) {
      const Point d = at(c, double(q + 1) / steps) - at(c, double(q) / steps);
      if (length(d) < 1e-6) continue;
      if (before.x != 0 || before.y != 0)
        angle += std::atan2(before.x * d.y - before.y * d.x, before.x * d.x + before.y * d.y) * deg;
      before = d;
      // Zigzag with hysteresis: a change counts once the angle has come back by least_deg.
      if (way >= 0) {
        high = std::max(high, angle);
        if (high - angle > least_deg) changes += way > 0, way = -1, low = angle;
      }
      if (way <= 0) {
        low = std::min(low, angle);
        if (angle - low > least_deg) changes += way < 0, way = 1, high = angle;
      }
    }
  }
  return changes;
}

Score score(const std::vector<Outline>& truth, const std::vector<Outline>& traced) {
  Score s;
  s.truth_outlines = truth.size(), s.outlines = traced.size();
  std::vector<Polyline> points;
  for (const Outline& o : truth) points.push_back(points_of(o, 0.25));
  for (const Outline& o : traced) s.open += !o.closed;
  const std::vector<int> pairs = pairs_of(truth, traced, points);
  double squares = 0, total = 0;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    if (pairs[i] < 0) continue;
    ++s.paired;
    const Outline& o = traced[std::size_t(pairs[i])];
    compare(truth[i], o, points[i], s);
    const double rms = measure(o, points[i]).rms_px, weight = double(points[i].size());
    squares += weight * rms * rms, total += weight;
  }
  s.rms_px = total > 0 ? std::sqrt(squares / total) : std::numeric_limits<double>::infinity();
  return s;
}

Score sum(const Score& a, const Score& b) {
  Score s = a;
  const double wa = double(a.truth_segments), wb = double(b.truth_segments);
  // An empty side (nothing paired) has no distance.
  const double ra = wa > 0 ? a.rms_px : 0, rb = wb > 0 ? b.rms_px : 0;
  s.rms_px = wa + wb > 0 ? std::sqrt((wa * ra * ra + wb * rb * rb) / (wa + wb)) : 0;
  s.p95_px = std::max(a.p95_px, b.p95_px), s.max_px = std::max(a.max_px, b.max_px);
  constexpr std::size_t Score::*counts[] = {&Score::truth_outlines,
                                            &Score::outlines,
                                            &Score::paired,
                                            &Score::truth_segments,
                                            &Score::segments,
                                            &Score::truth_corners,
                                            &Score::corners_found,
                                            &Score::false_corners,
                                            &Score::missed_extremes,
                                            &Score::kinks,
                                            &Score::bumps,
                                            &Score::crossing,
                                            &Score::handles_near_axis,
                                            &Score::handles_on_axis,
                                            &Score::axis_straights,
                                            &Score::axis_straights_found,
                                            &Score::wrong_way,
                                            &Score::start_off_corner,
                                            &Score::open};
  for (const auto count : counts) s.*count += b.*count;
  return s;
}

std::string text_of(const Score& s) {
  char line[512];
  std::snprintf(
      line, sizeof line,
      "outlines %zu of %zu (+%zu), segments %zu for %zu = %.3f, rms %.2f p95 %.2f max %.2f px, corners %zu of %zu (%zu "
      "false), missed extremes %zu, kinks %zu, bumps %zu, crossing %zu, axis handles %zu of %zu, axis straights %zu of "
      "%zu, wrong way %zu, start off corner %zu",
      s.paired, s.truth_outlines, s.extra(), s.segments, s.truth_segments, s.nodes(), s.rms_px, s.p95_px, s.max_px,
      s.corners_found, s.truth_corners, s.false_corners, s.missed_extremes, s.kinks, s.bumps, s.crossing,
      s.handles_on_axis, s.handles_near_axis, s.axis_straights_found, s.axis_straights, s.wrong_way,
      s.start_off_corner);
  return line;
}

}  // namespace batten::support
