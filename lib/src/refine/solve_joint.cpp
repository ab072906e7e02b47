#include "refine/solve_joint.h"

#include <algorithm>
#include <optional>

#include "fit/solver_setup.h"
#include "refine/condensed_residual.h"
#include "refine/joint_scalars.h"
#include "refine/joint_terms.h"
#include "refine/minimax_round.h"
#include "refine/segment_residual.h"
#include "refine/tied_residual.h"

namespace batten {
namespace {

// One round in least squares of the powers: one problem for Ceres.
class Round {
 public:
  Round(const std::vector<JointLoop>& loops, JointScalars* scalars, const std::stop_token& stop)
      : loops_(loops), scalars_(*scalars), stop_(stop) {}

  bool run(int iterations) {
    for (std::size_t k = 0; k < loops_.size(); ++k) add_loop(k);
    if (problem_.NumParameterBlocks() == 0) return true;
    bound();
    // A node touches its neighbours only: past some thirty nodes the dense normal equations are nearly all zeros.
    constexpr int most_dense = 200;  // parameters; below it the sparse set-up costs more than it saves
    const bool sparse = problem_.NumParameters() > most_dense;
    ceres::Solver::Options o = solver_options(iterations);
    o.linear_solver_type = sparse ? ceres::SPARSE_NORMAL_CHOLESKY : ceres::DENSE_NORMAL_CHOLESKY;
    o.function_tolerance = 1e-5;
    o.parameter_tolerance = 1e-6;
    Cancel cancel(stop_);
    o.callbacks.push_back(&cancel);
    ceres::Solver::Summary summary;
    ceres::Solve(o, &problem_, &summary);
    return summary.IsSolutionUsable();
  }

 private:
  void add_loop(std::size_t k) {
    const JointLoop& l = loops_[k];
    for (const std::size_t i : scalars_.concerned(k))
      if (!l.draft->segments[i].way_back) add_segment(k, i);
    std::vector<Range>& ranges = ranges_.emplace_back();
    for (const std::size_t i : scalars_.concerned(k)) {
      const JointTerms terms = joint_terms(*l.loop, *l.draft, i, scalars_.touched(k, i));
      ranges.insert(ranges.end(), terms.ranges.begin(), terms.ranges.end());
      for (const Pull& p : terms.pulls) add_pull(k, p);
    }
  }

  void add_segment(std::size_t k, std::size_t i) {
    const JointLoop& l = loops_[k];
    SegmentSlots s = segment_slots(*l.loop, *l.draft, i, l.power,
                                   [&](Quantity of, std::size_t at) { return scalars_.slot_of(k, of, at); });
    const std::vector<double*> blocks = SegmentResidual::blocks_of(s);
    if (blocks.empty()) return;
    std::unique_ptr<ceres::CostFunction> residual =
        std::make_unique<CondensedResidual>(std::make_unique<SegmentResidual>(std::move(s), stop_));
    std::vector<double*> free;
    std::vector<SumOfBlocks> sums;
    for (double* const block : blocks) {
      SumOfBlocks& sum = sums.emplace_back();
      for (const auto& part : scalars_.parts_of(block)) {
        const auto known = std::find(free.begin(), free.end(), part.block);
        sum.push_back({std::size_t(known - free.begin()), part.factor});
        if (known == free.end()) free.push_back(part.block);
      }
    }
    if (free != blocks) residual = std::make_unique<TiedResidual>(std::move(residual), std::move(sums), free.size());
    for (double* const block : free) {
      problem_.AddParameterBlock(block, 1);
      if (scalars_.is_held(block)) problem_.SetParameterBlockConstant(block);
    }
    problem_.AddResidualBlock(residual.release(), nullptr, free);
  }

  void add_pull(std::size_t k, const Pull& p) {
    const Slot slot = scalars_.slot_of(k, p.of, p.index);
    if (!slot.block) return;
    std::vector<double*> free;
    std::vector<double> factors;
    for (const auto& part : scalars_.parts_of(slot.block)) free.push_back(part.block), factors.push_back(part.factor);
    if (std::all_of(free.begin(), free.end(), [&](double* b) { return problem_.HasParameterBlock(b); }))
      problem_.AddResidualBlock(new PullResidual(std::move(factors), p.target, p.sd), nullptr, free);
  }

  // What is not tied is put within its range. What is was moved to where its ties meet; its range goes with it.
  void bound() {
    for (const JointScalars::BlockRange& r : scalars_.ranges(ranges_)) {
      if (!problem_.HasParameterBlock(r.block)) continue;
      if (!r.tied) *r.block = std::clamp(*r.block, r.low, r.high);
      problem_.SetParameterLowerBound(r.block, 0, std::min(r.low, *r.block));
      problem_.SetParameterUpperBound(r.block, 0, std::max(r.high, *r.block));
    }
  }

