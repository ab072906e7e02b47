#pragma once
// Outlines of the caller's have to be somewhere.

#include <cmath>
#include <optional>
#include <span>
#include <string>

#include "batten/error.h"
#include "batten/geometry.h"

namespace batten {

/// Error: bad_polyline, where a coordinate is no number or over 1e9.
inline std::optional<Error> check_outlines(std::span<const Outline> outlines) {
  const auto is_place = [](Point p) { return std::abs(p.x) <= 1e9 && std::abs(p.y) <= 1e9; };  // false for no number
  for (std::size_t i = 0; i < outlines.size(); ++i)
    for (const Node& n : outlines[i].nodes)
      if (!is_place(n.at) || !is_place(n.handle_before) || !is_place(n.handle_after))
        return Error{ErrorCode::bad_polyline,
                     "Outline " + std::to_string(i) + " has a coordinate that is no place: give numbers up to 1e9.",
                     "outline " + std::to_string(i)};
  return std::nullopt;
}

}  // namespace batten
