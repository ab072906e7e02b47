#pragma once
/// \file
/// One scan at several tolerances: how the error falls as nodes are spent, and which tolerance to take.

#include <cstddef>
#include <optional>
#include <span>
#include <vector>

#include "batten/convert.h"
#include "batten/export.h"

namespace batten {

/// Drawings of one scan, from the finest tolerance to the widest.
struct Sweep {
  std::vector<Conversion> conversions;  ///< one for each tolerance
  std::vector<double> seconds;          ///< elapsed time of each, without the pixel stages
  /// Of each, the index of the tolerance whose drawing it is: its own, or a finer one that needs fewer segments and so
  /// stays. Segments never rise with the tolerance.
  std::vector<std::size_t> drawn_at;
  std::optional<std::size_t> knee;  ///< index; see knee_of(). Empty where the curve has none
  /// Index of the tolerance to take: the knee, or the next wider one that every outline was held to and that is not
  /// finer than the line is known, nor than 0.5 px. The widest where none is.
  std::size_t recommended = 0;
};

/// How many of the drawings, from the first, have a tolerance finer than the pencil line is known (Report::known_px).
BATTEN_EXPORT std::size_t finer_than_known(const Sweep& sweep);

/// Makes a drawing of what was located for each tolerance (px, > 0; in any order). options.tolerance_px is not
/// used; with options.hold_tolerance each is held even where the line is known less nearly, so that the curve goes on
/// there. Where the fit at a wider tolerance needs more segments than a finer one did, the finer one's drawing stays:
/// it is within the wider tolerance as well. Errors: bad_option (no tolerance, one out of range), cancelled,
/// out_of_memory.
BATTEN_EXPORT Result<Sweep> sweep(const Located& located, std::span<const double> tolerances_px,
                                  const Options& options = {}, const Job& job = {});

/// The knee of a falling curve: of the points that no other beats in both x and y, the one farthest from the chord
/// between their ends when both axes are logarithmic, on the origin's side of it. x and y > 0 (0 counts as 1e-6). Empty
/// where no point lies on that side, as on any straight.
BATTEN_EXPORT std::optional<std::size_t> knee_of(std::span<const Point> points);

/// `count` tolerances from `least` to `most`, each a constant factor over the one before. count >= 1; a single one is
/// `least`.
BATTEN_EXPORT std::vector<double> spread_tolerances(double least_px, double most_px, std::size_t count);

}  // namespace batten
