#include "straighten/edit_limits.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "batten/measure.h"
#include "fit/segment_data.h"
#include "measure/reference_loop.h"
#include "refine/edit_draft.h"

namespace batten {
namespace {

Outline outline_of(const DraftLoop& d) {
  Outline o;
  for (std::size_t i = 0; i < d.size(); ++i)
    o.nodes.push_back(
        {cubic_of(d, d.previous(i))[2], d.nodes[i].at, cubic_of(d, i)[1], !d.nodes[i].corner, d.nodes[i].reason});
  return o;
}

Deviation deviation_of(const SpacedLoop& loop, const DraftLoop& d) {
  const Outline o = outline_of(d);
  return measure(o, reference_loop(loop, o).points, 0.5);
}

// Corners that hardly turn, and smooth nodes that do, between two straights.
int kinks_of(const DraftLoop& d) {
  int kinks = 0;
  for (std::size_t i = 0; i < d.size(); ++i) {
    const double turn_deg = turn_at_deg(d, i);
    const bool lines = d.segments[i].straight && d.segments[d.previous(i)].straight;
    kinks += d.nodes[i].corner ? turn_deg < weakest_corner_deg : lines && turn_deg > 0.5;
  }
  return kinks;
}

}  // namespace

OutlineFit outline_fit(const SpacedLoop& loop, const DraftLoop& d, const std::stop_token& stop) {
  constexpr double any = std::numeric_limits<double>::infinity();
  const OutlineFit all{any, any, true, std::numeric_limits<int>::max()};
  return outline_fit_within(loop, d, all, stop).value_or(all);  // a distance that is no number is within nothing
}

std::optional<OutlineFit> outline_fit_within(const SpacedLoop& loop, const DraftLoop& d, const OutlineFit& allowed,
                                             const std::stop_token& stop) {
  OutlineFit out{local_error(loop, d, Window::all(d)).max_px, 0, false, kinks_of(d)};
  if (!is_within(out, allowed)) return std::nullopt;  // the cheap ones first
  if (!stop.stop_requested()) out.all_px = deviation_of(loop, d).max_px;
  if (!is_within(out, allowed)) return std::nullopt;
  if (!stop.stop_requested()) out.crosses = crosses_itself(outline_of(d));
  if (!is_within(out, allowed)) return std::nullopt;
  return out;
}

// At a corner an outline is measured against two arms of a few px that are run on to their meeting point; that is known
// to sigma sqrt(8) (two lines of one independent point each, at a right angle), which comes on top, and a corner that
// was off moves by a hair when its sides do.
OutlineFit allowed_after(const SpacedLoop& loop, const OutlineFit& before) {
  const double held = straight_tolerance_px(loop);
  if (loop.held_finer())
    return {std::max(held, before.segments_px), std::max(held, before.all_px), before.crosses, before.kinks};
  return {std::max(held, before.segments_px),
          std::max(held + std::sqrt(8) * loop.sigma_px, before.all_px + 0.1 * loop.limit_px), before.crosses,
          before.kinks};
}

bool is_within(const OutlineFit& now, const OutlineFit& allowed) {
  return now.segments_px <= allowed.segments_px && now.all_px <= allowed.all_px && (!now.crosses || allowed.crosses) &&
         now.kinks <= allowed.kinks;
}

bool is_far_off(const OutlineFit& now, const OutlineFit& allowed) {
  // Without this a crowded sheet took 38 s of work instead of 24.
  return now.all_px > mendable * allowed.all_px || now.segments_px > mendable * allowed.segments_px;
}

Point worst_place(const SpacedLoop& loop, const DraftLoop& d, const OutlineFit& allowed) {
  SegmentError worst;
  for (std::size_t i = 0; i < d.size(); ++i)
    if (const SegmentError e = segment_error(loop, d, i); e.max_px > worst.max_px) worst = e;
  return worst.max_px > allowed.segments_px ? loop.curve.at(worst.worst_arc) : deviation_of(loop, d).worst;
}

}  // namespace batten
