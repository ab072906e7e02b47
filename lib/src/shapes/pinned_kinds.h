#pragma once
// What was decided about how patches of ink were drawn.

#include <optional>

#include "base/plane.h"
#include "batten/pins.h"

namespace batten {

/// Of each label of a plane, 0 .. count-1, what a pin says that it was drawn as: the last one whose polygon holds more
/// than half of it. Empty where no pin is about that.
std::vector<std::optional<Pin::Drawn>> pinned_kinds(const Plane<std::int32_t>& labels, int count,
                                                    const std::vector<Pin>& pins);

}  // namespace batten
