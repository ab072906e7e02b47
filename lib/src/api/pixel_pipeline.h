#pragma once
// Calls the pixel stages in their order: load, ink, guides, patches, loops, locate.

#include <optional>

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// Share of the whole job that the pixel half takes: its progress runs from 0 to this.
inline constexpr double pixel_half_share = 0.5;

/// What the pencil drew, located. Errors: bad_pixels, no_ink_found, cancelled. Throws std::bad_alloc where memory does
/// not suffice. reduction: that of the copy to look in, where it is known already; else as `reduced_scan` decides.
Result<Loops> loops_from_pixels(const ImageView& image, const Options& options, const Job& job,
                                std::vector<Finding>& findings, std::optional<int> reduction = {});

/// Does a pin change what is located, and not only what is made of it?
inline bool changes_scan(Pin::Kind kind) { return is_about_scan(kind) && kind != Pin::Kind::tolerance; }

}  // namespace batten
