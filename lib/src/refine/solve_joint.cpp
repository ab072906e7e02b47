#include "refine/solve_joint.h"

#include <algorithm>

#include "fit/solver_setup.h"
#include "refine/condensed_residual.h"
#include "refine/joint_blocks.h"
#include "refine/joint_terms.h"
#include "refine/minimax_round.h"
#include "refine/segment_residual.h"

namespace batten {
namespace {

// residual = (x - target) / sd
class PullResidual : public ceres::SizedCostFunction<1, 1> {
 public:
  PullResidual(double target, double sd) : target_(target), sd_(sd) {}
  bool Evaluate(double const* const* p, double* r, double** j) const override {
    r[0] = (p[0][0] - target_) / sd_;
    if (j && j[0]) j[0][0] = 1 / sd_;
    return true;
  }

 private:
  double target_, sd_;
};

class Round {
 public:
  Round(const SpacedLoop& loop, const DraftLoop& d, const std::vector<char>& freed, const SolveOptions& options)
      : loop_(loop), d_(d), options_(options), blocks_(d, freed) {}

  bool run(const std::stop_token& stop, DraftLoop* out) {
    if (!blocks_.all_finite()) return false;
    ceres::Problem problem;
    for (const std::size_t i : blocks_.concerned())
      if (blocks_.touched(i) && !d_.segments[i].way_back) add_segment(&problem, i, stop);
    for (const std::size_t i : blocks_.concerned()) add_terms(&problem, i);
    if (problem.NumParameterBlocks() == 0) return true;
    bound(&problem);
    // A node touches its neighbours only: past some thirty nodes the dense normal equations are nearly all zeros.
    constexpr int most_dense = 200;  // parameters; below it the sparse set-up costs more than it saves
    const bool sparse = problem.NumParameters() > most_dense;
    ceres::Solver::Options o = solver_options(options_.iterations);
    o.linear_solver_type = sparse ? ceres::SPARSE_NORMAL_CHOLESKY : ceres::DENSE_NORMAL_CHOLESKY;
    o.function_tolerance = 1e-5;
    o.parameter_tolerance = 1e-6;
    Cancel cancel(stop);
    o.callbacks.push_back(&cancel);
    ceres::Solver::Summary summary;
    ceres::Solve(o, &problem, &summary);
    if (!summary.IsSolutionUsable() || !blocks_.all_finite()) return false;
    blocks_.read_back(out);
    return true;
  }

 private:
  void add_segment(ceres::Problem* problem, std::size_t i, const std::stop_token& stop) {
    SegmentSlots s = segment_slots(loop_, d_, i, options_.power,
                                   [this](Quantity of, std::size_t k) { return blocks_.slot_of(of, k); });
    const std::vector<double*> used = SegmentResidual::blocks_of(s);
    if (used.empty()) return;
    for (double* block : used) problem->AddParameterBlock(block, 1);
    auto all_rows = std::make_unique<SegmentResidual>(std::move(s), stop);
    problem->AddResidualBlock(new CondensedResidual(std::move(all_rows)), nullptr, used);
  }

  void add_terms(ceres::Problem* problem, std::size_t i) {
    JointTerms terms = joint_terms(loop_, d_, i, blocks_.touched(i));
    ranges_.insert(ranges_.end(), terms.ranges.begin(), terms.ranges.end());
    for (const Pull& p : terms.pulls) {
      double* const block = blocks_.block_of(p.of, p.index);
      if (problem->HasParameterBlock(block))
        problem->AddResidualBlock(new PullResidual(p.target, p.sd), nullptr, block);
    }
  }

  void bound(ceres::Problem* problem) {
    for (const Range& r : ranges_) {
      double* const block = blocks_.block_of(r.of, r.index);
      if (!problem->HasParameterBlock(block)) continue;
      *block = std::clamp(*block, r.low, r.high);
      problem->SetParameterLowerBound(block, 0, r.low);
      problem->SetParameterUpperBound(block, 0, r.high);
    }
  }

  const SpacedLoop& loop_;
  const DraftLoop& d_;
  const SolveOptions& options_;
  JointBlocks blocks_;
  std::vector<Range> ranges_;  // of the scalars of the nodes concerned
};

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
  const DraftLoop before = *d;
  for (int round = 0; round < options.rounds; ++round) {
    clamp_handles(d);
    DraftLoop next = *d;
    const bool solved = options.minimax ? minimax_round(loop, *d, freed, options.iterations, stop, &next)
                                        : Round(loop, *d, freed, options).run(stop, &next);
    if (!solved) {
      *d = before;
      return false;
    }
    renew_arcs(loop, &next, freed);
    double moved = 0;
    for (std::size_t i = 0; i < d->size(); ++i) moved = std::max(moved, distance(next.nodes[i].at, d->nodes[i].at));
    *d = std::move(next);
    if (moved < 0.01 * std::max(loop.limit_px, 0.1) && round > 0) break;
    if (stop.stop_requested()) break;
  }
  clamp_handles(d);
  settle_angles(d);
  return true;
}

}  // namespace batten
