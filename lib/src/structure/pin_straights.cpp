#include "structure/pin_straights.h"

#include <algorithm>
#include <cmath>

#include "structure/pin_reach.h"

namespace batten {
namespace {

// A straight that was found and leans less from the pinned one is the same.
constexpr double same_line_deg = 3;
// What is shorter is no straight (see find_straights).
constexpr double shortest_px = 8;

// The least-squares line of a stretch of loop, as a straight.
Straight line_of(const SpacedLoop& loop, double from, double to, Pin::Along along) {
  const int n = std::max(8, int((to - from) / loop.curve.step_px));
  Point sum;
  for (int i = 0; i <= n; ++i) sum = sum + loop.curve.at(from + (to - from) * i / n);
  const Point middle = (1.0 / (n + 1)) * sum;
  double xx = 0, xy = 0, yy = 0;
  for (int i = 0; i <= n; ++i) {
    const Point p = loop.curve.at(from + (to - from) * i / n) - middle;
    xx += p.x * p.x, xy += p.x * p.y, yy += p.y * p.y;
  }
  const Point a = loop.curve.at(from), b = loop.curve.at(to);
  Point dir = direction(0.5 * std::atan2(2 * xy, xx - yy));
  if (along == Pin::Along::level) dir = {1, 0};
  if (along == Pin::Along::vertical) dir = {0, 1};
  if (dot(dir, b - a) < 0) dir = -1 * dir;
  Straight s;
  s.from = from, s.to = to;
  s.a = middle + dot(a - middle, dir) * dir, s.b = middle + dot(b - middle, dir) * dir;
  s.level = along == Pin::Along::level, s.vertical = along == Pin::Along::vertical;
  if (s.level) s.a.y = s.b.y = middle.y;
  if (s.vertical) s.a.x = s.b.x = middle.x;
  return s;
}

double lean_deg(const Straight& a, const Straight& b) { return std::abs(degrees(turn_between(a.b - a.a, b.b - b.a))); }

// Where a straight that was found lies, counted so that it begins within half a loop of `from`.
double begin_beside(const SpacedLoop& loop, double from, const Straight& s) {
  return from + loop.curve.signed_arc_px(loop.curve.wrap(from), loop.curve.wrap(s.from));
}

Straight pinned(const SpacedLoop& loop, const std::vector<Corner>& corners, const PinnedStretch& stretch, int pin,
                std::vector<Straight>* found) {
  Straight own = line_of(loop, stretch.from, stretch.to, Pin::Along::any);
  double from = stretch.from, to = stretch.to;
  std::erase_if(*found, [&](const Straight& s) {
    const double begin = begin_beside(loop, stretch.from, s), end = begin + s.length_px();
    if (end < stretch.from || begin > stretch.to) return false;
    if (lean_deg(s, own) < same_line_deg) {
      from = std::min(from, begin), to = std::max(to, end);
      return true;
    }
    const double common = std::min(end, stretch.to) - std::max(begin, stretch.from);
    return common > 0.5 * s.length_px();
  });
  // Points within the zone of a corner do not lie on its sides.
  double trusted_from = from, trusted_to = to;
  for (const Corner& c : corners) {
    if (!c.accepted) continue;
    const double reach_px = c.zone_px + corner_reach_px(loop);
    const double at_from = loop.curve.signed_arc_px(loop.curve.wrap(from), c.arc);
    const double at_to = loop.curve.signed_arc_px(loop.curve.wrap(to), c.arc);
    if (std::abs(at_from) < reach_px) from += std::min(at_from, 0.0), trusted_from = from + at_from + c.zone_px;
    if (std::abs(at_to) < reach_px) to += std::max(at_to, 0.0), trusted_to = to + std::min(at_to, 0.0) - c.zone_px;
  }
  if (trusted_to - trusted_from < 0.3 * (to - from)) trusted_from = from, trusted_to = to;
  Straight line = line_of(loop, trusted_from, trusted_to, stretch.along);
  const Point dir = unit(line.b - line.a), a = loop.curve.at(from), b = loop.curve.at(to);
  line.from = from, line.to = to;
  line.a = line.a + dot(a - line.a, dir) * dir, line.b = line.b + dot(b - line.b, dir) * dir;
  line.pin = pin;
  return line;
}

// How far the loop bends away from a straight, beside the zones of corners at its ends.
double bend_px(const SpacedLoop& loop, const std::vector<Corner>& corners, const Straight& s) {
  double most = 0;
  const Point dir = unit(s.b - s.a);
  for (double arc = s.from; arc <= s.to; arc += loop.curve.step_px) {
    const double here = loop.curve.wrap(arc);
    const bool in_zone = std::any_of(corners.begin(), corners.end(), [&](const Corner& c) {
      return c.accepted && std::abs(loop.curve.signed_arc_px(here, c.arc)) < c.zone_px;
    });
    if (!in_zone) most = std::max(most, std::abs(cross(dir, loop.curve.at(arc) - s.a)));
  }
  return most;
}

// How far the ends move when a straight is put on its axis.
double turned_px(const SpacedLoop& loop, const Straight& s) {
  const Straight own = line_of(loop, s.from, s.to, Pin::Along::any);
  const Point dir = unit(s.b - s.a);
  return std::max(std::abs(cross(dir, own.a - s.a)), std::abs(cross(dir, own.b - s.a)));
}

// Cuts back whatever of a straight lies within a range, from whichever end does.
void cut_back(const SpacedLoop& loop, const ArcRange& range, double margin_px, Straight* s) {
  const double width_px = range.to - range.from;
  const auto into = [&](double arc) { return loop.curve.ahead(loop.curve.wrap(range.from), loop.curve.wrap(arc)); };
  const Point dir = unit(s->b - s->a);
  if (const double at = into(s->from); at < width_px) {
    const double by = width_px - at + margin_px;
    s->from += by, s->a = s->a + by * dir;
  }
  if (const double at = into(s->to); at < width_px) {
    const double by = at + margin_px;
    s->to -= by, s->b = s->b - by * dir;
  }
}

}  // namespace

std::vector<Straight> pin_straights(const SpacedLoop& loop, const std::vector<Corner>& corners,
                                    const std::vector<Straight>& found) {
  std::vector<Straight> out = found;
  for (const std::vector<ArcRange>* ranges : {&loop.pins.bare, &loop.pins.smooth})
    for (const ArcRange& range : *ranges)
      for (Straight& s : out) cut_back(loop, range, 1, &s);
  std::erase_if(out, [](const Straight& s) { return s.length_px() < shortest_px; });
  std::vector<Straight> added;
  for (std::size_t i = 0; i < loop.pins.straights.size(); ++i) {
    std::vector<Straight> others = out;
    const Straight s = pinned(loop, corners, loop.pins.straights[i], int(i), &others);
    if (std::max(bend_px(loop, corners, s), turned_px(loop, s)) > most_bent_limits * loop.limit_px) continue;
    added.push_back(s), out = std::move(others);
  }
  // What is left of those that were found gives way where it overlaps.
  for (const Straight& p : added)
    for (Straight& s : out) cut_back(loop, {p.from, p.to}, 1, &s);
  std::erase_if(out, [](const Straight& s) { return s.length_px() < shortest_px; });
  for (Straight& s : added) {
    const double turns = std::floor(s.from / loop.curve.length_px());
    if (!loop.open()) s.from -= turns * loop.curve.length_px(), s.to -= turns * loop.curve.length_px();
    out.push_back(s);
  }
  std::stable_sort(out.begin(), out.end(), [](const Straight& a, const Straight& b) { return a.from < b.from; });
  return out;
}

}  // namespace batten
