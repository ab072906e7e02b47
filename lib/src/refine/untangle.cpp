#include "refine/untangle.h"

#include <algorithm>
#include <functional>

#include "fit/segment_data.h"
#include "fit/smooth_node.h"

namespace batten {
namespace {

// A segment of 100 px is less than a tenth of a pixel off so many chords, which are shorter towards the ends, where
// curves cross beside their common corner.
constexpr int chords = 40;

struct FlatSegment {
  std::vector<Point> points;
  Point lo, hi;
};

FlatSegment flatten(const Cubic& c, bool straight) {
  FlatSegment f;
  const int n = straight ? 1 : chords;
  for (int i = 0; i <= n; ++i) f.points.push_back(evaluate(c, 0.5 - 0.5 * std::cos(pi * i / n)));
  f.points.back() = c[3];
  f.lo = f.hi = f.points[0];
  for (Point p : f.points) {
    f.lo = {std::min(f.lo.x, p.x), std::min(f.lo.y, p.y)};
    f.hi = {std::max(f.hi.x, p.x), std::max(f.hi.y, p.y)};
  }
  return f;
}

bool apart(const FlatSegment& a, const FlatSegment& b) {
  return a.hi.x < b.lo.x || b.hi.x < a.lo.x || a.hi.y < b.lo.y || b.hi.y < a.lo.y;
}

bool chords_cross(Point a, Point b, Point u, Point v) {
  const double s = cross(b - a, u - a), t = cross(b - a, v - a), p = cross(v - u, a - u), q = cross(v - u, b - u);
  return s * t < 0 && p * q < 0;
}

bool segments_cross(const FlatSegment& a, const FlatSegment& b) {
  if (apart(a, b)) return false;
  for (std::size_t i = 0; i + 1 < a.points.size(); ++i)
    for (std::size_t k = 0; k + 1 < b.points.size(); ++k)
      if (chords_cross(a.points[i], a.points[i + 1], b.points[k], b.points[k + 1])) return true;
  return false;
}

bool loops_once(const FlatSegment& f) {
  for (std::size_t i = 0; i + 1 < f.points.size(); ++i)
    for (std::size_t k = i + 2; k + 1 < f.points.size(); ++k)
      if (chords_cross(f.points[i], f.points[i + 1], f.points[k], f.points[k + 1])) return true;
  return false;
}

FlatSegment flatten_stretch(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment) {
  FlatSegment f;
  const double length_px = stretch_px(loop, d, segment);
  const int n = std::max(chords, int(std::min(400.0, length_px / loop.curve.step_px)));
  PointBox box;
  for (int i = 0; i <= n; ++i) {
    f.points.push_back(loop.curve.at(d.nodes[segment].arc + length_px * i / n));
    box.add(f.points.back());
  }
  f.lo = box.low, f.hi = box.high;
  return f;
}

// An open line may cross itself: what the line itself does is no fault of the draft.
bool was_drawn(const SpacedLoop& loop, const DraftLoop& d, const Crossing& x) {
  if (!loop.open()) return false;
  const FlatSegment a = flatten_stretch(loop, d, x.first);
  return x.first == x.second ? loops_once(a) : segments_cross(a, flatten_stretch(loop, d, x.second));
}

std::vector<Crossing> faults_of(const SpacedLoop& loop, const DraftLoop& d) {
  std::vector<Crossing> out = crossings_of(d);
  std::erase_if(out, [&](const Crossing& x) { return was_drawn(loop, d, x); });
  return out;
}

// Gives a segment handles that can do no harm: a third of the chord, along the loop's own directions at corners.
void plain_handles(const SpacedLoop& loop, DraftLoop* d, std::size_t segment) {
  DraftSegment& p = d->segments[segment];
  if (p.straight) return;
  const DraftNode &a = d->nodes[segment], &b = d->nodes[d->next(segment)];
  const double chord = distance(a.at, b.at), length_px = stretch_px(loop, *d, segment);
  const Point along = unit(b.at - a.at);
  p.start.handle_px = p.end.handle_px = chord / 3;
  // An arm that points away from the other end was read off the wrong stretch.
  const auto sane = [&](double angle) { return dot(direction(angle), along) > 0.3 ? angle : angle_of(along); };
  if (a.corner && !p.start.on_axis) p.start.angle_rad = sane(arm_at(loop, a, length_px, true).angle);
  if (b.corner && !p.end.on_axis) p.end.angle_rad = sane(arm_at(loop, b, length_px, false).angle);
  settle_angles(d);
}

// A long curve may swing over the other side just before an acute tip: a node clear of the corner's zone keeps it on
// its own side. Returns whether there was room.
bool node_beside_tip(const SpacedLoop& loop, DraftLoop* d, std::size_t corner, bool leaving) {
  const std::size_t segment = leaving ? corner : d->previous(corner), far = leaving ? d->next(segment) : segment;
  const DraftNode c = d->nodes[corner];
  const double clear = 1.5 * c.zone_px;
  if (d->segments[segment].straight || stretch_px(loop, *d, segment) < 2 * clear) return false;
  const DraftNode node = smooth_node(loop, c.arc + (leaving ? clear : -clear), Reason::added);
  const double third = distance(c.at, node.at) / 3, rest = distance(d->nodes[far].at, node.at) / 3;
  insert_node(d, segment, node);
  DraftSegment &near = d->segments[leaving ? segment : segment + 1],
               &other = d->segments[leaving ? segment + 1 : segment];
  near.start.handle_px = near.end.handle_px = third, other.start.handle_px = other.end.handle_px = rest;
  SegmentEnd& at_tip = leaving ? near.start : near.end;
  at_tip.angle_rad = angle_of(leaving ? node.at - c.at : c.at - node.at), at_tip.on_axis = false;
  settle_angles(d);
  return true;
}

void straighten(DraftLoop* d, std::size_t segment) {
  d->segments[segment] = DraftSegment{};
  d->segments[segment].straight = true;
  settle_angles(d);
}

// Removes a corner together with the short side at it; the segment on the other side keeps its kind.
void drop_corner(DraftLoop* d, std::size_t node, bool short_side_before) {
  if (short_side_before) d->segments[d->previous(node)] = d->segments[node];
  remove_node(d, node);
  settle_angles(d);
}

// The two sides of an acute tip are turned by this share of the way to where they run into it straight from their far
// handles, which lie on the right sides of each other.
void turn_apart(DraftLoop* d, std::size_t node, double share) {
  const auto turn = [&](std::size_t segment, bool start) {
    DraftSegment& p = d->segments[segment];
    if (p.straight || (start ? p.start.on_axis : p.end.on_axis)) return;
    const Cubic c = cubic_of(*d, segment);
    double& angle = start ? p.start.angle_rad : p.end.angle_rad;
    angle += share * wrap_angle(angle_of(start ? c[2] - c[0] : c[3] - c[1]) - angle);
  };
  turn(node, true), turn(d->previous(node), false);
  settle_angles(d);
}

using Change = std::function<bool(DraftLoop*)>;

std::vector<Change> edits_for(const EditContext& c, const DraftLoop& d, const Crossing& x) {
  std::vector<Change> out;
  out.push_back([&c, x](DraftLoop* n) {
    plain_handles(c.loop, n, x.first), plain_handles(c.loop, n, x.second);
    return true;
  });
  for (std::size_t j : {x.first, x.second})
    if (d.nodes[j].corner && (d.next(x.first) == j || d.next(x.second) == j))
      for (int sides : {1, 2, 3})
        out.push_back([&c, j, sides](DraftLoop* n) {
          bool done = (sides & 1) == 0 || node_beside_tip(c.loop, n, j, true);
          if (done && (sides & 2)) done = node_beside_tip(c.loop, n, j, false);
          return done;
        });
  // Two corners may have been told apart although they are one: either goes.
  for (std::size_t p :
       {x.first, d.next(x.first), d.previous(x.first), x.second, d.next(x.second), d.previous(x.second)}) {
    const std::size_t e = d.next(p);
    const bool short_side = distance(d.nodes[p].at, d.nodes[e].at) < 2 * c.loop.scale_px;
    if (is_line_end(d, p) || is_line_end(d, e)) continue;
    if (!short_side || !d.nodes[p].corner || !d.nodes[e].corner || d.size() <= 3) continue;
    out.push_back([e](DraftLoop* n) { return drop_corner(n, e, true), true; });
    out.push_back([p](DraftLoop* n) { return drop_corner(n, p, false), true; });
  }
  for (std::size_t p : {x.first, x.second}) {
    const std::size_t e = d.next(p);
    if (!d.segments[p].straight && d.nodes[p].corner && d.nodes[e].corner)
      out.push_back([p](DraftLoop* n) { return straighten(n, p), true; });
    out.push_back([&c, p](DraftLoop* n) { return plain_handles(c.loop, n, p), true; });
    for (double share : {0.05, 0.1, 0.15, 0.2, 0.3, 0.5, 0.8})
      for (std::size_t j : {p, e})
        if (d.nodes[j].corner) out.push_back([j, share](DraftLoop* n) { return turn_apart(n, j, share), true; });
    // A corner that reaches over a neighbouring wall goes back to where the loop itself turns.
    for (std::size_t j : {p, e})
      if (d.nodes[j].corner && !is_line_end(d, j))
        out.push_back([&c, j](DraftLoop* n) {
          n->nodes[j].at = n->nodes[j].anchor = c.loop.curve.at(n->nodes[j].arc);
          plain_handles(c.loop, n, j), plain_handles(c.loop, n, n->previous(j));
          return true;
        });
    for (std::size_t j : {p, e})
      if (!d.nodes[j].corner)
        out.push_back([j](DraftLoop* n) {
          const std::size_t size = n->size();
          if (size <= 3) return false;
          remove_node(n, j);
          return n->size() < size;
        });
  }
  return out;
}

}  // namespace

std::vector<Crossing> crossings_of(const DraftLoop& d) {
  std::vector<FlatSegment> flat;
  for (std::size_t i = 0; i < d.size(); ++i) flat.push_back(flatten(cubic_of(d, i), d.segments[i].straight));
  std::vector<Crossing> out;
  for (std::size_t i = 0; i < d.size(); ++i) {
    if (d.segments[i].way_back) continue;
    if (loops_once(flat[i])) out.push_back({i, i});
    for (std::size_t k = i + 1; k < d.size(); ++k)
      if (!d.segments[k].way_back && segments_cross(flat[i], flat[k])) out.push_back({i, k});
  }
  return out;
}

bool untangle(const EditContext& c, DraftLoop* d) {
  bool changed = false;
  for (int round = 0; round < 6 && !c.stop.stop_requested(); ++round) {
    const std::vector<Crossing> now = faults_of(c.loop, *d);
    if (now.empty()) break;
    bool mended = false;
    for (const Crossing& x : now) {
      for (const Change& edit : edits_for(c, *d, x)) {
        if (c.stop.stop_requested()) return changed;
        DraftLoop next = *d;
        if (!edit(&next)) continue;
        settle_angles(&next);
        if (faults_of(c.loop, next).size() >= now.size()) continue;  // first, since measuring all of it takes longer
        const Window was = Window::all(*d), is = Window::all(next);
        if ((mended = try_edit(c, {std::move(next), was, is, {}, steps::none, allowance::untangling}, d))) break;
      }
      if (mended) break;
    }
    if (!mended) break;
    changed = true;
  }
  return changed;
}

}  // namespace batten
