#pragma once
// Says how far an outline lies off its loop, and how far it may after an edit.

#include <optional>
#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// How far an outline lies off its loop, and what else an edit may spoil.
struct OutlineFit {
  double segments_px = 0;  ///< off the corners, by the fit's own measure of segments
  double all_px = 0;       ///< everywhere, by the independent measure
  bool crosses = false;    ///< the outline crosses itself
  int kinks = 0;           ///< turns too small to be meant: corners below weakest_corner_deg, straights out of line
};

/// When asked to stop it returns soon, and what it returns is to be thrown away.
OutlineFit outline_fit(const SpacedLoop& loop, const DraftLoop& d, const std::stop_token& stop);

/// The same where it is within what is allowed; nothing as soon as one part of it is not.
std::optional<OutlineFit> outline_fit_within(const SpacedLoop& loop, const DraftLoop& d, const OutlineFit& allowed,
                                             const std::stop_token& stop);

/// What an edited outline may do: what it was held to, or what it did before.
OutlineFit allowed_after(const SpacedLoop& loop, const OutlineFit& before);

bool is_within(const OutlineFit& now, const OutlineFit& allowed);

/// Is it so far off that a higher power, which shares a miss out more evenly and does not take it away, can't mend it?
bool is_far_off(const OutlineFit& now, const OutlineFit& allowed);

/// Where the outline is farthest off: by its segments if those are over what is allowed, else by the whole measure.
Point worst_place(const SpacedLoop& loop, const DraftLoop& d, const OutlineFit& allowed);

}  // namespace batten
