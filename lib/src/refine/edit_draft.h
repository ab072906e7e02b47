#pragma once
// Leaf: single edits of a draft outline, each tried on a copy and kept only if the segments round it hold.

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/window.h"
#include "refine/solve_joint.h"

namespace batten {

struct EditContext {
  const SpacedLoop& loop;
  bool extremes_required = true;
  const std::stop_token& stop;
  /// How much of the limit a node may be given up for by solve_minimax().
  double minimax_share = 1;
  long* work = nullptr;  ///< counts nodes solved for, times rounds: bounds the effort where no limit can be held
};

/// solve_joint() within an edit, its work counted.
bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options);

/// May the largest offset decide alone? Only where it is the curve's and not the points' own error (in photographs
/// nodes given up so cost 2 % of the rms and 3 px of the worst place), and where points count right up to the corners:
/// within the band of a pencil line beside one they do not, and curves went 14 px astray there.
bool uses_minimax(const SpacedLoop& loop);
/// solve() towards the smallest largest offset; false where that may not decide.
bool solve_minimax(const EditContext& c, DraftLoop* d, const std::vector<char>& freed);

/// The largest distance of some segments from their stretches, and the squared distances of all of them together.
struct LocalError {
  double max_px = 0, sum2 = 0;
};
LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, const Window& segments);

/// Depth below which nobody sees that an extreme has no node.
inline constexpr double visible_poke_px = 0.2;
/// How far a curve leaves the box of its ends, the deepest of those from two before the segment to two after.
double deepest_poke_px(const DraftLoop& d, std::size_t segment);

/// Is one of the node's two segments a straight?
bool touches_straight(const DraftLoop& d, std::size_t node);

/// Remove a node, its two segments becoming one cubic. Kept if everything near it stays within the limit and the fit
/// gets no worse than noise explains.
bool try_delete(const EditContext& c, DraftLoop* d, std::size_t node);
/// What deleting comes down to: `next` is `d` without `removed` nodes at and beside `node`, and its `segment` runs
/// where they were. Solved; true if everything near it stays within the limit and no more is lost than noise explains.
bool removal_fits(const EditContext& c, const DraftLoop& d, std::size_t node, int removed, DraftLoop* next,
                  std::size_t segment);
/// Takes a node out; the segment before it runs on to the end of the segment after. A straight on either side survives
/// only if it is the segment before.
void remove_joint(DraftLoop* d, std::size_t node);
/// A segment too short to be meant (shorter than shortest_segment_px) goes: the less important of its two nodes is
/// removed.
bool merge_short(const EditContext& c, DraftLoop* d, std::size_t segment);
double shortest_segment_px(const SpacedLoop& loop);
/// Bring a segment within the limit: the smallest largest offset first, then a split. Returns whether the draft
/// changed.
bool repair_segment(const EditContext& c, DraftLoop* d, std::size_t segment);
/// A segment that is over the limit: it alone, or it and a neighbour as one stretch, in the fewest cubics that hold
/// while nothing else moves. Returns whether the draft changed.
bool try_divide(const EditContext& c, DraftLoop* d, std::size_t segment);
/// Degrees by which the outline turns at a node, 0..180.
double turn_at_deg(const DraftLoop& d, std::size_t node);
inline constexpr double weakest_corner_deg = 18;  // a turn this small reads as a kink, not as a corner
/// A corner that turns less than `least_deg` becomes smooth.
bool smooth_weak_corner(const EditContext& c, DraftLoop* d, std::size_t node, double least_deg);
/// How far a straight may lie off its stretch, px. A long stem may waver further than one draw of the noise allows;
/// where nothing wavers the tolerance is the tolerance.
double straight_tolerance_px(const SpacedLoop& loop);
/// Is a change of the squared distances (LocalError::sum2) more than `units` draws of noise explain? Each number that
/// an edit frees takes up one; points within two correlation lengths err alike. Where the tolerance is far wider than
/// the noise it decides alone: never true then.
bool is_significant(const SpacedLoop& loop, double change_px3, double units);
inline constexpr double snap_deg =
    3.2;  // a hair over the 3 degrees that a practitioner calls "meant to be on the axis"
/// Free directions nearer than 3 degrees to an axis are put on it. Returns how many.
int snap_handles(DraftLoop* d);
/// The same one by one, each kept only if what is round it holds the limit. Returns whether the draft changed.
bool snap_where_held(const EditContext& c, DraftLoop* d);

}  // namespace batten
