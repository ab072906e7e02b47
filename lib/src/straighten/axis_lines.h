#pragma once
// Gives the level and vertical straights of a draft, and which letter and which row of letters each loop belongs to.

#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "refine/joint_scalars.h"

namespace batten {

struct AxisLine {
  std::size_t loop = 0, from = 0, to = 0;  ///< nodes at its ends
  bool vertical = false;
  double at_px = 0;                ///< x of a vertical line, y of a level one
  double low_px = 0, high_px = 0;  ///< extent along it
  int ink = 0;                     ///< +1: the ink lies to the right or below, -1: to the left or above
  double sd_px = 0;                ///< one standard deviation of its place, from its own points
  double slack_px = 0;             ///< how far it may be moved on the word of others
  double length_px() const { return high_px - low_px; }
};
std::vector<AxisLine> axis_lines(const SpacedLoops& loops, const Draft& draft);

/// How high on the sheet a loop begins and ends.
struct HeightRange {
  double top_px = 1e300, foot_px = -1e300;
  double length_px() const { return foot_px - top_px; }
};
HeightRange height_of(const SpacedLoop& loop);

/// Which letter (an outline with what lies in it) and which row of letters each loop belongs to.
struct LetterGroups {
  std::vector<std::size_t> letter, row;  ///< of each loop; a letter is named by its outermost loop
  std::vector<double> row_height_px;     ///< of each row: its tallest letter
};
LetterGroups group_loops(const SpacedLoops& loops);

/// For each loop the smallest other one that holds it, or -1. Open lines lie in none and hold none.
std::vector<int> nesting_of(const SpacedLoops& loops);

/// Flags: does the ink lie at the right of the loop's travel, seen on screen?
std::vector<char> which_have_ink_at_right(const SpacedLoops& loops);

/// What proposals are made from: a draft, and what lies where on it.
struct SheetView {
  const SpacedLoops& loops;
  const Draft& draft;
  LetterGroups groups = group_loops(loops);
  std::vector<AxisLine> lines = axis_lines(loops, draft);
  ScalarIndex index = ScalarIndex(draft);
};

/// One standard deviation of a place known from `length_px` of a loop: errors are alike over a correlation length.
double place_sd_px(const SpacedLoop& loop, double length_px);

/// How far a place known from `length_px` of a loop may be moved on the word of others: 2.5 of its own standard
/// deviations, a tenth of the pencil's band, which is how a hand misses its own lines, and a third of the tolerance;
/// never more than nine tenths of what the fit must hold.
double slack_px(const SpacedLoop& loop, double length_px);

}  // namespace batten
