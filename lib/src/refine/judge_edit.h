#pragma once
// The one place that decides whether an edit of an outline stays: an edit is proposed, solved, and judged.

#include <functional>
#include <limits>
#include <optional>
#include <span>
#include <stop_token>
#include <vector>

#include "corners/space_loops.h"
#include "fit/draft.h"
#include "fit/window.h"
#include "refine/solve_joint.h"

namespace batten {

struct EditContext {
  const SpacedLoop& loop;
  bool extremes_required = true;
  const std::stop_token& stop;
  /// The share of the limit that has to be enough where a node is given up by the smallest largest offset.
  double minimax_share = 1;
  long* work = nullptr;  ///< counts nodes solved for, times rounds: bounds the effort where no limit can be held
};

/// solve_joint() within an edit, its work counted.
bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options = {});

/// May the largest offset decide alone? Only where it is the curve's and not the points' own error (in photographs
/// nodes given up so cost 2 % of the rms and 3 px of the worst place), and where points count right up to the corners:
/// within the band of a pencil line beside one they do not, and curves went 14 px astray there.
bool uses_minimax(const SpacedLoop& loop);

/// The largest distance of some segments from their stretches, and the squared distances of all of them together.
struct LocalError {
  double max_px = 0, sum2 = 0;  ///< sum2: px^3, as in SegmentError
};
LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, const Window& segments);

/// How far a straight may lie off its stretch, px. A long stem may waver further than one draw of the noise allows;
/// where nothing wavers the tolerance is the tolerance.
double straight_tolerance_px(const SpacedLoop& loop);
/// Is a change of the squared distances (LocalError::sum2) more than `units` draws of noise explain? Each number that
/// an edit frees takes up one; points within two correlation lengths err alike. Never true where the tolerance is far
/// wider than the noise: there it decides alone.
bool is_significant(const SpacedLoop& loop, double change_px3, double units);

inline constexpr double any_amount = std::numeric_limits<double>::infinity();

/// One step of solving an edit. Steps follow one another until the segments are near enough; a step without rounds
/// only measures. Steps towards the smallest largest offset are left out where that may not decide.
struct SolveStep {
  SolveOptions options;
  double hopeless = any_amount;  ///< times what is allowed: farther off is given up
  bool always_next = false;      ///< the next step is taken even where this one holds
};

/// A segment that least squares leave farther off than this, times what is allowed, is not brought back by higher
/// powers, which share a miss out more evenly and do not take it away.
inline constexpr double mendable = 1.6;
/// Powers of the distance that a solve sums up: least squares first.
inline constexpr int powers[] = {2, 6, 12};

/// How edits are solved.
namespace steps {
inline constexpr SolveStep measured{{.rounds = 0}};
inline constexpr SolveStep minimax{minimax_solve};
inline constexpr SolveStep none[] = {measured};
inline constexpr SolveStep usual[] = {{}};
/// One round tells most of those that can't do without their node. In limits, after it: on pencil lines none of those
/// farther off was held in the end; for exact outlines 5 would save 0.3 % of the segments at 1 px and nothing at 0.5
/// and 2.
inline constexpr SolveStep removal[] = {{{.rounds = 1}, 2.5, true}, {{.rounds = 2}}, minimax};
inline constexpr SolveStep division[] = {measured, {{.rounds = 2}}, minimax};
inline constexpr SolveStep snap[] = {{{.rounds = 2, .power = 4, .iterations = 6}}};
inline constexpr SolveStep repair[] = {{{.rounds = 2, .power = 4}}}, repair_exact[] = {minimax};
/// Least squares say little of the largest distance.
inline constexpr SolveStep extremum[] = {{{}, mendable}, {{.rounds = 2, .power = 8}}};
/// Nodes of a whole stretch have farther to go. Which valley the largest offset ends in depends on the start, so both
/// are tried; 3 saves time, what is lost by it was not counted.
inline constexpr SolveOptions minimax_far{.rounds = 24, .iterations = 4, .minimax = true};
inline constexpr SolveStep spaced[] = {measured, {minimax_far}},
                           spaced_squares_first[] = {measured, {{.iterations = 12}, 3}, {minimax_far}};
/// A higher power shares a miss out more evenly.
inline constexpr SolveStep evenly[] = {{{}}, {{.power = powers[1]}}, {{.power = powers[2]}}};
/// For a straight that is put on its axis; 1.5: a higher power takes no more away.
inline constexpr SolveStep straight[] = {{{}, 1.5},
                                         {{.rounds = 2, .power = powers[1]}, 1.5},
                                         {{.rounds = 2, .power = powers[2]}}},
                           straight_exact[] = {{{}, 2.5}, minimax};
}  // namespace steps

