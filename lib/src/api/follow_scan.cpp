#include "api/follow_scan.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "base/arc_loop.h"
#include "base/closed_first.h"
#include "corners/curve_loop.h"
#include "corners/lead_ends.h"
#include "corners/space_loops.h"
#include "judge/match_outlines.h"
#include "measure/match_chains.h"

namespace batten {
namespace {

constexpr double sample_px = 2;  // between places that are compared: no line strays and comes back within less

// The border of an area as one line. It is known as the longest of its parts is.
Loop border_of(const Area& area, const std::vector<Loop>& lines) {
  Loop out;
  double longest_px = -1;
  std::vector<Point> points;
  for (const Area::Part& part : area.parts) {
    if (part.loop < 0 || std::size_t(part.loop) >= lines.size()) return {};
    const Loop& line = lines[std::size_t(part.loop)];
    std::vector<Point> some = line.points;
    if (part.reversed) std::reverse(some.begin(), some.end());
    if (const double px = open_length_px(some); px > longest_px) longest_px = px, out = line;
    points.insert(points.end(), some.begin() + (points.empty() || some.empty() ? 0 : 1), some.end());
  }
  if (points.size() > 1) points.pop_back();  // where the last part ends the first began
  out.points = std::move(points);
  out.open = false, out.start = out.end = {};
  out.kind = area.kind, out.face = area.face;
  return out;
}

// All that an outline may follow.
std::vector<Loop> lines_of(const Loops& scan) {
  const Loops led_on = has_loose_ends(scan) ? lead_ends(scan) : scan;
  std::vector<Loop> out = led_on.loops;
  for (const Area& area : led_on.areas)
    if (Loop border = border_of(area, led_on.loops); border.points.size() > 2) out.push_back(std::move(border));
  return out;
}

std::vector<Point> places_along(const std::vector<Point>& points, bool open) {
  ArcLoop even = open ? resample_line(points, sample_px, sample_px) : resample(points, sample_px);
  even.points.resize(even.drawn_count());
  return std::move(even.points);
}

double distance_to(Point p, const std::vector<Point>& points, bool open) {
  double best2 = std::numeric_limits<double>::infinity();
  const std::size_t edges = open ? points.size() - 1 : points.size();
  for (std::size_t i = 0; i < edges; ++i)
    best2 = std::min(best2, norm2(p - nearest_on_segment(p, points[i], points[(i + 1) % points.size()])));
  return std::sqrt(best2);
}

// How far some places lie off a line.
struct Astray {
  double max_px = 0, rms_px = 0;
};
Astray astray(const std::vector<Point>& places, const std::vector<Point>& line, bool open) {
  Astray out;
  for (const Point p : places) {
    const double px = distance_to(p, line, open);
    out.max_px = std::max(out.max_px, px), out.rms_px += px * px / double(places.size());
  }
  out.rms_px = std::sqrt(out.rms_px);
  return out;
}

// Where a path turns most within half_px to either side, by more than find_corners lets pass.
std::vector<KnownCurve::Corner> tight_turns(const Loop& drawn, double half_px) {
  constexpr double least_deg = 24, step_px = 1;
  const ArcLoop curve =
      drawn.open ? resample_line(drawn.points, step_px, 2 * half_px) : resample(drawn.points, step_px);
  const auto way = [&](double from, double to) { return unit(curve.at(to) - curve.at(from)); };
  const auto half = std::ptrdiff_t(std::ceil(half_px / curve.step_px));
  std::vector<double> turn;
  for (std::size_t i = 0; i < curve.drawn_count(); ++i) {
    const double arc = double(i) * curve.step_px;
    turn.push_back(std::abs(degrees(
        turn_between(way(arc - 1.5 * half_px, arc - 0.5 * half_px), way(arc + 0.5 * half_px, arc + 1.5 * half_px)))));
  }
  std::vector<KnownCurve::Corner> out;
  const auto n = std::ptrdiff_t(turn.size());
  for (std::ptrdiff_t i = 0; i < n; ++i) {
    bool most = turn[std::size_t(i)] > least_deg;
    for (std::ptrdiff_t k = i - half; most && k <= i + half; ++k) {
      if (drawn.open && (k < 0 || k >= n)) continue;
      const double other = turn[std::size_t(((k % n) + n) % n)];
      most = other < turn[std::size_t(i)] || (other == turn[std::size_t(i)] && k >= i);
    }
    if (!most) continue;
    const double arc = double(i) * curve.step_px;
    out.push_back({arc, curve.at(arc), way(arc - 1.5 * half_px, arc - 0.5 * half_px),
                   way(arc + 0.5 * half_px, arc + 1.5 * half_px)});
  }
  return out;
}

// Lays what an outline tells along a line.
class AlongLine {
 public:
  AlongLine(const Loop& drawn, const Loop& line)
      : curve_(line.open ? resample_line(line.points, 1, widest_px(line) + 10) : resample(line.points, 1)),
        band_px_(std::max(4.5, line.band_px)),  // as SpacedLoop::scale_px
        drawn_px_(open_length_px(drawn.points) +
                  (drawn.open ? 0 : distance(drawn.points.front(), drawn.points.back()))) {
    rounds_ = tight_turns(drawn, 0.75 * band_px_);
    if (!line.open) windows_ = match_chains(Chain(places_along(drawn.points, false)), Chain(line.points)).on_located;
  }

