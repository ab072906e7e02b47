#include "refine/joint_terms.h"

#include <algorithm>
#include <optional>

#include "fit/handle_caps.h"
#include "fit/segment_data.h"

namespace batten {
namespace {

constexpr double anchor_sd_px = 10;    // a node may slide along a flat curve, but not run off
constexpr double angle_sd_rad = 0.5;   // a pull that only decides what the points leave open
constexpr double handle_share = 0.36;  // of the chord: between a circle's 0.39 a quarter and a straight's 0.33
constexpr double handle_share_sd = 0.3;
constexpr double largest_step_px = 30, largest_turn_rad = 0.35;  // in one round
constexpr double arm_sds = 3;         // what a direction at a corner may differ from the loop's own arm
constexpr double convex_weight = 40;  // one unit for a handle 1.5 degrees on the wrong side of its chord

// Draft: DraftLoop or const DraftLoop.
template <class Draft>
auto* scalar_of(Draft* d, Quantity of, std::size_t i) {
  switch (of) {
    case Quantity::x:
      return &d->nodes[i].at.x;
    case Quantity::y:
      return &d->nodes[i].at.y;
    case Quantity::angle:
      return &d->nodes[i].angle;
    case Quantity::h0:
      return &d->segments[i].start.handle_px;
    case Quantity::h1:
      return &d->segments[i].end.handle_px;
    case Quantity::a0:
      return &d->segments[i].start.angle_rad;
    case Quantity::a1:
      break;
  }
  return &d->segments[i].end.angle_rad;
}

HandleCaps caps_of(const DraftLoop& d, std::size_t segment) {
  return handle_caps(d.nodes[segment].at, direction(start_angle(d, segment)), d.nodes[d.next(segment)].at,
                     direction(end_angle(d, segment)));
}

EndSlots end_slots(const DraftLoop& d, std::size_t segment, bool start, const SlotOf& slot) {
  const std::size_t node = start ? segment : d.next(segment);
  const std::size_t beside = start ? d.previous(segment) : node;
  const DraftNode& j = d.nodes[node];
  const DraftSegment& p = d.segments[segment];
  EndSlots e;
  e.x = slot(Quantity::x, node), e.y = slot(Quantity::y, node);
  e.handle = slot(start ? Quantity::h0 : Quantity::h1, segment);
  const auto direction = [&](Quantity of, std::size_t index, bool fixed) {
    return fixed ? Slot{nullptr, value_of(d, of, index)} : slot(of, index);
  };
  if (j.corner) {
    e.angle = direction(start ? Quantity::a0 : Quantity::a1, segment, start ? p.start.on_axis : p.end.on_axis);
  } else if (d.segments[beside].straight) {
    e.along_line = true;
    const std::size_t far = start ? beside : d.next(node);
    e.line_x = slot(Quantity::x, far), e.line_y = slot(Quantity::y, far);
  } else {
    e.angle = direction(Quantity::angle, node, j.angle_fixed);
  }
  return e;
}

// Which way segment i turns. Noise hides the turn of a short one: it is asked for over a longer stretch, short of
// corners.
int sense_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i) {
  const std::size_t end = d.next(i);
  const double arc_length_px = stretch_px(loop, d, i), least_px = 4 * loop.scale_px;
  const double more_px = std::max(0.0, 0.5 * (least_px - arc_length_px));
  const auto room_px = [&](std::size_t node, std::size_t beyond, std::size_t segment) {
    if (d.nodes[node].corner) return 0.0;
    return d.nodes[beyond].corner ? std::min(more_px, 0.7 * stretch_px(loop, d, segment)) : more_px;
  };
  const double back = room_px(i, d.previous(i), d.previous(i)), on = room_px(end, d.next(end), end);
  return turning_sense(loop, d.nodes[i].arc - back, d.nodes[end].arc + on);
}

// The loop's own directions where a segment leaves a corner and reaches one; none where it does not.
struct Arms {
  std::optional<ArmDirection> start, end;
};

Arms arms_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i) {
  Arms arms;
  if (d.segments[i].straight) return arms;
  const DraftNode &a = d.nodes[i], &b = d.nodes[d.next(i)];
  if (a.corner) arms.start = arm_at(loop, a, stretch_px(loop, d, i), true);
  if (b.corner) arms.end = arm_at(loop, b, stretch_px(loop, d, i), false);
  return arms;
}

std::vector<Pull> pulls_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i, const Arms& arms) {
  const DraftNode& j = d.nodes[i];
  const DraftSegment& p = d.segments[i];
  // A smooth node may slide along a flat curve; a corner was located by its arms and may only be trimmed.
  const bool ends_pinned = p.pin >= 0 || d.segments[d.previous(i)].pin >= 0;  // a straight as long as it was asked for
  const double sd = ends_pinned ? 0.3
                    : j.corner  ? std::max({1.0, 0.3 * loop.band_px, 2 * loop.sigma_px})
                                : std::max(anchor_sd_px, 1.5 * loop.band_px);
  std::vector<Pull> out{
      {Quantity::x, i, j.anchor.x, sd}, {Quantity::y, i, j.anchor.y, sd}, {Quantity::angle, i, j.angle, angle_sd_rad}};
  // Without it a short handle swings right round a corner and the outline crosses itself at the tip.
  const auto pull_arm = [&](Quantity of, double value, const ArmDirection& arm) {
    out.push_back({of, i, value + wrap_angle(arm.angle - value), arm.sd_rad});
  };
  if (arms.start) pull_arm(Quantity::a0, p.start.angle_rad, *arms.start);
  if (arms.end) pull_arm(Quantity::a1, p.end.angle_rad, *arms.end);
  const double chord = std::max(distance(j.at, d.nodes[d.next(i)].at), 1.0);
  out.push_back({Quantity::h0, i, handle_share * chord, handle_share_sd * chord});
  out.push_back({Quantity::h1, i, handle_share * chord, handle_share_sd * chord});
  return out;
}

