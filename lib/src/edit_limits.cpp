#include "edit_limits.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "batten/measure.h"
#include "edit_draft.h"
#include "piece_data.h"
#include "reference_loop.h"

namespace batten {
namespace {

Outline outline_of(const DraftLoop& d) {
  Outline o;
  for (std::size_t i = 0; i < d.size(); ++i)
    o.nodes.push_back(
        {cubic_of(d, d.previous(i))[2], d.joints[i].at, cubic_of(d, i)[1], !d.joints[i].corner, d.joints[i].reason});
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
    const bool lines = d.pieces[i].straight && d.pieces[d.previous(i)].straight;
    kinks += d.joints[i].corner ? turn_deg < weakest_corner_deg : lines && turn_deg > 0.5;
  }
  return kinks;
}

}  // namespace

Fit fit_of(const SpacedLoop& loop, const DraftLoop& d, const std::stop_token& stop) {
  constexpr double any = std::numeric_limits<double>::infinity();
  const Fit all{any, any, true, std::numeric_limits<int>::max()};
  return fit_within(loop, d, all, stop).value_or(all);  // what is no number holds nothing
}

std::optional<Fit> fit_within(const SpacedLoop& loop, const DraftLoop& d, const Fit& allowed,
                              const std::stop_token& stop) {
  Fit out{local_error(loop, d, 0, d.size()).max_px, 0, false, kinks_of(d)};
  if (!within(out, allowed)) return std::nullopt;  // the cheap ones first
  if (!stop.stop_requested()) out.all_px = deviation_of(loop, d).max_px;
  if (!within(out, allowed)) return std::nullopt;
  if (!stop.stop_requested()) out.crosses = crosses_itself(outline_of(d));
  if (!within(out, allowed)) return std::nullopt;
  return out;
}

// At a corner an outline is measured against two arms of a few px that are run on to their meeting point; that is known
// to sigma sqrt(8) (two lines of one independent point each, at a right angle), which comes on top, and a corner that
// was off moves by a hair when its sides do.
Fit allowed(const SpacedLoop& loop, const Fit& before) {
  const double held = stem_allowance_px(loop);
  return {std::max(held, before.pieces_px),
          std::max(held + std::sqrt(8) * loop.sigma_px, before.all_px + 0.1 * loop.limit_px), before.crosses,
          before.kinks};
}

bool within(const Fit& now, const Fit& allowed) {
  return now.pieces_px <= allowed.pieces_px && now.all_px <= allowed.all_px && (!now.crosses || allowed.crosses) &&
         now.kinks <= allowed.kinks;
}

bool far_off(const Fit& now, const Fit& allowed) {
  constexpr double mendable = 1.6;  // times what is allowed; without it a crowded sheet took 38 s of work instead of 24
  return now.all_px > mendable * allowed.all_px || now.pieces_px > mendable * allowed.pieces_px;
}

Point worst_place(const SpacedLoop& loop, const DraftLoop& d, const Fit& allowed) {
  PieceError worst;
  for (std::size_t i = 0; i < d.size(); ++i)
    if (const PieceError e = piece_error(loop, d, i); e.max_px > worst.max_px) worst = e;
  return worst.max_px > allowed.pieces_px ? loop.even.at(worst.worst_arc) : deviation_of(loop, d).worst;
}

}  // namespace batten
