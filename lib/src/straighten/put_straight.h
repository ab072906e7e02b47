#pragma once
// Puts a straight on an axis into an outline in place of what was there, if the outline bears it.

#include <functional>
#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "refine/edit_draft.h"
#include "structure/axis_run.h"
#include "structure/sheet_axes.h"

namespace batten {

/// One straight that was put on its axis.
struct AxisEdit {
  bool vertical = false;  ///< else level
  double middle_arc = 0;  ///< of the straight, on the loop
  double moved_px = 0;    ///< largest distance between the straight and the outline as it was
};

/// An outline while its straights are put on their axes, and what was done to it so far.
struct LoopStraightening {
  DraftLoop draft;
  std::vector<AxisEdit> edits;
};

/// Is the outline as good after an edit as it has to be?
using Holds = std::function<bool(const DraftLoop& before, const DraftLoop& after)>;

/// What an edit of one loop needs to know.
struct StraightenContext {
  EditContext edit;
  AxisIntent intent;
  bool ink_at_right = true;  ///< of the loop's travel, seen on screen: an outline that runs clockwise
  Holds holds;
};

/// A level or vertical side that is shorter is not looked for.
inline constexpr double shortest_side_px = 10;
/// Least length of a run in band widths, by how many of its ends run smoothly on. The bow of a flat arch hides in the
/// wavering of a pencil line over some five band widths (measured on outlines of open fonts drawn with a pencil).
inline constexpr double shortest_in_bands[] = {0, 2.5, 6};

/// How far points of a run may lie off its line: `sigmas` standard deviations and a little for what is no noise, but
/// not quite as far as a straight may lie off its stretch.
double run_offset_px(const SpacedLoop& loop, double sigmas);
double largest_run_offset_px(const SpacedLoop& loop);
inline constexpr double usual_sigmas = 1.3;

/// The loop between two barriers (corners, other straights), where it runs smoothly.
struct SmoothSection {
  double low = 0, high = 0;                  ///< arcs of the barriers, unwrapped, high > low
  double trusted_low = 0, trusted_high = 0;  ///< the same without the zones of corners at its ends
  std::size_t first = 0, last = 0;           ///< nodes at the barriers
  bool corner_low = false, corner_high = false;
  bool whole = false;  ///< once round: no barrier at all
};
/// The section round a segment, which is no barrier itself.
SmoothSection section_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);
/// How much of a stretch of `length_px` is not to be trusted beside the corner at its end; 0 beside other nodes.
double corner_zone_px(const DraftNode& end, double length_px);

/// A run that is to become a straight.
struct StraightCandidate {
  AxisRun run;
  bool vertical = false;
  std::size_t segment = 0;
  SmoothSection section;
  bool from_barrier = false, to_barrier = false;  ///< the run reaches it
};
/// Looks for the run round an arc and sets whether it reaches the barriers. offset_px: of points from its line.
void find_run(const SpacedLoop& loop, double seed_arc, double offset_px, StraightCandidate* candidate);
/// The straight ends where the round begins, not where the run has left it by its offset. share: of the overhang that
/// goes; most: share of the run.
void trim_overhang(StraightCandidate* candidate, double share, double most);

bool on_axis(const DraftSegment& segment);
/// From a place to the nearest one on the outline.
double distance_px(const DraftLoop& outline, Point place);
double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);
/// `next`, an outline with a straight put on its axis, as an edit: the nodes round the straight are solved for,
/// neighbour_count of them to either side, and all that this may move is judged.
EditCandidate straight_edit(const EditContext& context, const DraftLoop& before, DraftLoop next, std::size_t straight,
                            std::size_t neighbour_count);
/// A straight may lie off its points, since that is how it was drawn; what was not to be straightened may not lie worse
/// for it by more than its points can err: chi squared, a point counted for its share of a correlation length, may rise
/// by 2.
bool rest_holds(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after, std::size_t straight);

/// `next`, whose segment `straight` was put on its axis, takes the place of the outline, and the edit is listed.
void accept(const SpacedLoop& loop, std::size_t straight, DraftLoop next, LoopStraightening* work);
/// Settles and accepts `next` if the segments round the straight lie no farther off than before or than they may, the
/// straight is at least shortest_px long, and the rest holds. Returns whether it was accepted.
bool try_straight(const StraightenContext& context, std::size_t straight, std::size_t neighbour_count,
                  double shortest_px, DraftLoop next, LoopStraightening* work);
/// Puts the candidate in, giving up nodes beside it where that holds. no_worse: the outline as a whole may not lie
/// farther from its points than before. Returns whether the outline changed.
bool put_straight(const StraightenContext& context, const StraightCandidate& candidate, bool no_worse,
                  LoopStraightening* work);

}  // namespace batten
