#pragma once
// What the two tracers hand to locate_loops: topology is right, position is good to a pixel or two.

#include "base/level_loops.h"

namespace batten {

struct RoughLoop {
  Polyline points;  ///< grid coordinates of the sheet; high ground (inside of the shape) on the right hand
  int patch = -1;   ///< index into Patches::patches
};

}  // namespace batten
