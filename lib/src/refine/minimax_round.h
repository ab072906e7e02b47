#pragma once
// One round of a joint solve (all nodes of an outline together) towards the smallest largest offset.

#include <stop_token>

#include "refine/joint_scalars.h"

namespace batten {

/// Moves the scalars of the one outline that they are of, within the same ranges as least squares, so that the largest
/// offset of the points that count gets as small as it can: Madsen's method (see minimax_step.h) on the residuals and
/// derivatives of SegmentResidual. Sums of high powers, solved as least squares, only creep there: with the power p a
/// step goes 2 / p of its way (a round of two cubics that can be held to 0.84 px stopped at 1.08). What the largest
/// offset leaves open is settled by the squares of all, a little. Returns false if something could not be evaluated.
bool minimax_round(const JointLoop& of, int iterations, const std::stop_token& stop, JointScalars* scalars);

}  // namespace batten
