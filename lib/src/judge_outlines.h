#pragma once
// Stage: the last word. Every outline is measured both ways against its located loop; what does not hold is reported.

#include "batten/convert.h"
#include "space_loops.h"

namespace batten {

/// The loop as the outline is judged against: near each corner node the located points, which lie off the corner by
/// design, are replaced by the two arms, run on to beside the node: a node off its arms shows as such. A node farther off
/// the loop than rounding explains (corner_reach_px) is not excused. replaced_px: how much length was replaced.
struct Reference {
  std::vector<Point> points;
  double replaced_px = 0;
};
Reference reference_loop(const SpacedLoop& loop, const Outline& outline);

/// Fills report.outlines and the figures of the whole, and adds findings for each limit that is not held.
/// least: the bound of each outline, if it was looked for.
void judge_outlines(const SpacedLoops& loops, const Drawing& drawing, Report* report,
                    const std::vector<LowerBound>& least = {});

}  // namespace batten