// The pull to the arm alone does not hold a short handle: it swung round a corner by a step a round.
Range range_of_direction(Quantity of, std::size_t i, double at, const std::optional<ArmDirection>& arm) {
  Range r{of, i, at - largest_turn_rad, at + largest_turn_rad};
  if (!arm) return r;
  const double turn = wrap_angle(arm->angle - at), most = arm_sds * arm->sd_rad;
  if (std::abs(turn) > pi / 2) return Range{of, i, at + turn - most, at + turn + most};  // the first fit went backwards
  r.low = std::max(r.low, at + std::min(0.0, turn - most)), r.high = std::min(r.high, at + std::max(0.0, turn + most));
  return r;
}

std::vector<Range> ranges_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i, const Arms& arms) {
  const DraftNode& j = d.nodes[i];
  const DraftSegment& p = d.segments[i];
  // A corner was located by its arms and the ink: it is trimmed, not moved.
  const double most_px = j.corner ? std::max({2.0, 0.4 * loop.band_px, 3 * loop.sigma_px}) : largest_step_px;
  const auto place = [&](Quantity of, double at, double anchor) {
    if (!j.corner || !loop.exact()) return Range{of, i, at - most_px, at + most_px};
    // The corner of an exact edge is known: it may not use up the tolerance that the curves beside it need. A quarter
    // of a pixel is always its own, but of finer tolerances three tenths are left to the curves.
    // That of a drawn curve stays where it is, but for the play that a solver needs.
    const double known =
        loop.is_known ? 0.01 * loop.limit_px : std::max(std::min(0.25, 0.7 * loop.limit_px), 0.5 * loop.limit_px);
    return Range{of, i, std::min(anchor - known, at), std::max(anchor + known, at)};
  };
  std::vector<Range> out{place(Quantity::x, j.at.x, j.anchor.x),
                         place(Quantity::y, j.at.y, j.anchor.y),
                         {Quantity::angle, i, j.angle - largest_turn_rad, j.angle + largest_turn_rad},
                         range_of_direction(Quantity::a0, i, p.start.angle_rad, arms.start),
                         range_of_direction(Quantity::a1, i, p.end.angle_rad, arms.end)};
  if (p.straight) return out;
  const double least = shortest_handle * std::max(distance(j.at, d.nodes[d.next(i)].at), 1e-3);
  const HandleCaps caps = caps_of(d, i);
  out.push_back({Quantity::h0, i, least, std::max(caps.start_px, 1.01 * least)});
  out.push_back({Quantity::h1, i, least, std::max(caps.end_px, 1.01 * least)});
  return out;
}

}  // namespace

double value_of(const DraftLoop& d, Quantity of, std::size_t i) { return *scalar_of(&d, of, i); }

void set_value(DraftLoop* d, Quantity of, std::size_t i, double value) {
  *scalar_of(d, of, i) = of == Quantity::angle ? wrap_angle(value) : value;
}

SegmentSlots segment_slots(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment, double power,
                           const SlotOf& slot) {
  const double arc_length_px = stretch_px(loop, d, segment);
  const double step_px = std::clamp(loop.correlation_px / 6, loop.curve.step_px, 3.0);
  SegmentSlots s;
  s.straight = d.segments[segment].straight;
  s.start = end_slots(d, segment, true, slot), s.end = end_slots(d, segment, false, slot);
  SegmentData data = points_of_segment(loop, d, segment, std::max(step_px, arc_length_px / 150));
  s.points = std::move(data.points);
  // Neighbouring points err alike: a point counts for its share of a correlation length.
  const double spacing_px = arc_length_px / double(s.points.size());
  const double share = std::min(1.0, spacing_px / (2 * loop.correlation_px));
  for (double w : data.weights) s.weights.push_back(std::sqrt(w * share));
  s.shape.power = power;
  s.scale_px = power > 2 ? loop.limit_px : std::max(loop.sigma_px, 0.05);
  if (!s.straight) {
    s.convex_sense = sense_of(loop, d, segment);
    s.convex_weight = convex_weight;
  }
  return s;
}

JointTerms joint_terms(const SpacedLoop& loop, const DraftLoop& d, std::size_t node, bool segment_moves) {
  const Arms arms = segment_moves ? arms_of(loop, d, node) : Arms{};
  return {pulls_of(loop, d, node, arms), ranges_of(loop, d, node, arms)};
}

void clamp_handles(DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    DraftSegment& p = d->segments[i];
    if (p.straight) continue;
    const double least = shortest_handle * distance(d->nodes[i].at, d->nodes[d->next(i)].at);
    const HandleCaps caps = caps_of(*d, i);
    p.start.handle_px = std::clamp(p.start.handle_px, least, std::max(caps.start_px, least));
    p.end.handle_px = std::clamp(p.end.handle_px, least, std::max(caps.end_px, least));
  }
}

}  // namespace batten
