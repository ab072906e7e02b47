#pragma once
// Gives the order in which a reader meets shapes on a sheet: rows from top to bottom, each from left to right.

#include <cstddef>
#include <span>
#include <vector>

#include "batten/geometry.h"

namespace batten {

/// The box round a shape by its edges, px; x right, y down.
struct ShapeBox {
  double left = 0, top = 0, right = 0, bottom = 0;
  double width() const { return right - left; }
  double height() const { return bottom - top; }
  double middle_x() const { return (left + right) / 2; }
};
/// By how much two boxes overlap in height, px; negative: the gap between them.
double shared_height(const ShapeBox& a, const ShapeBox& b);

/// A shape lower than this share of its letters may be a mark: dots, accents and commas are far lower, x-height letters
/// are higher (common practice, no source).
inline constexpr double mark_height = 0.5;

/// The exact box of a cubic outline (extremes of each segment, not of its handles). Zero for an outline without nodes.
ShapeBox bounding_box(const Outline& outline);

/// Indices of `boxes` in rows, from top to bottom, each from left to right. Rows are told by vertical overlap, so that
/// ascenders, descenders, dots and commas stay with their row; ties are settled by position, then by index.
std::vector<std::vector<std::size_t>> reading_rows(std::span<const ShapeBox> boxes);

/// The same, row after row.
std::vector<std::size_t> reading_order(std::span<const ShapeBox> boxes);

}  // namespace batten
