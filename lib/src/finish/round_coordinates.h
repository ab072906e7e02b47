#pragma once
// Stage: coordinates become whole multiples of a step, and everything that was made equal stays equal.

#include "finish/finish_drawing.h"
#include "straighten/straighten_drawing.h"

namespace batten {

/// Thousandths of a pixel: what the files are written with.
inline constexpr double file_step_px = 0.001;

/// Nodes come to lie on multiples of the step: step_px > 0. Shared coordinates, equal widths and mirror images hold in
/// whole multiples; a node moves by half a step, one that is tied to others by a few halves. Handles keep their offset
/// from their node, exactly level or vertical ones and those of straights exactly; with `handles_too` they come to lie
/// on multiples as well, those of smooth nodes on the pair of places near by that kinks least.
void round_coordinates(const Draft& draft, const std::vector<Tie>& ties,
                       const std::vector<std::pair<NodePlace, NodePlace>>& mirrored,
                       const std::vector<NodeOrder>& orders, double step_px, bool handles_too, Drawing* drawing);

}  // namespace batten
