#include "structure/place_nodes.h"

#include <algorithm>
#include <array>

#include "corners/corner_arms.h"
#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "structure/extremes.h"
#include "structure/pin_nodes.h"

namespace batten {
namespace {

// A place at which the loop is cut before extremes are looked for.
struct LoopCut {
  DraftNode node;
  bool straight_follows = false;
  bool way_back = false;  // of an open line
  bool level = false, vertical = false;
  int pin = -1;  // of the straight that follows
};

DraftNode corner_node(const Corner& c) {
  DraftNode j;
  j.at = j.anchor = c.apex;
  j.arc = c.arc;
  j.corner = true;
  j.reason = Reason::corner;
  j.zone_px = c.zone_px;
  return j;
}

// The ends of an open line as corners whose points are trusted right up to them.
void add_line_ends(const SpacedLoop& loop, std::vector<Corner>* corners) {
  if (!loop.open()) return;
  // The ink may have drawn a corner beyond an end.
  std::erase_if(*corners, [&](const Corner& c) { return c.arc <= 0 || c.arc >= loop.curve.line_px; });
  for (const double arc : {0.0, loop.curve.line_px}) {
    Corner c;
    c.arc = arc, c.apex = loop.curve.at(arc), c.accepted = true;
    // Like a corner that the ink has decided: a straight that ends there takes it on its line, within the limit.
    c.certainty = 1;
    corners->insert(arc == 0 ? corners->begin() : corners->end(), c);
  }
}

// The corner at which an end of a straight comes to rest, or -1. outwards: +1 at the straight's end, -1 at its start.
int corner_at_end(const SpacedLoop& loop, const std::vector<Corner>& corners, double arc, int outwards) {
  int best = -1;
  double best_gap = 1e300;
  for (std::size_t k = 0; k < corners.size(); ++k) {
    const Corner& c = corners[k];
    if (!c.accepted) continue;
    const double gap = outwards * loop.curve.signed_arc_px(arc, c.arc);  // > 0: the corner lies ahead of the end
    const double window_px = c.zone_px + std::max(3.0, 0.8 * loop.scale_px);
    if (std::abs(gap) < std::min(window_px, best_gap)) best = int(k), best_gap = std::abs(gap);
  }
  return best;
}

bool lines_meet(const Straight& s, const Straight& t, Point* at) {
  const Point d = unit(s.b - s.a), e = unit(t.b - t.a);
  const double den = cross(d, e);
  if (std::abs(den) < 0.2) return false;
  *at = s.b + cross(t.a - s.b, e) / den * d;
  return true;
}

struct CornersAtEnds {
  int from = -1, to = -1;  // indices of corners
};

// Where two straights meet at a point at which nothing is drawn, the tip is cut off by a short side with a corner at
// each end.
void cut_off_tip(const SpacedLoop& loop, const Straight& s, const Straight& t, double turn,
                 std::vector<Corner>* corners) {
  std::erase_if(*corners, [&](const Corner& c) {
    const double after = loop.curve.signed_arc_px(s.to, c.arc), before = loop.curve.signed_arc_px(c.arc, t.from);
    return after > -loop.scale_px && before > -loop.scale_px && after + before < 4 * loop.scale_px;
  });
  for (const bool first : {true, false}) {
    Corner c;
    c.arc = loop.curve.wrap(first ? s.to : t.from);
    c.apex = first ? s.b : t.a;
    c.into = first ? unit(s.b - s.a) : unit(t.a - s.b);
    c.out_of = first ? unit(t.a - s.b) : unit(t.b - t.a);
    c.turn_deg = std::abs(degrees(turn_between(c.into, c.out_of)));
    c.weighed_abruptness = 0.5, c.accepted = c.turn_deg > 0.2 * turn;
    c.zone_px = std::min(corner_zone_px(loop, c.turn_deg), 0.5 * distance(s.b, t.a));
    corners->push_back(c);
  }
}

// Two straights that run into one another without an accepted corner between them make a corner if the turn there is
// abrupt, and only then (measured on pencil lines).
void corners_between_straights(const SpacedLoop& loop, const std::vector<Straight>& straights,
                               std::vector<Corner>* corners) {
  for (std::size_t i = 0; i < straights.size(); ++i) {
    const Straight &s = straights[i], &t = straights[(i + 1) % straights.size()];
    if (straights.size() < 2 || &s == &t) continue;
    const double gap = loop.curve.ahead(s.to, t.from);
    const double turn = std::abs(degrees(turn_between(s.b - s.a, t.b - t.a)));
    if (gap > 2.5 * loop.scale_px || turn < 15) continue;
    Corner* inside = nullptr;
    for (Corner& c : *corners) {
      const double behind_px = loop.curve.ahead(loop.curve.wrap(s.to - loop.scale_px), c.arc);
      if (behind_px < gap + 2 * loop.scale_px && (!inside || c.weighed_abruptness < inside->weighed_abruptness))
        inside = &c;
    }
    if (inside && (inside->accepted || inside->weighed())) continue;  // the ink has had its say
    Point at;
    if (!lines_meet(s, t, &at)) continue;
    const double mid = loop.curve.wrap(s.to + 0.5 * gap);
    if (lies_in(loop.pins.smooth, mid, loop.curve.length_px())) continue;
    if (distance(at, loop.curve.at(mid)) > farthest_apex_px(loop, turn)) {
      cut_off_tip(loop, s, t, turn, corners);
      continue;
    }
    const bool tight = gap < std::max(2.0, 0.6 * loop.scale_px);
    if (!(inside && inside->weighed_abruptness <= 0.7) && !(tight && !inside)) continue;
    Corner c;
    c.arc = mid, c.apex = at, c.into = unit(s.b - s.a), c.out_of = unit(t.b - t.a);
    c.turn_deg = turn, c.weighed_abruptness = inside ? inside->weighed_abruptness : 0.3, c.accepted = true;
    c.zone_px = corner_zone_px(loop, turn);
    if (inside)
      *inside = c;
    else
      corners->push_back(c);
  }
  std::sort(corners->begin(), corners->end(), [](const Corner& a, const Corner& b) { return a.arc < b.arc; });
}

// The ink of a shaded shape has told how far an acute tip goes.
bool is_tip_of_fill(const SpacedLoop& loop, const Corner& c) {
  return loop.sort() == LoopSort::soft_edge && c.turn_deg >= acute_turn_deg;
}

// Puts corners that have a straight on one or both sides on the lines of those straights.
void put_corners_on_lines(const std::vector<Straight>& straights, const std::vector<CornersAtEnds>& ends,
                          const SpacedLoop& loop, std::vector<Corner>* corners) {
  for (std::size_t k = 0; k < corners->size(); ++k) {
    const Straight *before = nullptr, *after = nullptr;
    for (std::size_t i = 0; i < straights.size(); ++i) {
      if (ends[i].to == int(k)) before = &straights[i];
      if (ends[i].from == int(k)) after = &straights[i];
    }
    Corner& c = (*corners)[k];
    Point at;
    // Where the ink has decided, the lines only trim: they say nothing of how far a tip was drawn, and lines that pass
    // it by more than a fit may miss a point were led off by the round of the corner.
    const double trust = c.weighed() || is_tip_of_fill(loop, c) ? loop.limit_px : std::max(3.0, 2.5 * c.zone_px);
    if (before && after) {
      if (lines_meet(*before, *after, &at) && distance(at, c.apex) < trust) c.apex = at;
    } else if (before || after) {
      const Straight& s = before ? *before : *after;
      const Point d = unit(s.b - s.a), foot = s.a + dot(c.apex - s.a, d) * d;
      if (!c.weighed() || distance(foot, c.apex) < trust) c.apex = foot;
    }
  }
}

std::vector<LoopCut> cuts_of(const SpacedLoop& loop, std::vector<Corner> corners, std::vector<Straight> straights) {
  corners_between_straights(loop, straights, &corners);
  add_line_ends(loop, &corners);
  // A corner well inside a straight is noise.
  for (Corner& c : corners)
    for (const Straight& s : straights) {
      const double in = loop.curve.ahead(s.from, c.arc);
      if (in > c.zone_px + 2 && in < s.length_px() - c.zone_px - 2) c.accepted = false;
    }
  std::vector<CornersAtEnds> ends(straights.size());
  for (std::size_t i = 0; i < straights.size(); ++i) {
    ends[i].from = corner_at_end(loop, corners, straights[i].from, -1);
    ends[i].to = corner_at_end(loop, corners, straights[i].to, +1);
    if (ends[i].from >= 0 && ends[i].from == ends[i].to) ends[i] = {-1, -1}, straights[i].to = straights[i].from;
  }
  put_corners_on_lines(straights, ends, loop, &corners);
  std::vector<LoopCut> cuts;
  for (const Corner& c : corners)
    if (c.accepted) {
      LoopCut& cut = cuts.emplace_back(LoopCut{corner_node(c)});
      cut.way_back = loop.open() && c.arc == loop.curve.line_px;
      if (cut.way_back || (loop.open() && c.arc == 0)) cut.node.reason = Reason::line_end;
    }
  for (std::size_t i = 0; i < straights.size(); ++i) {
    const Straight& s = straights[i];
    if (s.length_px() <= 0) continue;
    const auto join = [&](double arc, Point at) {
      LoopCut cut;
      cut.node.at = cut.node.anchor = at;
      cut.node.arc = loop.curve.wrap(arc);
      cut.node.reason = Reason::straight_end;
      cut.node.angle = angle_of(s.b - s.a);
      return cut;
    };
    const auto corner_cut = [&](int k) -> LoopCut* {
      for (LoopCut& c : cuts)
        if (c.node.corner && c.node.arc == corners[std::size_t(k)].arc) return &c;
      return nullptr;
    };
    if (ends[i].from >= 0) {
      if (LoopCut* c = corner_cut(ends[i].from))
        c->straight_follows = true, c->level = s.level, c->vertical = s.vertical, c->pin = s.pin;
    } else {
      LoopCut c = join(s.from, s.a);
      c.straight_follows = true, c.level = s.level, c.vertical = s.vertical, c.pin = s.pin;
      cuts.push_back(c);
    }
    if (ends[i].to < 0) cuts.push_back(join(s.to, s.b));
  }
  std::stable_sort(cuts.begin(), cuts.end(),
                   [](const LoopCut& a, const LoopCut& b) { return a.node.arc < b.node.arc; });
  return cuts;
}

// The extremes of one stretch between two cuts as nodes, none beside a cut, none beside one another: of two extremes in
// one tight round the first stays.
std::vector<DraftNode> extreme_nodes(const SpacedLoop& loop, const ArcLoop& smooth, double from, double to,
                                     const DraftNode* first, const DraftNode* last) {
  const double gap_px = std::max(0.95 * loop.band_px, 2.0);
  const auto clear_px = [&](const DraftNode* cut) {
    if (!cut) return 0.0;
    return cut->corner ? std::max(0.6 * loop.scale_px, 1.5 * cut->zone_px) : gap_px;
  };
  std::vector<DraftNode> out;
  for (const Extreme& e : extremes_between(smooth, from, to, extreme_hysteresis_px(loop))) {
    if (e.arc - from < clear_px(first) || to - e.arc < clear_px(last)) continue;
    if (!out.empty() && e.arc - out.back().arc < gap_px) continue;
    DraftNode j = smooth_node(loop, e.arc, e.reason);
    j.angle = axis_angle(j.angle);
    j.angle_fixed = true;
    j.arc = e.arc;  // unwrapped for now: kept in order
    out.push_back(j);
  }
  return out;
}

void add_node(DraftLoop* d, const SpacedLoop& loop, DraftNode j, DraftSegment p) {
  j.arc = loop.curve.wrap(j.arc);
  d->nodes.push_back(j);
  d->segments.push_back(p);
}

// A loop that is not cut anywhere is a round: it is walked once from its leftmost place.
DraftLoop round_loop(const SpacedLoop& loop, const ArcLoop& smooth, bool with_extremes) {
  DraftLoop d;
  const double len = loop.curve.length_px();
  if (with_extremes) {
    std::ptrdiff_t left = 0;
    for (std::ptrdiff_t i = 0; i < std::ptrdiff_t(smooth.size()); ++i)
      if (smooth[i].x < smooth[left].x) left = i;
    // Start a quarter round before it, so that it is found in the middle like the others.
    const double start = double(left) * smooth.step_px - 0.125 * len;
    std::vector<DraftNode> found = extreme_nodes(loop, smooth, start, start + 1.25 * len, nullptr, nullptr);
    std::vector<DraftNode> kept;
    for (const DraftNode& j : found)
      if (kept.empty() || j.arc - kept.front().arc < len - std::max(2.0, 0.95 * loop.band_px)) kept.push_back(j);
    if (kept.size() >= 2)
      for (const DraftNode& j : kept) add_node(&d, loop, j, {});
  }
  if (d.size() < 2) {
    d = {};
    for (double share : {0.0, 0.5}) add_node(&d, loop, smooth_node(loop, share * len, Reason::added), {});
  }
  return d;
}

DraftLoop placed(const SpacedLoop& loop, const std::vector<Corner>& corners, const std::vector<Straight>& straights,
                 bool with_extremes) {
  const ArcLoop smooth_loop = smooth_for_extremes(loop);
  const std::vector<LoopCut> cuts = cuts_of(loop, corners, straights);
  if (cuts.empty()) return round_loop(loop, smooth_loop, with_extremes);
  DraftLoop d;
  const double len = loop.curve.length_px();
  for (std::size_t i = 0; i < cuts.size(); ++i) {
    const LoopCut &cut = cuts[i], &next = cuts[(i + 1) % cuts.size()];
    DraftSegment segment;
    segment.straight = cut.straight_follows;
    segment.level = cut.level, segment.vertical = cut.vertical, segment.pin = cut.pin;
    if (cut.way_back) segment = DraftSegment::way_back_of_line();
    add_node(&d, loop, cut.node, segment);
    if (cut.straight_follows || cut.way_back) continue;
    double to = next.node.arc;
    if (to <= cut.node.arc) to += len;
    if (with_extremes)
      for (const DraftNode& j : extreme_nodes(loop, smooth_loop, cut.node.arc, to, &cut.node, &next.node))
        add_node(&d, loop, j, {});
  }
  if (d.size() == 1) add_node(&d, loop, smooth_node(loop, d.nodes[0].arc + 0.5 * len, Reason::added), {});
  return d;
}

void even_handles(DraftLoop* d, const SpacedLoop& loop) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    DraftSegment& p = d->segments[i];
    const DraftNode &a = d->nodes[i], &b = d->nodes[d->next(i)];
    const double chord = distance(a.at, b.at), length_px = stretch_px(loop, *d, i);
    p.start.handle_px = p.end.handle_px = std::max(chord, 0.5 * length_px) / 3;
    if (a.corner) p.start.angle_rad = arm_at(loop, a, length_px, true).angle;
    if (b.corner) p.end.angle_rad = arm_at(loop, b, length_px, false).angle;
  }
  settle_angles(d);
}

}  // namespace

Result<Draft> place_nodes(const SpacedLoops& loops, const Corners& corners, const Straights& straights,
                          const Options& options, Progress& progress) {
  Draft draft;
  for (std::size_t i = 0; i < loops.loops.size(); ++i) {
    if (progress.stopped()) return progress.cancelled();
    DraftLoop d = placed(loops.loops[i], corners.of_loop[i], straights.of_loop[i],
                         options.extremes == Options::Extremes::required);
    if (progress.stopped()) return progress.cancelled();
    if (!loops.loops[i].pins.empty()) d = pin_nodes(loops.loops[i], d);
    even_handles(&d, loops.loops[i]);
    draft.loops.push_back(std::move(d));
  }
  return draft;
}

}  // namespace batten
