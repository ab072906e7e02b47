#pragma once
// Part of straightening: a straight on an axis put into a draft in place of what was there, and whether that holds.

#include <functional>
#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "refine/edit_draft.h"
#include "structure/axis_run.h"
#include "structure/sheet_axes.h"

namespace batten {

struct AxisStraight {
  bool vertical = false;  ///< else level
  double middle_arc = 0;  ///< of the straight, on the loop
  double moved_px = 0;    ///< largest distance between the straight and the outline as it was
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

/// Between two barriers (corners, straights on an axis) the loop runs smoothly.
struct Section {
  double low = 0, high = 0;         // arcs, unwrapped, high > low
  std::size_t first = 0, last = 0;  // nodes at the barriers
  bool corner_low = false, corner_high = false;
  bool whole = false;  // once round: no barrier at all
};
Section section_of(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);
/// What of a section `way` long is not to be trusted beside the corner at its end; 0 beside other nodes.
double zone_at(const DraftLoop& d, std::size_t node, double way);

/// A run that is to become a straight.
struct Candidate {
  AxisRun run;
  bool vertical = false;
  std::size_t segment = 0;
  Section section;
  bool from_barrier = false, to_barrier = false;  // the run reaches it
};
/// The straight ends where the round begins, not where the run has left it by its reach. share: of the overhang that
/// goes; most: share of the run.
void trim_overhang(Candidate* c, double share, double most);

bool on_axis(const DraftSegment& p);
double middle_arc(const SpacedLoop& loop, const DraftLoop& d, std::size_t segment);
/// Largest distance from a straight to the outline as it was, at places along it.
double moved_px(const DraftLoop& before, const DraftLoop& after, std::size_t segment);
/// Least squares first; where that misses by little, higher norms share the deviation out more evenly. reach: nodes to
/// either side of `centre` that may move.
bool settle_within(const SpacedLoop& loop, std::size_t centre, std::size_t reach, double allowed,
                   const std::stop_token& stop, DraftLoop* d);
/// A straight may lie off its points, since that is how it was drawn; what was not to be straightened may not lie worse
/// for it by more than its points can err: chi squared, a point counted for its share of a correlation length, may rise
/// by 2.
bool rest_holds(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after, std::size_t straight);
/// Puts the straight in, giving up nodes beside it where that holds. no_worse: the outline as a whole may not lie
/// further from its points than before. Returns whether the draft changed.
bool put_straight(const StraightenContext& c, const Candidate& candidate, bool no_worse, DraftLoop* d,
                  std::vector<AxisStraight>* edits);

}  // namespace batten