  KnownCurve told(const KnownCurve& known) const {
    KnownCurve out;
    std::vector<double> arc_of;
    for (const KnownCurve::Corner& c : known.corners) {
      out.corners.push_back({arc_for(c.arc, c.at, c.into, c.out_of), c.at, c.into, c.out_of});
      arc_of.push_back(out.corners.back().arc);
    }
    const auto end_of = [&](double arc, Point at, Point along) {
      for (std::size_t i = 0; i < known.corners.size(); ++i)
        if (known.corners[i].at == at) return arc_of[i];
      return arc_for(arc, at, along, along);
    };
    for (const KnownCurve::Corner& c : rounds_)
      out.rounds.push_back({arc_for(c.arc, c.at, c.into, c.out_of), c.at, c.into, c.out_of});
    for (const KnownCurve::Straight& s : known.straights) {
      const Point along = unit(s.b - s.a);
      double from = end_of(s.from, s.a, along), to = end_of(s.to, s.b, along);
      if (curve_.open() ? to <= from : curve_.signed_arc_px(from, to) <= 0 && distance(s.a, s.b) < 0.4 * drawn_px_)
        continue;  // it went back on the line: the two cannot be told apart there
      out.straights.push_back({from, from + curve_.ahead(from, to), s.a, s.b});
    }
    return out;
  }

 private:
  static double widest_px(const Loop& line) { return 5 * std::max(4.5, line.band_px); }

  // The place of the line that lies beside one of the outline, and where the line turns alike. Sides that lean by half
  // a right angle weigh as much as a band's width.
  double arc_for(double arc, Point at, Point into, Point out_of) const {
    double from = 0, to = curve_.drawn_px();
    if (!windows_.empty()) {
      const double part = std::fmod(arc, drawn_px_) / drawn_px_;
      const std::size_t i = std::min(windows_.size() - 1, std::size_t(part * double(windows_.size())));
      from = windows_[i].first, to = windows_[i].second;
    }
    const double side_px = 1.5 * band_px_;
    double best = from, least = std::numeric_limits<double>::infinity();
    for (double s = from; s <= to; s += 1) {
      const Point here = curve_.at(s);
      const double turned = std::abs(turn_between(into, here - curve_.at(s - side_px))) +
                            std::abs(turn_between(out_of, curve_.at(s + side_px) - here));
      const double cost = distance(here, at) + band_px_ * degrees(turned) / 45;
      if (cost < least) least = cost, best = s;
    }
    return curve_.open() ? best : curve_.wrap(best);
  }

