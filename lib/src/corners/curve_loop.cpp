#include "corners/curve_loop.h"

#include <algorithm>
#include <cmath>

#include "base/cubic.h"
#include "base/widened_step.h"
#include "corners/space_loops.h"

namespace batten {
namespace {

// A stretch between two places at which the direction may jump: one segment, or several that are too short for a
// direction of their own.
struct Piece {
  std::vector<Cubic> cubics;
  bool is_line = false;
  Point from, to, start_way, end_way;  // ends, and directions of travel there
  double length_px = 0;
  double from_arc = 0, to_arc = 0;  // on the polyline
};

// Handles on the chord but for the rounding of coordinates, and in order along it. A part of a curve is never so flat
// by chance.
bool is_line(const Cubic& c, double limit_px) {
  const Point chord = c[3] - c[0];
  const double long2 = norm2(chord);
  if (long2 == 0) return false;
  for (const Point h : {c[1], c[2]}) {
    const double along = dot(h - c[0], chord) / long2;
    if (along < -1e-9 || along > 1 + 1e-9 || std::abs(cross(h - c[0], chord)) > 0.002 * limit_px * std::sqrt(long2))
      return false;
  }
  return true;
}

Piece piece_of(const Cubic& c, double limit_px) {
  Piece p;
  p.cubics = {c};
  p.is_line = is_line(c, limit_px);
  p.from = c[0], p.to = c[3];
  p.start_way = p.is_line ? unit(c[3] - c[0]) : start_tangent(c);
  p.end_way = p.is_line ? p.start_way : end_tangent(c);
  p.length_px = p.is_line ? distance(c[0], c[3]) : length(c);
  return p;
}

// The turn at the end of segment k, seen over `reach_px` to either side; 0 at the ends of the row.
double turn_seen_deg(const std::vector<Cubic>& row, std::size_t k, double reach_px) {
  const Point here = row[k][3];
  std::size_t back = k, ahead = k + 1;
  while (back > 0 && distance(row[back][0], here) < reach_px) --back;
  while (ahead + 1 < row.size() && distance(row[ahead][3], here) < reach_px) ++ahead;
  if (ahead >= row.size() || row[back][0] == here || row[ahead][3] == here) return 0;
  return std::abs(degrees(turn_between(here - row[back][0], row[ahead][3] - here)));
}

// Segments shorter than a quarter of the limit say nothing of a direction, least of all where coordinates are rounded:
// runs of them become one straight piece each as soon as they are long enough, but none leads round a corner.
std::vector<Piece> pieces_of(const Outline& outline, double limit_px) {
  const double shortest_px = 0.25 * limit_px;
  constexpr double corner_deg = 40, nothing = 1e-9;
  std::vector<Cubic> row;
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic c = outline.segment(i);
    if (std::max({distance(c[0], c[1]), distance(c[0], c[2]), distance(c[0], c[3])}) > nothing * limit_px)
      row.push_back(c);
  }
  std::vector<Piece> out;
  std::vector<Cubic> crumbs;
  const auto gather = [&] {
    if (crumbs.empty()) return;
    Piece p;
    p.cubics = std::move(crumbs), crumbs.clear();
    p.is_line = true;
    p.from = p.cubics.front()[0], p.to = p.cubics.back()[3];
    p.start_way = p.end_way = unit(p.to - p.from);
    p.length_px = distance(p.from, p.to);
    out.push_back(std::move(p));
  };
  double turn_before = 0;
  for (std::size_t k = 0; k < row.size(); ++k) {
    Piece p = piece_of(row[k], limit_px);
    if (p.length_px >= shortest_px) {
      gather();
      out.push_back(std::move(p));
      turn_before = 0;
      continue;
    }
    crumbs.push_back(row[k]);
    const double turn = turn_seen_deg(row, k, 0.5 * shortest_px);
    const bool is_corner = turn > corner_deg && turn > turn_before && k + 1 < row.size() &&
                           turn >= turn_seen_deg(row, k + 1, 0.5 * shortest_px);
    turn_before = turn;
    if (is_corner || distance(crumbs.front()[0], crumbs.back()[3]) >= shortest_px) gather();
  }
  gather();
  return out;
}

// The polyline, and at which arcs of it the pieces begin and end.
std::vector<Point> sample(std::vector<Piece>* pieces, bool closed) {
  double total_px = 0;
  for (const Piece& p : *pieces) total_px += p.length_px;
  constexpr double step_px = 0.25, most_points = 2e5;  // as the curve stages space exact loops, and how many they take
  const double wide_px = std::max(step_px, total_px / most_points);
  std::vector<Point> out{pieces->front().from};
  double arc = 0;
  for (Piece& p : *pieces) {
    p.from_arc = arc;
    for (const Cubic& c : p.cubics) {
      const int n = p.is_line ? 1 : std::max(1, int(std::ceil(length(c) / wide_px)));
      for (int k = 1; k <= n; ++k) {
        const Point at = k == n ? c[3] : evaluate(c, double(k) / n);
        arc += distance(out.back(), at);
        out.push_back(at);
      }
    }
    p.to_arc = arc;
  }
  if (closed && out.size() > 1 && out.back() == out.front()) out.pop_back();
  return out;
}

// What the curve does at the places between its pieces; place i lies before piece i.
class Joints {
 public:
  Joints(const std::vector<Piece>& pieces, bool closed, double limit_px)
      : pieces_(pieces), closed_(closed), limit_px_(limit_px) {}

