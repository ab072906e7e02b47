#pragma once
// A loop, its draft and the straightenings made of it, for tests of what puts single straights on their axes.

#include <stop_token>
#include <vector>

#include "straighten/put_straight.h"
#include "support/drafts.h"

namespace batten::support {

struct Straightening : LoopStraightening {
  SpacedLoop loop;
  std::stop_token stop;

  /// What a later judgement would say is settled beforehand: everything holds, or nothing.
  StraightenContext context(bool ink_at_right = true, bool holds = true) const {
    return {{loop, true, stop}, {}, ink_at_right, [holds](const DraftLoop&, const DraftLoop&) { return holds; }};
  }
};

/// `drafted` on the exact loop of what was drawn.
inline Straightening straightening(const Outline& drawn, const Outline& drafted) {
  Straightening s;
  s.loop = exact_loop(points_of(drawn, 0.1), 1);
  s.draft = draft_of(s.loop, drafted);
  return s;
}

}  // namespace batten::support
