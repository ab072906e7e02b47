#pragma once
// The pixel half in order: load, ink, guides, patches, loops, locate.

#include "base/loops.h"
#include "batten/convert.h"

namespace batten {

/// Share of the whole job that the pixel half takes: its progress runs from 0 to this.
inline constexpr double pixel_half_share = 0.5;

/// Errors: bad_pixels, no_ink_found, cancelled, out_of_memory, internal. Nothing is thrown.
Result<Loops> loops_from_pixels(const ImageView& image, const Options& options, const Job& job,
                                std::vector<Finding>& findings);

}  // namespace batten
