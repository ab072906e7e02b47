#pragma once
// Puts closed loops before open lines, the order in which they are delivered.

#include "base/loops.h"

namespace batten {

bool closed_come_first(const Loops& loops);

/// The same loops, closed ones first and otherwise in their order; what names a loop by its index follows.
Loops closed_first(const Loops& loops);

}  // namespace batten
