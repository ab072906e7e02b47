#pragma once
// Which outlines of a refit pins are about, and what became of the pins.

#include <span>

#include "api/refit_bench.h"
#include "batten/refit.h"

namespace batten {

/// Flags the outlines that some pin is about.
std::vector<char> pinned_outlines(std::span<const Outline> outlines, const std::vector<Pin>& pins,
                                  const RefitBench& bench);

struct KeptPins {
  std::vector<PinOutcome> outcomes;
  std::vector<Finding> findings;
};
/// What fit_loops() says of them, in the document. order: which outline each of its outlines is. Where an outline stays
/// as it was, its pins are not held.
KeptPins pins_in_document(const Report& made, const std::vector<std::size_t>& order, const std::vector<Refitting>& now,
                          const std::vector<Pin>& pins, const RefitBench& bench);

}  // namespace batten