  bool exists(std::ptrdiff_t i) const { return closed_ || (i > 0 && i < count()); }
  const Piece& before(std::ptrdiff_t i) const { return pieces_[index(i - 1)]; }
  const Piece& after(std::ptrdiff_t i) const { return pieces_[index(i)]; }
  double turn_deg(std::ptrdiff_t i) const { return degrees(turn_between(before(i).end_way, after(i).start_way)); }

  // Wavers from piece to piece: no curve that was cut up does that, but samples with noise do.
  bool waver() const {
    constexpr std::ptrdiff_t fewest = 16;
    constexpr double visible_deg = 3, share = 0.25;
    std::ptrdiff_t turns = 0, back = 0;
    for (std::ptrdiff_t i = 0; i < count(); ++i) {
      if (!exists(i) || !exists(i + 1) || bend_px(i) > 4 * limit_px_) continue;
      const double here = turn_deg(i), next = turn_deg(i + 1);
      ++turns;
      if (std::min(std::abs(here), std::abs(next)) > visible_deg && here * next < 0) ++back;
    }
    return turns >= fewest && double(back) > share * double(turns);
  }

  bool is_corner(std::ptrdiff_t i) const {
    // Designers' smooth nodes are askew by a degree or two where coordinates are whole units. Straights cut from a
    // curve turn by less than 40 degrees from one to the next, or the curve could not be told any more.
    constexpr double askew_deg = 8, faceted_deg = 40, sharper = 2.5;
    const double turn = std::abs(turn_deg(i));
    const bool facets = before(i).is_line && after(i).is_line;
    // A smooth curve through a place leaves the straights beside it by a quarter of their bend there.
    if (facets && turn > 0.5 && bend_px(i) > 4 * limit_px_) return true;
    if (turn < askew_deg) return false;
    if (!facets || turn > faceted_deg) return true;
    return turn > askew_deg + sharper * std::max(expected_deg(i, i - 1), expected_deg(i, i + 1));
  }

 private:
  std::ptrdiff_t count() const { return std::ptrdiff_t(pieces_.size()); }
  std::size_t index(std::ptrdiff_t i) const { return std::size_t((i % count() + count()) % count()); }
  double bend_px(std::ptrdiff_t i) const {
    return std::min(before(i).length_px, after(i).length_px) * std::sin(std::abs(radians(turn_deg(i))) / 2);
  }
  // How much place i would turn if it bent as the straights round place j do.
  double expected_deg(std::ptrdiff_t i, std::ptrdiff_t j) const {
    if (!exists(j)) return 0;
    const Piece &b = before(j), &a = after(j);
    if (!b.is_line || !a.is_line) return 0;
    const double there = b.length_px + a.length_px, here = before(i).length_px + after(i).length_px;
    return std::abs(turn_deg(j)) * std::min(1.0, here / there);
  }
  const std::vector<Piece>& pieces_;
  bool closed_;
  double limit_px_;
};

// Consecutive lines that lie on one straight, as seen from the first: from piece `first` so many.
std::size_t run_of_lines(const std::vector<Piece>& pieces, const std::vector<char>& is_corner, std::size_t first,
                         std::size_t most, double slack_px) {
  // All places so far are passed within the slack by directions between these two.
  double low = -pi, high = pi;
  const Point from = pieces[first].from;
  const double base = angle_of(pieces[first].start_way);
  std::size_t count = 0;
  for (; count < most; ++count) {
    const std::size_t i = (first + count) % pieces.size();
    if (!pieces[i].is_line || (count > 0 && is_corner[i])) break;
    const Point reach = pieces[i].to - from;
    const double far = norm(reach);
    if (far <= slack_px) break;
    const double way = wrap_angle(angle_of(reach) - base), play = std::asin(std::min(1.0, slack_px / far));
    if (way < low || way > high) break;
    low = std::max(low, way - play), high = std::min(high, way + play);
  }
  return count;
}

class KnownOf {
 public:
  KnownOf(const std::vector<Piece>& pieces, bool closed, bool corner_at_start, double total_px, double limit_px)
      : pieces_(pieces), joints_(pieces, closed, limit_px), closed_(closed), total_px_(total_px), limit_px_(limit_px) {
    for (std::size_t i = 0; i < pieces.size(); ++i)
      is_corner_.push_back((i == 0 && corner_at_start) ||
                           (joints_.exists(std::ptrdiff_t(i)) && joints_.is_corner(std::ptrdiff_t(i))));
  }
  KnownCurve known() const {
    KnownCurve out;
    for (std::size_t i = 0; i < pieces_.size(); ++i)
      if (is_corner_[i])
        out.corners.push_back(
            {pieces_[i].from_arc, pieces_[i].from, joints_.before(std::ptrdiff_t(i)).end_way, pieces_[i].start_way});
    add_straights(&out);
    return out;
  }

