#pragma once
// Puts some outlines, straightened by themselves, among the others.

#include "straighten/straighten_drawing.h"

namespace batten {

/// `whole` with the loops named, in order, taken from `part`, whose loops these are. What was done to them, or ties
/// them to others, is forgotten; edits and ties of the part take its place.
Straightened put_part(const Straightened& whole, const Straightened& part, const std::vector<std::size_t>& loops);

/// What was straightened in loops of another draft. loop_of: of each of those its number in `draft`; -1: it is not
/// there, and what it is tied to is forgotten.
Straightened renumbered(const Straightened& from, const Draft& draft, const std::vector<int>& loop_of);

}  // namespace batten
