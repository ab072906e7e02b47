#pragma once
// Stage: ends of open lines that meet at one junction come to lie at one place.

#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// An end of an open line.
struct LineEndPlace {
  std::size_t loop = 0;
  bool at_end = false;  ///< else at its start
};

/// The ends that each junction joins, junctions in the order of their numbers. Those with one end only are left out.
std::vector<std::vector<LineEndPlace>> junctions_of(const SpacedLoops& loops);

/// Does it name two open lines of the drawing?
bool names_lines(const SpacedLoops& loops, const LineRunsOn& runs_on);

/// The node of the draft at an end of an open line, and the segment that leads there.
std::size_t node_at(const DraftLoop& d, bool at_end);
std::size_t segment_at(const DraftLoop& d, bool at_end);

/// The draft with all ends of each junction at exactly the same place: where its straights meet, nearest to where the
/// ends were located. Two straights of one stroke that runs on (SpacedLoops::runs_on) come to lie on one line. A
/// straight stays level or vertical, and two on one line, only where that leaves all nodes that are moved along within
/// the limit of their lines.
/// Asked to stop, it leaves off soon.
Draft join_ends(const SpacedLoops& loops, const Draft& placed, const std::stop_token& stop = {});

}  // namespace batten
