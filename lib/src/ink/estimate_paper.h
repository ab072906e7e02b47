#pragma once
// How bright the bare paper would be at every place of a scan.

#include <stop_token>

#include "ink/load_scan.h"

namespace batten {

/// On a reduced copy of the picture: light and shade of a sheet are smooth, so a copy of about 400 px holds them.
struct Paper {
  Plane<float> brightness;       ///< 0..1, of the bare paper; at least paper_floor
  Plane<std::uint8_t> near_ink;  ///< 1 where ink is or may be near: no place to measure bare paper
  /// 1 where the paper itself steps (edge of the sheet on a table): nothing there is ink.
  Plane<std::uint8_t> unreliable;
};

/// Below this brightness there is no telling paper from ink: eight bits leave five steps.
inline constexpr float paper_floor = 0.02f;

/// Closings fill dark places narrower than themselves: a small one finds lines, a large one shaded areas; what they
/// find is left out of averages of falling width, each blended in where enough bare paper lies around.
/// `no_sheet` (find_no_sheet; may be empty) is left out as if the sheet went on there.
/// Cut short (and to be thrown away) when asked to stop.
Paper estimate_paper(const Plane<float>& grey, const Plane<std::uint8_t>& no_sheet, const std::stop_token& stop);

}  // namespace batten