  const std::vector<JointLoop>& loops_;
  JointScalars& scalars_;
  const std::stop_token& stop_;
  ceres::Problem problem_;
  std::vector<std::vector<Range>> ranges_;  // of the scalars of the nodes concerned, for each loop
};

// Writes the values back to the drafts and returns how far a node went, in limits of its loop; nothing if a value is
// not finite.
std::optional<double> write_back(const std::vector<JointLoop>& loops, const JointScalars& scalars) {
  double moved = 0;
  std::vector<DraftLoop> next;
  for (std::size_t k = 0; k < loops.size(); ++k) {
    const DraftLoop& d = *loops[k].draft;
    next.push_back(d);
    if (loops[k].freed.empty()) continue;
    if (!scalars.read_back(k, &next[k])) return std::nullopt;
    renew_arcs(*loops[k].loop, &next[k], scalars.moved_nodes(k));
    for (std::size_t i = 0; i < d.size(); ++i)
      moved = std::max(moved, distance(next[k].nodes[i].at, d.nodes[i].at) / std::max(loops[k].loop->limit_px, 0.1));
  }
  for (std::size_t k = 0; k < loops.size(); ++k) *loops[k].draft = std::move(next[k]);
  return moved;
}

// False if a round came to nothing; the drafts then stand as the round before left them.
bool solve_all(const std::vector<JointLoop>& loops, const std::vector<Tie>& ties, Bound bound,
               const SolveOptions& options, const std::stop_token& stop) {
  constexpr double settled = 0.01;  // limits
  const auto each_freed = [&](auto work) {
    for (const JointLoop& l : loops)
      if (!l.freed.empty()) work(l.draft);
  };
  JointScalars scalars(loops, ties, bound);
  for (int round = 0; round < options.rounds && !(round > 0 && stop.stop_requested()); ++round) {
    each_freed(clamp_handles);
    if (!scalars.gather()) return false;
    const bool solved = options.minimax ? minimax_round(loops.front(), options.iterations, stop, &scalars)
                                        : Round(loops, &scalars, stop).run(options.iterations);
    const std::optional<double> moved = solved ? write_back(loops, scalars) : std::nullopt;
    if (!moved) return false;
    if (*moved < settled && round > 0) break;
  }
  each_freed([](DraftLoop* d) {
    clamp_handles(d);  // the last round moved nodes: caps are where they stand now
    settle_angles(d);
  });
  return true;
}

}  // namespace

void renew_arcs(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& moved) {
  const std::size_t n = d->size();
  std::vector<double> arc(n);
  for (std::size_t i = 0; i < n; ++i) {
    const DraftNode& j = d->nodes[i];
    arc[i] = j.arc;
    if (!moved.empty() && !moved[i]) continue;
    const double back = loop.curve.ahead(d->nodes[d->previous(i)].arc, j.arc);
    const double ahead = loop.curve.ahead(j.arc, d->nodes[d->next(i)].arc);
    const double window = std::min(std::max(20.0, 2.5 * loop.scale_px), 0.45 * std::min(back, ahead));
    // The window never reaches a neighbour, so that the order stays.
    // Corners are held to the middle of their own turn: the nearest point of a rounded tip may lie on either wall.
    if (!j.corner) arc[i] = nearest_arc(loop.curve, j.at, j.arc, window);
  }
  for (std::size_t i = 0; i < n; ++i) d->nodes[i].arc = arc[i];
}

bool solve_joint(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options,
                 const std::stop_token& stop) {
  DraftLoop next = *d;
  const std::vector<JointLoop> alone{
      {&loop, &next, freed.empty() ? std::vector<char>(d->size(), 1) : freed, options.power}};
  if (!solve_all(alone, {}, Bound::hold_others, options, stop)) return false;
  *d = std::move(next);
  return true;
}

FreedNodes all_nodes(const Draft& draft) {
  FreedNodes out;
  for (const DraftLoop& d : draft.loops) out.emplace_back(d.size(), 1);
  return out;
}

bool solve_tied(const SpacedLoops& loops, const std::vector<Tie>& ties, const FreedNodes& freed,
                const std::vector<double>& power, const std::stop_token& stop, Draft* draft) {
  Draft next = *draft;
  std::vector<JointLoop> all;
  for (std::size_t k = 0; k < next.loops.size(); ++k)
    all.push_back({&loops.loops[k], &next.loops[k], freed[k], power[k]});
  if (!solve_all(all, ties, Bound::move_along, {.iterations = 10}, stop)) return false;
  *draft = std::move(next);
  return true;
}

}  // namespace batten