  ArcLoop curve_;
  double band_px_, drawn_px_;
  std::vector<KnownCurve::Corner> rounds_;
  ChainWindows windows_;  // of the line, for equal intervals of the outline; an open line has none
};

// Do they run the same way? Of all places as many as not may be beside another part of the line.
bool runs_alike(const std::vector<Point>& outline, const std::vector<Point>& line, bool open) {
  double sum = 0;
  for (std::size_t i = 1; i < outline.size(); ++i) {
    std::size_t near = 0;
    for (std::size_t k = 1; k < line.size(); ++k)
      if (norm2(line[k] - outline[i]) < norm2(line[near] - outline[i])) near = k;
    const std::size_t next = open ? std::min(near + 1, line.size() - 1) : (near + 1) % line.size();
    const std::size_t before = open ? near - std::min<std::size_t>(near, 1) : (near + line.size() - 1) % line.size();
    sum += dot(outline[i] - outline[i - 1], unit(line[next] - line[before]));
  }
  return sum >= 0;
}

Outline reversed(Outline o) {
  std::reverse(o.nodes.begin(), o.nodes.end());
  for (Node& n : o.nodes) std::swap(n.handle_before, n.handle_after);
  return o;
}

// The line as the outline runs, and begun where it begins. Points of closed ones stay as they were located, so that all
// that is read off the ink is read as for a trace.
Loop as_drawn(Loop line, const std::vector<Point>& outline) {
  line.is_drawn = true;
  const bool alike = runs_alike(outline, places_along(line.points, line.open), line.open);
  if (line.open) {
    if (alike) return line;
    std::reverse(line.points.begin(), line.points.end());
    std::swap(line.start, line.end);
    return line;
  }
  line.is_drawn_back = !alike;
  double arc = 0, least2 = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < line.points.size(); ++i) {
    if (i > 0) arc += distance(line.points[i - 1], line.points[i]);
    if (const double far2 = norm2(line.points[i] - outline.front()); far2 < least2)
      least2 = far2, line.drawn_from = arc;
  }
  return line;
}

}  // namespace

double follow_reach_px(const Loop& line) { return std::max(12.0, 3 * line.band_px); }

std::vector<std::optional<Loop>> follow_scan(std::span<const Outline> outlines, const Loops& scan, double tolerance_px,
                                             const std::stop_token& stop) {
  std::vector<std::optional<Loop>> out(outlines.size());
  const std::vector<Loop> lines = lines_of(scan);
  std::vector<std::vector<Point>> polylines;
  std::vector<char> open;
  double reach_px = 0;
  for (const Loop& line : lines) {
    polylines.push_back(line.points), open.push_back(line.open);
    reach_px = std::max(reach_px, follow_reach_px(line));
  }
  const std::vector<int> match = match_outlines(outlines, polylines, reach_px, open);
  std::vector<int> became(lines.size(), -1);
  for (std::size_t i = 0; i < match.size(); ++i)
    if (match[i] >= 0) became[std::size_t(match[i])] = int(i);
  for (std::size_t i = 0; i < outlines.size(); ++i) {
    if (stop.stop_requested()) return std::vector<std::optional<Loop>>(outlines.size());
    if (match[i] < 0) continue;
    const Loop& line = lines[std::size_t(match[i])];
    const double known_px = std::max(tolerance_px, known_sigmas * line.sigma_px), reach = follow_reach_px(line);
    const std::optional<Loop> drawn = loop_of_curve(outlines[i], known_px);
    if (!drawn) continue;
    const std::vector<Point> places = places_along(drawn->points, drawn->open);
    const Astray off = astray(places, line.points, line.open);
    if (off.max_px > reach || astray(places_along(line.points, line.open), drawn->points, drawn->open).max_px > reach)
      continue;
    Loop loop = as_drawn(line, places);
    for (LineEnd* end : {&loop.start, &loop.end})
      if (end->on_loop >= 0) end->on_loop = became[std::size_t(end->on_loop)];
    // What turns by less than the path strays is no corner of it.
    const std::optional<Loop> telling =
        loop_of_curve(loop.is_drawn_back ? reversed(outlines[i]) : outlines[i], std::max(known_px, off.rms_px));
    if (telling && telling->known) loop.told = AlongLine(*telling, loop).told(*telling->known);
    out[i] = std::move(loop);
  }
  return out;
}

}  // namespace batten
