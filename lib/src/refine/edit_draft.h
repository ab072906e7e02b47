#pragma once
// Single edits of a draft outline. Each is tried on a copy and kept only if the segments round it hold, except
// smooth_weak_corner() and snap_handles(), which are not judged: refining repairs what they take over the limit.

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
  /// The share of the limit that has to be enough where a node is given up by the smallest largest offset.
  double minimax_share = 1;
  long* work = nullptr;  ///< counts nodes solved for, times rounds: bounds the effort where no limit can be held
};

/// solve_joint() within an edit, its work counted.
bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options = {});

/// May the largest offset decide alone? Only where it is the curve's and not the points' own error (in photographs
/// nodes given up so cost 2 % of the rms and 3 px of the worst place), and where points count right up to the corners:
/// within the band of a pencil line beside one they do not, and curves went 14 px astray there.
bool uses_minimax(const SpacedLoop& loop);
/// solve() towards the smallest largest offset; false where that may not decide.
bool solve_minimax(const EditContext& c, DraftLoop* d, const std::vector<char>& freed);

/// Times what is allowed: a segment that least squares leave farther off is not brought back by higher powers.
inline constexpr double mendable = 1.6;

/// The largest distance of some segments from their stretches, and the squared distances of all of them together.
struct LocalError {
  double max_px = 0, sum2 = 0;  ///< sum2: px^3, as in SegmentError
};
LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, const Window& segments);

/// Nobody sees that an extreme less deep than this has no node.
inline constexpr double visible_poke_px = 0.2;
/// How far a curve leaves the box of its ends: the deepest of those from two before the segment to two after.
double deepest_poke_px(const DraftLoop& d, std::size_t segment);

/// Removes a node, so that its two segments become one cubic. Kept if everything near it stays within the limit and the
/// fit gets no worse than noise explains. Here as below: returns whether the draft changed.
bool try_delete(const EditContext& c, DraftLoop* d, std::size_t node);
/// What deleting comes down to: `next` is `d` without `removed` nodes at and beside `node`, and its `segment` runs
/// where they were. Solves `next`; true if everything near it stays within the limit and no more is lost than noise
/// explains.
bool removal_fits(const EditContext& c, const DraftLoop& d, std::size_t node, int removed, DraftLoop* next,
                  std::size_t segment);
/// Removes the less important end of a segment that is too short to be meant (shorter than shortest_segment_px), or
/// else the other end. Kept within the limit (twice the limit for a segment of less than half a pixel), or within 1.2
/// of the largest distance before.
bool merge_short(const EditContext& c, DraftLoop* d, std::size_t segment);
double shortest_segment_px(const SpacedLoop& loop);
/// Brings a segment back within the limit by moving nodes; where that does not do, splits it, which is kept if it lies
/// nearer than before.
bool repair_segment(const EditContext& c, DraftLoop* d, std::size_t segment);
/// Divides a segment that is over the limit, alone or with a neighbour as one stretch, into the fewest cubics that hold
/// while nothing else moves.
bool try_divide(const EditContext& c, DraftLoop* d, std::size_t segment);

/// Degrees by which the outline turns at a node, 0..180.
double turn_at_deg(const DraftLoop& d, std::size_t node);
inline constexpr double weakest_corner_deg = 18;  ///< a smaller turn reads as a kink, not as a corner
/// Makes a corner that turns by less than `least_deg` smooth. Not judged.
bool smooth_weak_corner(const EditContext& c, DraftLoop* d, std::size_t node, double least_deg);

/// How far a straight may lie off its stretch, px. A long stem may waver further than one draw of the noise allows;
/// where nothing wavers the tolerance is the tolerance.
double straight_tolerance_px(const SpacedLoop& loop);
/// Is a change of the squared distances (LocalError::sum2) more than `units` draws of noise explain? Each number that
/// an edit frees takes up one; points within two correlation lengths err alike. Never true where the tolerance is far
/// wider than the noise: there it decides alone.
bool is_significant(const SpacedLoop& loop, double change_px3, double units);

/// A hair over the 3 degrees up to which a direction is taken as meant to be on the axis (common practice, no source).
inline constexpr double snap_deg = 3.2;
/// Puts free directions within snap_deg of an axis on it. Returns how many. Not judged.
int snap_handles(DraftLoop* d);
/// The same one by one, each kept only if the segments round it hold the limit.
bool snap_where_held(const EditContext& c, DraftLoop* d);

}  // namespace batten