 private:
  // Lines on one straight, or one curve.
  struct Run {
    std::size_t first = 0, last = 0;  // pieces
    bool is_line = false;
    double length_px = 0;
  };
  std::vector<Run> runs() const {
    const std::size_t n = pieces_.size();
    std::size_t begin = 0;  // closed: where no straight runs across, so that none is cut in two
    if (closed_)
      while (begin < n && !is_corner_[begin] && pieces_[begin].is_line &&
             std::abs(joints_.turn_deg(std::ptrdiff_t(begin))) < 0.5)
        ++begin;
    if (begin == n) begin = 0;
    std::vector<Run> out;
    for (std::size_t done = 0; done < n;) {
      const std::size_t i = (begin + done) % n;
      const std::size_t lines = run_of_lines(pieces_, is_corner_, i, n - done, 0.02 * limit_px_);
      const std::size_t last = (i + std::max<std::size_t>(lines, 1) - 1) % n;
      out.push_back({i, last, lines > 0, lines > 0 ? distance(pieces_[i].from, pieces_[last].to) : 0});
      done += std::max<std::size_t>(lines, 1);
    }
    return out;
  }
  // Does a straight end well at the place before piece i, beyond which `beside` lies?
  bool ends_well(const Run& run, std::size_t i, const Run& beside) const {
    if (is_corner_[i] || (!closed_ && i == 0)) return true;
    constexpr double longer = 4;  // than the next straight: else it is one of those that a curve was cut into
    if (beside.is_line && run.length_px < longer * beside.length_px) return false;
    constexpr double seen = 6;  // limits; shorter, and it may as well be part of the curves beside it
    return run.length_px > seen * limit_px_;
  }
  void add_straights(KnownCurve* out) const {
    const std::vector<Run> all = runs();
    for (std::size_t k = 0; k < all.size(); ++k) {
      const Run &run = all[k], &before = all[(k + all.size() - 1) % all.size()], &after = all[(k + 1) % all.size()];
      if (!run.is_line || run.length_px < limit_px_) continue;
      if (!ends_well(run, run.first, before) || !ends_well(run, (run.last + 1) % pieces_.size(), after)) continue;
      double to = pieces_[run.last].to_arc;
      if (to <= pieces_[run.first].from_arc) to += total_px_;
      out->straights.push_back({pieces_[run.first].from_arc, to, pieces_[run.first].from, pieces_[run.last].to});
    }
  }

  const std::vector<Piece>& pieces_;
  Joints joints_;
  bool closed_;
  double total_px_, limit_px_;
  std::vector<char> is_corner_;
};

}  // namespace

std::optional<Loop> loop_of_curve(const Outline& outline, double limit_px) {
  std::vector<Piece> pieces = pieces_of(outline, limit_px);
  if (pieces.empty()) return std::nullopt;
  Loop loop;
  loop.points = sample(&pieces, outline.closed);
  loop.open = !outline.closed;
  loop.is_drawn = true;
  loop.kind = loop.open ? Kind::line : Kind::filled;
  loop.rounding_px = 0.1;  // nothing has rounded its corners but the spacing of the points
  loop.correlation_px = 2;
  if (Joints(pieces, outline.closed, limit_px).waver()) {
    const double step_px = widened_step_px(loop.points, 0.5);
    loop.sigma_px =
        polyline_sigma(loop.open ? resample_line(loop.points, step_px, 10) : resample(loop.points, step_px), 4);
    return loop;
  }
  const bool at_start = outline.closed && outline.nodes[0].reason == Reason::line_end;
  loop.known = KnownOf(pieces, outline.closed, at_start, pieces.back().to_arc, limit_px).known();
  loop.known->starts_at_node = at_start;
  return loop;
}

}  // namespace batten
