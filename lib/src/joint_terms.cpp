#include "joint_terms.h"

#include <algorithm>
#include <optional>

#include "handle_caps.h"
#include "piece_data.h"

namespace batten {
namespace {

constexpr double anchor_sd_px = 10;    // a node may slide along a flat curve, but not run off
constexpr double angle_sd = 0.5;       // rad: a pull that only decides what the points leave open
constexpr double handle_share = 0.36;  // of the chord: between a circle's 0.39 a quarter and a straight's 0.33
constexpr double handle_share_sd = 0.3;
constexpr double step_px = 30, step_angle = 0.35;  // largest move a round
constexpr double arm_sds = 3;                      // what a direction at a corner may differ from the loop's own arm
constexpr double convex_weight = 40;               // one unit for a handle 1.5 degrees on the wrong side of its chord

EndSlots end_slots(const DraftLoop& d, std::size_t piece, bool start, const SlotOf& slot) {
  const std::size_t joint = start ? piece : d.next(piece);
  const std::size_t beside = start ? d.previous(piece) : joint;
  const Joint& j = d.joints[joint];
  const Piece& p = d.pieces[piece];
  EndSlots e;
  e.x = slot(Quantity::x, joint), e.y = slot(Quantity::y, joint);
  e.handle = slot(start ? Quantity::h0 : Quantity::h1, piece);
  const auto direction = [&](Quantity of, std::size_t index, bool fixed) {
    return fixed ? Slot{nullptr, value_of(d, of, index)} : slot(of, index);
  };
  if (j.corner) {
    e.angle = direction(start ? Quantity::a0 : Quantity::a1, piece, start ? p.fixed0 : p.fixed1);
  } else if (d.pieces[beside].straight) {
    e.along_line = true;
    const std::size_t far = start ? beside : d.next(joint);
    e.line_x = slot(Quantity::x, far), e.line_y = slot(Quantity::y, far);
  } else {
    e.angle = direction(Quantity::angle, joint, j.angle_fixed);
  }
  return e;
}

// Which way piece i turns. Noise hides the turn of a short one: it is asked for over a longer stretch, short of
// corners.
int sense_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i) {
  const Joint &a = d.joints[i], &b = d.joints[d.next(i)];
  const double way = loop.even.ahead(a.arc, b.arc), least = 4 * loop.scale_px;
  if (way >= least) return turning_sense(loop, a.arc, b.arc);
  const double more = 0.5 * (least - way);
  const auto reach = [&](std::size_t end, std::size_t beyond, double room) {
    if (d.joints[end].corner) return 0.0;
    return d.joints[beyond].corner ? std::min(more, 0.7 * room) : more;
  };
  const std::size_t end = d.next(i), before = d.previous(i), after = d.next(end);
  const double back = reach(i, before, loop.even.ahead(d.joints[before].arc, a.arc));
  const double on = reach(end, after, loop.even.ahead(b.arc, d.joints[after].arc));
  return turning_sense(loop, a.arc - back, b.arc + on);
}

}  // namespace

double value_of(const DraftLoop& d, Quantity of, std::size_t i) {
  switch (of) {
    case Quantity::x:
      return d.joints[i].at.x;
    case Quantity::y:
      return d.joints[i].at.y;
    case Quantity::angle:
      return d.joints[i].angle;
    case Quantity::h0:
      return d.pieces[i].h0;
    case Quantity::h1:
      return d.pieces[i].h1;
    case Quantity::a0:
      return d.pieces[i].a0;
    case Quantity::a1:
      return d.pieces[i].a1;
  }
  return 0;
}

void set_value(DraftLoop* d, Quantity of, std::size_t i, double value) {
  switch (of) {
    case Quantity::x:
      d->joints[i].at.x = value;
      break;
    case Quantity::y:
      d->joints[i].at.y = value;
      break;
    case Quantity::angle:
      d->joints[i].angle = wrap_angle(value);
      break;
    case Quantity::h0:
      d->pieces[i].h0 = value;
      break;
    case Quantity::h1:
      d->pieces[i].h1 = value;
      break;
    case Quantity::a0:
      d->pieces[i].a0 = value;
      break;
    case Quantity::a1:
      d->pieces[i].a1 = value;
      break;
  }
}

PieceSlots piece_slots(const SpacedLoop& loop, const DraftLoop& d, std::size_t piece, double power,
                       const SlotOf& slot) {
  const Joint &a = d.joints[piece], &b = d.joints[d.next(piece)];
  const double way = loop.even.ahead(a.arc, b.arc);
  const double step = std::clamp(loop.correlation_px / 6, loop.even.step_px, 3.0);
  PieceSlots s;
  s.straight = d.pieces[piece].straight;
  s.start = end_slots(d, piece, true, slot), s.end = end_slots(d, piece, false, slot);
  PieceData data = points_of_piece(loop, d, piece, std::max(step, way / 150));
  s.points = std::move(data.points);
  const double spacing = way / double(s.points.size());
  // Neighbouring points err alike: a point counts for its share of a correlation length.
  const double share = std::min(1.0, spacing / (2 * loop.correlation_px));
  for (double w : data.weights) s.weights.push_back(std::sqrt(w * share));
  s.shape.power = power;
  s.scale_px = power > 2 ? loop.limit_px : std::max(loop.sigma_px, 0.05);
  if (!s.straight) {
    s.convex_sense = sense_of(loop, d, piece);
    s.convex_weight = convex_weight;
  }
  return s;
}

