#pragma once
// Part of straightening: how far an outline may lie off its loop after an edit.

#include <optional>
#include <stop_token>

#include "corners/space_loops.h"
#include "fit/draft.h"

namespace batten {

/// How far an outline lies off: off its corners by the fit's own measure of segments, everywhere by the independent
/// one.
struct Fit {
  double segments_px = 0, all_px = 0;
  bool crosses = false;
  int kinks =
      0;  ///< turns too small to be meant: corners below weakest_corner_deg, straights that don't quite meet in line
};

/// When asked to stop it returns soon, and what it returns is to be thrown away.
Fit fit_of(const SpacedLoop& loop, const DraftLoop& d, const std::stop_token& stop);

/// The same where it is within what is allowed; nothing as soon as one of it is not.
std::optional<Fit> fit_within(const SpacedLoop& loop, const DraftLoop& d, const Fit& allowed,
                              const std::stop_token& stop);

/// What an edited outline may do: what it was held to, or what it did before.
Fit allowed(const SpacedLoop& loop, const Fit& before);

bool within(const Fit& now, const Fit& allowed);

/// Least squares first; where that misses by little, a higher norm shares the deviation out more evenly.
inline constexpr int norms[] = {2, 6, 12};

/// So far off that a higher norm, which shares a miss out more evenly and does not take it away, can't mend it.
bool far_off(const Fit& now, const Fit& allowed);

Point worst_place(const SpacedLoop& loop, const DraftLoop& d, const Fit& allowed);

}  // namespace batten
