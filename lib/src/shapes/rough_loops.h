#pragma once
// Loops as the two tracers find them: the topology is right, the position good to a pixel or two.

#include "base/polyline.h"

namespace batten {

struct RoughLoop {
  Polyline points;  ///< grid coordinates of the sheet; high ground (inside of the shape) on the right hand
  int patch = -1;   ///< index into Patches::patches
};

}  // namespace batten
