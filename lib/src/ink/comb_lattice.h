#pragma once
// The level lines of squared paper, where too few were found one by one but the vertical ones tell their pitch.

#include <optional>

#include "ink/fit_lattice.h"

namespace batten {

/// Even level lines at the pitch of `vertical`, placed where some part of the picture shows them best; bend_lattice()
/// leads them on from there. Empty where no part shows lines at that pitch.
std::optional<Lattice> comb_lattice(const Strips& strips, const Lattice& vertical);

}  // namespace batten
