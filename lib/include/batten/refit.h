#pragma once
/// \file
/// Outlines that somebody already made, with heaps of nodes, become the same with the fewest.

#include <cstddef>
#include <span>
#include <vector>

#include "batten/convert.h"
#include "batten/error.h"
#include "batten/export.h"
#include "batten/geometry.h"
#include "batten/measure.h"

namespace batten {

/// What became of one outline in refit().
struct Refitting {
  /// Why it is as it is.
  enum class Outcome {
    refitted,   ///< it has fewer segments than before, lies where a scan has it, or is as pins say
    no_fewer,   ///< it had as few segments already: left as it was
    too_far,    ///< no outline with fewer segments was found that holds the tolerance: left as it was
    too_large,  ///< it is so long or so far away that the tolerance is nothing beside it: left as it was
    no_length   ///< it is a single place: left as it was
  };
  Outcome outcome = Outcome::no_fewer;  ///< what happened
  std::size_t segments_before = 0;      ///< cubics and straights
  std::size_t segments_after = 0;       ///< the same as before, where it was left as it was
  double change_px = 0;                 ///< largest distance between before and after, both ways, as measure() has it
  bool is_pinned = false;               ///< some pin is about it
  bool over_scan = false;               ///< a scan decided where it goes
  Deviation scan_before;                ///< then: how far it lay off what was drawn
  Deviation scan_after;                 ///< then: how far it lies off that now
};
/// "refitted", "as few as can be", "farther off than the tolerance", "too large", "no length"
BATTEN_EXPORT const char* name_of(Refitting::Outcome outcome);

/// Outlines before and after.
struct Refitted {
  /// The outlines in their order, refitted or as they were, each with its direction and beginning at its first node or
  /// the node nearest to it. The figures of the report are distances to the outlines before, of those that a scan
  /// placed to what was drawn.
  Conversion conversion;
  std::vector<Refitting> outlines;  ///< one for each
};

/// Makes outlines of the fewest cubics that lie within Options::tolerance_px (which has to be given) of outlines that
/// are there already: exact curves, or curves that were cut into straights or sampled with noise. Corners stay where
/// they are, and so do the ends of open ones; extremes get nodes; straights become single ones. A closed outline whose
/// first node has Reason::line_end is a line that ends where it began, and keeps that node. An outline that would not
/// have fewer segments, or lie farther off than the tolerance, stays exactly as it was. Options::pins about outlines,
/// in units of these, hold as in fit(): what they are about is refitted with however many segments that takes, the
/// others come out as without; pins about a scan are refused, but for tolerances of their own. Of the options,
/// `drawing`, `output`, `construction`, `deskew`, `direction` and `start` do not count. Errors: bad_option,
/// bad_polyline (a coordinate that is no place: not a number, or over 1e9 px), cancelled, out_of_memory.
BATTEN_EXPORT Result<Refitted> refit(std::span<const Outline> outlines, const Options& options, const Job& job = {});

/// A scan under outlines, whose units are its px.
struct Underlay {
  const Located& lines;                 ///< what locate() found in it
  std::vector<std::size_t> left_alone;  ///< outlines that it does not place, by their numbers
};

/// The same over a scan, which decides where each outline goes, as convert() would place it: down the middle of a
/// pencil line, along the edge of a shaded shape. The outline tells what it is: closed or open, which way round and
/// where it begins, where it has corners (which stand where the scan has them), which stretches are straight. It
/// follows the line that lies nearest, as long as neither is farther from the other than three widths of that line, at
/// least 12 px; each line is followed by one outline. An outline without such a line is refitted without the scan, with
/// a finding (Finding::What::not_drawn). An outline that the scan placed is delivered with however many segments that
/// takes. Options::tolerance_px may be empty, and is raised, as in convert(). All pins hold, those about the scan if
/// locate() had them as well. Errors: those of refit().
BATTEN_EXPORT Result<Refitted> refit(std::span<const Outline> outlines, const Underlay& scan, const Options& options,
                                     const Job& job = {});

}  // namespace batten
