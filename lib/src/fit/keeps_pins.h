#pragma once
// Says whether an edit of a draft leaves what was pinned as it is.

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// Do the pinned nodes and straights of `before` still stand in `after`, and has it no more nodes and corners where
/// none may be?
bool keeps_pins(const SpacedLoop& loop, const DraftLoop& before, const DraftLoop& after);

/// Makes an edit, which returns whether it changed the draft, and takes it back where it spoils a pin.
template <class Edit>
bool within_pins(const SpacedLoop& loop, DraftLoop* d, Edit&& edit) {
  if (loop.pins.empty()) return edit();
  const DraftLoop before = *d;
  if (!edit()) return false;
  if (keeps_pins(loop, before, *d)) return true;
  *d = before;
  return false;
}

}  // namespace batten
