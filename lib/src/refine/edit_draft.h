#pragma once
// Single edits of a draft outline: each proposes a change, and judge_edit() says whether it stays, except for
// smooth_weak_corner() and snap_handles(), which are not judged: refining repairs what they take over the limit.

#include "refine/judge_edit.h"

namespace batten {

/// Nobody sees that an extreme less deep than this has no node.
inline constexpr double visible_poke_px = 0.2;
/// How far a curve leaves the box of its ends: the deepest of those from two before the segment to two after.
double deepest_poke_px(const DraftLoop& d, std::size_t segment);

/// Removes a node, so that its two segments become one cubic. Kept if everything near it stays within the limit and the
/// fit gets no worse than noise explains. Here as below: returns whether the draft changed.
bool try_delete(const EditContext& c, DraftLoop* d, std::size_t node);
/// A draft with one or more nodes fewer, and the segment that runs where they were.
struct Removal {
  DraftLoop next;
  std::size_t segment = 0;
  int removed = 0;
};
/// Puts a draft in the place of `d` that lacks the removed nodes, at and beside `node`, if everything near them stays
/// within the limit, no more is lost than noise explains, and no extreme comes out that is deeper than
/// visible_poke_px and than what was there; the last where `levels`.
bool try_removal(const EditContext& c, std::size_t node, bool levels, Removal removal, DraftLoop* d);
/// Removes the less important end of a segment that is too short to be meant (shorter than shortest_segment_px), or
/// else the other end.
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

/// A hair over the 3 degrees up to which a direction is taken as meant to be on the axis (common practice, no source).
inline constexpr double snap_deg = 3.2;
/// Puts free directions within snap_deg of an axis on it. Returns how many. Not judged.
int snap_handles(DraftLoop* d);
/// The same one by one, each kept only if the segments round it hold the limit.
bool snap_where_held(const EditContext& c, DraftLoop* d);

}  // namespace batten
