#include "refine/run_lines_on.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "fit/segment_data.h"
#include "minimise/fit_segment.h"
#include "refine/judge_edit.h"
#include "structure/join_ends.h"

namespace batten {
namespace {

// Two tangents at a junction are each read from one side only; sharper turns are drawn.
constexpr double most_turn_deg = 30;

// One of the two ends: its direction is that of leaving the junction.
struct RunningEnd {
  const SpacedLoop& loop;
  const DraftLoop& d;
  bool at_end;
  std::size_t segment = segment_at(d, at_end);

  const DraftSegment& of() const { return d.segments[segment]; }
  bool straight() const { return of().straight; }
  bool on_axis() const { return at_end ? of().end.on_axis : of().start.on_axis; }
  double leaving_rad() const { return at_end ? end_angle(d, segment) + pi : start_angle(d, segment); }
  double length_px() const { return stretch_px(loop, d, segment); }

  // The line with that direction of leaving; nothing where its segment can't hold it.
  std::optional<DraftLoop> turned(double leaving_rad) const {
    if (straight()) return d;
    const double travel = wrap_angle(at_end ? leaving_rad + pi : leaving_rad);
    StretchEnd a = stretch_end(d.nodes[segment], start_angle(d, segment)),
               b = stretch_end(d.nodes[d.next(segment)], end_angle(d, segment));
    a.free = a.free && !of().start.on_axis, b.free = b.free && !of().end.on_axis;
    StretchEnd& here = at_end ? b : a;
    here.angle = travel, here.free = false;
    const StretchFit fit = fit_stretch(loop, a, b, loop.limit_px);
    DraftLoop next = d;
    DraftSegment& p = next.segments[segment];
    p.start.handle_px = distance(fit.curve[0], fit.curve[1]), p.end.handle_px = distance(fit.curve[2], fit.curve[3]);
    if (a.free) p.start.angle_rad = angle_of(start_tangent(fit.curve));
    if (b.free) p.end.angle_rad = angle_of(end_tangent(fit.curve));
    SegmentEnd& end = at_end ? p.end : p.start;
    end.angle_rad = travel, end.on_axis = off_axis_deg(travel) < 1e-9;
    const std::stop_token never;
    const Window is(d, segment, 1);
    return judge_edit({loop, true, never}, d, {std::move(next), is, is, {}, steps::none, allowance::no_worse});
  }
};

// The direction in which the stroke leaves the junction along b, if both take it.
std::optional<double> shared_direction(const RunningEnd& a, const RunningEnd& b) {
  const double through = a.leaving_rad() + pi, turn = wrap_angle(b.leaving_rad() - through);
  if (std::abs(degrees(turn)) > most_turn_deg || (a.straight() && b.straight())) return std::nullopt;
  if (a.straight() || (a.on_axis() && !b.straight())) return through;
  if (b.straight() || b.on_axis()) return b.leaving_rad();
  return through + turn * b.length_px() / (a.length_px() + b.length_px());
}

}  // namespace

Draft run_lines_on(const SpacedLoops& loops, const Draft& refined) {
  Draft out = refined;
  for (const LineRunsOn& r : loops.runs_on) {
    if (!names_lines(loops, r)) continue;
    const auto i = std::size_t(r.loop_a), k = std::size_t(r.loop_b);
    const RunningEnd a{loops.loops[i], out.loops[i], r.a_at_end};
    const RunningEnd b{loops.loops[k], out.loops[k], r.b_at_end};
    const std::optional<double> leaving_rad = shared_direction(a, b);
    if (!leaving_rad) continue;
    auto turned_a = a.turned(*leaving_rad + pi);
    if (!turned_a) continue;
    if (i == k) {  // a line that runs on into itself
      auto both = RunningEnd{loops.loops[k], *turned_a, r.b_at_end}.turned(*leaving_rad);
      if (both) out.loops[k] = std::move(*both);
    } else if (auto turned_b = b.turned(*leaving_rad)) {
      out.loops[i] = std::move(*turned_a), out.loops[k] = std::move(*turned_b);
    }
  }
  return out;
}

}  // namespace batten
