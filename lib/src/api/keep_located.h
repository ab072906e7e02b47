#pragma once
// What pins about the scan leave alone stays as it was located without them.

#include "base/loops.h"
#include "batten/pins.h"

namespace batten {

/// The loops, and in place of each closed one that runs through the places of no pin, and where one was located without
/// them as well, that one: how wide the pencil is, and with it where a line lies, is read from all that hangs
/// together, so that a pin moves lines a little that it is not about.
Loops keep_located(const Loops& loops, const Loops& unpinned, const std::vector<Pin>& pins);

}  // namespace batten
