#pragma once
// The order in which a reader meets shapes on a sheet: rows from top to bottom, each from left to right.

#include <cstddef>
#include <span>
#include <vector>

#include "batten/geometry.h"

namespace batten {

/// A box with its edges, px; x right, y down.
struct Box {
  double left = 0, top = 0, right = 0, bottom = 0;
  double height() const { return bottom - top; }
};

/// The exact box of a cubic outline (extremes of each segment, not of its handles). Zero for an outline without nodes.
Box bounding_box(const Outline& outline);

/// Indices of `boxes` in rows, from top to bottom, each from left to right. Rows are told by vertical overlap, so that
/// ascenders, descenders, dots and commas stay with their row; ties are settled by position, then by index.
std::vector<std::vector<std::size_t>> reading_rows(std::span<const Box> boxes);

/// The same, row after row.
std::vector<std::size_t> reading_order(std::span<const Box> boxes);

}  // namespace batten
