#include "refine/judge_edit.h"

#include <algorithm>

#include "fit/keeps_pins.h"
#include "fit/segment_data.h"

namespace batten {
namespace {

double allowed_px(const EditContext& c, const EditCandidate& e, const LocalError& was) {
  return std::max({e.least_allowed_px, e.allowance.limits * c.loop.limit_px, e.allowance.of_before * was.max_px});
}

// Takes the steps until the segments of the edit are near enough; false if they never are. `now`: their error then.
bool holds(const EditContext& c, double allowed, EditCandidate* e, LocalError* now) {
  bool near = false;
  for (const SolveStep& step : e->steps) {
    if (step.options.minimax && !uses_minimax(c.loop)) continue;
    if (step.options.rounds > 0 && !solve(c, &e->next, e->freed, step.options)) return false;
    *now = local_error(c.loop, e->next, e->is);
    if (now->max_px > step.hopeless * allowed) return false;
    near = now->max_px <= (step.options.minimax ? e->minimax_share : 1) * allowed;
    if (near && !step.always_next) return true;
  }
  return near;
}

bool is_worth(const SpacedLoop& loop, const Allowance& a, double was_px3, double now_px3) {
  if (now_px3 > a.squares_of_before * was_px3) return false;
  return a.draws < 0 ? is_significant(loop, was_px3 - now_px3, -a.draws)
                     : a.draws == any_amount || !is_significant(loop, now_px3 - was_px3, a.draws);
}

}  // namespace

bool solve(const EditContext& c, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options) {
  if (c.work) *c.work += options.rounds * (freed.empty() ? long(d->size()) : std::count(freed.begin(), freed.end(), 1));
  return solve_joint(c.loop, d, freed, options, c.stop);
}

bool uses_minimax(const SpacedLoop& loop) { return limit_beyond_noise(loop) && loop.exact(); }

LocalError local_error(const SpacedLoop& loop, const DraftLoop& d, const Window& segments) {
  LocalError out;
  for (const std::size_t i : segments) {
    const SegmentError e = segment_error(loop, d, i);
    out.max_px = std::max(out.max_px, e.max_px);
    out.sum2 += e.sum2;
  }
  return out;
}

double straight_tolerance_px(const SpacedLoop& loop) {
  if (loop.held_finer()) return loop.limit_px;
  return std::max(loop.tolerance_px, 1.4 * std::min(loop.limit_px, known_sigmas * loop.sigma_px));
}

bool is_significant(const SpacedLoop& loop, double change_px3, double units) {
  constexpr double far_wider = 20;
  const double unit_px3 = loop.sigma_px * loop.sigma_px * 2 * loop.correlation_px;
  return loop.limit_px < far_wider * loop.sigma_px && change_px3 > units * unit_px3;
}

std::optional<DraftLoop> judge_edit(const EditContext& c, const DraftLoop& d, EditCandidate edit) {
  settle_angles(&edit.next);
  const Allowance& a = edit.allowance;
  const bool compares = a.of_before > 0 || a.draws < any_amount || a.squares_of_before < any_amount;
  const LocalError was = compares ? local_error(c.loop, d, edit.was) : LocalError{};
  LocalError now;
  if (!holds(c, allowed_px(c, edit, was), &edit, &now)) return std::nullopt;
  if (!is_worth(c.loop, edit.allowance, was.sum2, now.sum2)) return std::nullopt;
  if (!keeps_pins(c.loop, d, edit.next)) return std::nullopt;
  if (edit.keeps_promise && !edit.keeps_promise(edit.next)) return std::nullopt;
  return std::move(edit.next);
}

bool try_edit(const EditContext& c, EditCandidate edit, DraftLoop* d) {
  std::optional<DraftLoop> next = judge_edit(c, *d, std::move(edit));
  if (next) *d = std::move(*next);
  return next.has_value();
}

}  // namespace batten