/// What an edit may cost. Its segments may lie off by the larger of two: so many limits, and so many times what they
/// lay off before. Their squared distances may rise by so many draws of noise (is_significant(); below zero they must
/// fall by as many), and to so many times what they were.
struct Allowance {
  double limits = 1, of_before = 0;
  double draws = any_amount, squares_of_before = any_amount;
};

/// The prices of all kinds of edits, side by side.
namespace allowance {
inline constexpr Allowance whole_outline{1, 1.2};
inline constexpr Allowance merge{1, 1.2};
/// A segment of half a pixel has no direction to speak of: its node goes even if that costs some of the tolerance.
inline constexpr Allowance merge_to_nothing{2, 1.2};
inline constexpr Allowance hold{1, 0};  ///< the limit, whatever was before: division, repair, directions on an axis
inline constexpr Allowance nearer{0, 0.9999};  ///< a node that does not bring its segment nearer is not added
inline constexpr Allowance nearer_on_average{any_amount, 0, any_amount, 0.9999};
inline constexpr Allowance no_worse{1, 1};  ///< an extreme, a line turned at a junction, pins
/// A curve in place of a straight has more freedom: it must not fit worse.
inline constexpr Allowance curve_for_straight{1, 1, any_amount, 1.1};
/// A straight becomes a curve where that is worth so many draws, wherever it lies then.
constexpr Allowance bend(double least_draws) { return {any_amount, 0, -least_draws}; }
inline constexpr Allowance bend_that_missed{any_amount};
/// The numbers that a node takes with it: its place across the outline, a direction, two handles.
inline constexpr double numbers_of_a_node = 4;
inline constexpr Allowance removal{1, 0, numbers_of_a_node};  ///< of one node; twice the draws for two
/// Moving the tip of a crossing back would cost more, though nothing of that is measured inside its zone.
inline constexpr Allowance untangling{2.5, 1.3};
/// Straights have a tolerance of their own (straight_tolerance_px); what is put on its axis as it stands may also lie
/// as far off as it did.
inline constexpr Allowance straight{0, 0}, straight_for_what_was{0, 1};
/// What the last word mends comes as near as it has to, or nearer than it was.
inline constexpr Allowance mended{0, 1};
}  // namespace allowance

/// An edit that is not solved yet: what it makes of the outline, and how it is judged.
struct EditCandidate {
  DraftLoop next;
  Window was, is;           ///< segments that it concerns, in the outline as it is and in `next`
  std::vector<char> freed;  ///< nodes of `next` to solve for; empty: all
  std::span<const SolveStep> steps;
  Allowance allowance;
  double least_allowed_px = 0;  ///< may be off by as much in any case
  double minimax_share = 1;     ///< of what is allowed, where the smallest largest offset decides
  /// What this kind of edit promises besides, asked of the solved outline last.
  std::function<bool(const DraftLoop&)> keeps_promise{};
};

/// The outline with the edit, solved; nothing where it may not stay.
std::optional<DraftLoop> judge_edit(const EditContext& c, const DraftLoop& d, EditCandidate edit);
/// Puts the edit in where it may stay. Returns whether the draft changed.
bool try_edit(const EditContext& c, EditCandidate edit, DraftLoop* d);

}  // namespace batten
