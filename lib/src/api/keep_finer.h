#pragma once
// What makes a sweep a trade-off: segments never rise with the tolerance.

#include "batten/sweep.h"

namespace batten {

/// Takes in the drawing of the next wider tolerance. Where it has more segments than the one before, that one stays
/// under the wider tolerance, which it holds as well.
void take_in(double tolerance_px, Conversion conversion, double seconds, Sweep* sweep);

}  // namespace batten
