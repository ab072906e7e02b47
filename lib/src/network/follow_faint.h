#pragma once
// Joins lines between which the pencil went on too lightly to be seen as a line by itself.

#include "network/line_mask.h"
#include "network/line_network.h"

namespace batten {

/// Two loose ends are joined along the darkest way between them where that way is clearly darker than the darkest ways
/// beside it, which hold nothing but paper and its grain: they are what chance alone would find. The new edges are
/// drawn ones, not marked as made. Returns how many there are.
int follow_faint(const LineMask& mask, LineNetwork* net);

}  // namespace batten