namespace {

// The loop's own directions where a piece leaves a corner and reaches one; none where it does not.
struct Arms {
  std::optional<ArmDirection> start, end;
};

Arms arms_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i) {
  Arms arms;
  const Joint &j = d.joints[i], &k = d.joints[d.next(i)];
  if (d.pieces[i].straight) return arms;
  const double way = loop.even.ahead(j.arc, k.arc);
  if (j.corner) arms.start = arm_at(loop, j, way, true);
  if (k.corner) arms.end = arm_at(loop, k, way, false);
  return arms;
}

std::vector<Pull> pulls_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i, const Arms& arms) {
  const Joint& j = d.joints[i];
  // A smooth node may slide along a flat curve; a corner was located by its arms and may only be trimmed.
  const double sd =
      j.corner ? std::max({1.0, 0.3 * loop.band_px, 2 * loop.sigma_px}) : std::max(anchor_sd_px, 1.5 * loop.band_px);
  std::vector<Pull> out{
      {Quantity::x, i, j.anchor.x, sd}, {Quantity::y, i, j.anchor.y, sd}, {Quantity::angle, i, j.angle, angle_sd}};
  const Piece& p = d.pieces[i];
  // Without it a short handle swings right round a corner and the outline crosses itself at the tip.
  const auto pull_arm = [&](Quantity of, double value, const ArmDirection& arm) {
    out.push_back({of, i, value + wrap_angle(arm.angle - value), arm.sd_rad});
  };
  if (arms.start) pull_arm(Quantity::a0, p.a0, *arms.start);
  if (arms.end) pull_arm(Quantity::a1, p.a1, *arms.end);
  const double chord = std::max(distance(j.at, d.joints[d.next(i)].at), 1.0);
  out.push_back({Quantity::h0, i, handle_share * chord, handle_share_sd * chord});
  out.push_back({Quantity::h1, i, handle_share * chord, handle_share_sd * chord});
  return out;
}

// The pull to the arm alone does not hold a short handle: it swung round a corner by a step a round.
Range range_of_direction(Quantity of, std::size_t i, double at, const std::optional<ArmDirection>& arm) {
  Range r{of, i, at - step_angle, at + step_angle};
  if (!arm) return r;
  const double way = wrap_angle(arm->angle - at), most = arm_sds * arm->sd_rad;
  if (std::abs(way) > pi / 2) return Range{of, i, at + way - most, at + way + most};  // the first fit went backwards
  r.low = std::max(r.low, at + std::min(0.0, way - most)), r.high = std::min(r.high, at + std::max(0.0, way + most));
  return r;
}

std::vector<Range> ranges_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t i, const Arms& arms) {
  const Joint& j = d.joints[i];
  const Piece& p = d.pieces[i];
  // A corner was located by its arms and the ink: it is trimmed, not moved.
  const double reach = j.corner ? std::max({2.0, 0.4 * loop.band_px, 3 * loop.sigma_px}) : step_px;
  const auto place = [&](Quantity of, double at, double anchor) {
    if (!j.corner || !loop.exact()) return Range{of, i, at - reach, at + reach};
    // The corner of an exact edge is known: it may not use up the tolerance that the curves beside it need. A quarter of
    // a pixel is always its own, but of finer tolerances three tenths are left to the curves.
    const double known = std::max(std::min(0.25, 0.7 * loop.limit_px), 0.5 * loop.limit_px);
    return Range{of, i, std::min(anchor - known, at), std::max(anchor + known, at)};
  };
  std::vector<Range> out{place(Quantity::x, j.at.x, j.anchor.x),
                         place(Quantity::y, j.at.y, j.anchor.y),
                         {Quantity::angle, i, j.angle - step_angle, j.angle + step_angle},
                         range_of_direction(Quantity::a0, i, p.a0, arms.start),
                         range_of_direction(Quantity::a1, i, p.a1, arms.end)};
  if (p.straight) return out;
  const Point p0 = j.at, p3 = d.joints[d.next(i)].at;
  const HandleCaps caps = handle_caps(p0, direction(start_angle(d, i)), p3, direction(end_angle(d, i)));
  const double least = shortest_handle * std::max(distance(p0, p3), 1e-3);
  out.push_back({Quantity::h0, i, least, std::max(caps.start_px, 1.01 * least)});
  out.push_back({Quantity::h1, i, least, std::max(caps.end_px, 1.01 * least)});
  return out;
}

}  // namespace

JointTerms joint_terms(const SpacedLoop& loop, const DraftLoop& d, std::size_t joint, bool piece_moves) {
  const Arms arms = piece_moves ? arms_of(loop, d, joint) : Arms{};
  return {pulls_of(loop, d, joint, arms), ranges_of(loop, d, joint, arms)};
}

void clamp_handles(DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    Piece& p = d->pieces[i];
    if (p.straight) continue;
    const Point p0 = d->joints[i].at, p3 = d->joints[d->next(i)].at;
    const HandleCaps caps = handle_caps(p0, direction(start_angle(*d, i)), p3, direction(end_angle(*d, i)));
    const double least = shortest_handle * distance(p0, p3);
    p.h0 = std::clamp(p.h0, least, std::max(caps.start_px, least));
    p.h1 = std::clamp(p.h1, least, std::max(caps.end_px, least));
  }
}

}  // namespace batten
