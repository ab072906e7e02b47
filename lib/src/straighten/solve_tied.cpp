#include "straighten/solve_tied.h"

#include <algorithm>
#include <array>
#include <memory>

#include "fit/solver_setup.h"
#include "refine/condensed_residual.h"
#include "refine/solve_joint.h"

namespace batten {
namespace {

constexpr int rounds = 3;  // foot points and handle caps are renewed between them; a fourth moves nothing any more

// The scalars that a residual was written for, each a sum of free ones.
class TiedResidual : public ceres::CostFunction {
 public:
  TiedResidual(std::unique_ptr<ceres::CostFunction> inner, std::vector<std::size_t> scalars, const TiedScalars& tied)
      : inner_(std::move(inner)) {
    for (const std::size_t s : scalars)
      for (TiedScalars::Part& p : parts_.emplace_back(tied.parts[s])) {
        const auto known = std::find(free_.begin(), free_.end(), p.free);
        const auto block = std::size_t(known - free_.begin());
        if (known == free_.end()) free_.push_back(p.free);
        p.free = block;
      }
    set_num_residuals(inner_->num_residuals());
    for (std::size_t i = 0; i < free_.size(); ++i) mutable_parameter_block_sizes()->push_back(1);
  }
  const std::vector<std::size_t>& free() const { return free_; }

  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
    const std::size_t n = parts_.size(), rows = std::size_t(num_residuals());
    std::vector<double> values(n, 0), slopes(jacobians ? n * rows : 0);
    std::vector<const double*> at(n);
    std::vector<double*> by(n, nullptr);
    for (std::size_t i = 0; i < n; ++i) {
      for (const auto& p : parts_[i]) values[i] += p.factor * parameters[p.free][0];
      at[i] = &values[i];
      if (jacobians) by[i] = &slopes[i * rows];
    }
    if (!inner_->Evaluate(at.data(), residuals, jacobians ? by.data() : nullptr)) return false;
    if (!jacobians) return true;
    for (std::size_t b = 0; b < free_.size(); ++b)
      if (jacobians[b]) std::fill(jacobians[b], jacobians[b] + rows, 0.0);
    for (std::size_t i = 0; i < n; ++i)
      for (const auto& p : parts_[i])
        if (double* const j = jacobians[p.free])
          for (std::size_t r = 0; r < rows; ++r) j[r] += p.factor * slopes[i * rows + r];
    return true;
  }

 private:
  std::unique_ptr<ceres::CostFunction> inner_;
  std::vector<std::vector<TiedScalars::Part>> parts_;  // of each scalar; a part names its block among free_
  std::vector<std::size_t> free_;
};

class PullToTarget : public ceres::SizedCostFunction<1, 1> {
 public:
  explicit PullToTarget(const Pull& pull) : pull_(pull) {}
  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override {
    residuals[0] = (parameters[0][0] - pull_.target) / pull_.sd;
    if (jacobians && jacobians[0]) jacobians[0][0] = 1 / pull_.sd;
    return true;
  }

 private:
  Pull pull_;
};

bool is_direction(std::size_t scalar) {
  const Quantity q = ScalarIndex::quantity_of(scalar);
  return q == Quantity::angle || q == Quantity::a0 || q == Quantity::a1;
}

constexpr std::array all_quantities{Quantity::x,  Quantity::y,  Quantity::angle, Quantity::h0,
                                    Quantity::h1, Quantity::a0, Quantity::a1};

constexpr std::array quantities_of_nodes{Quantity::x, Quantity::y, Quantity::angle};
bool is_of_node(Quantity q) { return q <= Quantity::angle; }

// Flags the scalars of nodes that may move: those of the freed nodes, and what ties bind to them. Loops without freed
// nodes stay.
std::vector<char> free_scalars(const ScalarIndex& index, const std::vector<Tie>& ties, const FreedNodes& freed) {
  std::vector<char> out(index.count(), 0), may(index.count(), 0);
  for (std::size_t k = 0; k < freed.size(); ++k)
    for (std::size_t i = 0; i < freed[k].size(); ++i)
      for (Quantity q : quantities_of_nodes) {
        may[index.of(k, q, i)] = 1;
        out[index.of(k, q, i)] = freed[k][i];
      }
  for (bool grown = true; grown;) {
    grown = false;
    for (const Tie& t : ties) {
      const auto is_free = [&](const auto& term) { return out[term.first] != 0; };
      if (std::none_of(t.terms.begin(), t.terms.end(), is_free)) continue;
      for (const auto& [scalar, factor] : t.terms)
        if (may[scalar] && !out[scalar]) out[scalar] = 1, grown = true;
    }
  }
  return out;
}

// All rounds of one solve; each round is one problem for Ceres.
class TiedSolve {
 public:
  TiedSolve(const SpacedLoops& loops, const std::vector<Tie>& ties, const FreedNodes& freed,
            const std::vector<double>& power, const std::stop_token& stop, Draft* draft)
      : loops_(loops), freed_(freed), power_(power), stop_(stop), draft_(*draft), index_(*draft) {
    ties_ = ties_of_straights(draft_, index_);
    ties_.insert(ties_.end(), ties.begin(), ties.end());
    tied_ = tie(index_.count(), ties_);
    free_ = free_scalars(index_, ties_, freed);
  }

  // False if a round came to nothing; the draft then stands as the round before left it.
  bool run() {
    for (int round = 0; round < rounds && !stop_.stop_requested(); ++round) {
      clamp_all();
      Draft next = draft_;
      if (!run_round(&next)) return false;
      for (std::size_t k = 0; k < freed_.size(); ++k) {
        std::vector<char> moved;
        for (std::size_t i = 0; i < freed_[k].size(); ++i) moved.push_back(any_free(k, i));
        if (!moved.empty()) renew_arcs(loops_.loops[k], &next.loops[k], moved);
      }
      draft_ = std::move(next);
    }
    clamp_all();  // the last round moved nodes: caps are where they stand now
    for (std::size_t k = 0; k < freed_.size(); ++k)
      if (!freed_[k].empty()) settle_angles(&draft_.loops[k]);
    return true;
  }

 private:
  struct ScalarRange {
    std::size_t scalar;
    double low, high;
  };

  void clamp_all() {
    for (std::size_t k = 0; k < freed_.size(); ++k)
      if (!freed_[k].empty()) clamp_handles(&draft_.loops[k]);
  }

  bool run_round(Draft* out) {
    gather_values();
    if (!std::all_of(values_.begin(), values_.end(), [](double v) { return std::isfinite(v); })) return false;
    ceres::Problem problem;
    for (std::size_t k = 0; k < draft_.loops.size(); ++k)
      if (!freed_[k].empty()) add_loop(&problem, k);
    if (problem.NumParameterBlocks() == 0) return true;
    bound(&problem);
    hold_pinned(&problem);
    constexpr int iterations = 10;
    ceres::Solver::Options o = solver_options(iterations);
    o.linear_solver_type = ceres::SPARSE_NORMAL_CHOLESKY;  // nodes touch their neighbours and what they are tied to
    o.function_tolerance = 1e-6;
    o.parameter_tolerance = 1e-7;
    Cancel cancel(stop_);
    o.callbacks.push_back(&cancel);
    ceres::Solver::Summary summary;
    ceres::Solve(o, &problem, &summary);
    if (!summary.IsSolutionUsable()) return false;
    for (std::size_t k = 0; k < draft_.loops.size(); ++k) {
      if (freed_[k].empty()) continue;
      DraftLoop& d = out->loops[k];
      for (std::size_t i = 0; i < d.size(); ++i)
        for (Quantity q : all_quantities) {
          if (!moves(k, q, i)) continue;
          const double v = value_of(tied_, index_.of(k, q, i), values_);
          if (!std::isfinite(v)) return false;
          set_value(&d, q, i, v);
        }
      settle_angles(&d);
    }
    return true;
  }

  bool any_free(std::size_t loop, std::size_t node) const {
    return std::any_of(quantities_of_nodes.begin(), quantities_of_nodes.end(),
                       [&](Quantity q) { return free_[index_.of(loop, q, node)] != 0; });
  }
  bool touched(std::size_t loop, std::size_t segment) const {
    return any_free(loop, segment) || any_free(loop, draft_.loops[loop].next(segment));
  }
  bool moves(std::size_t loop, Quantity q, std::size_t i) const {
    return is_of_node(q) ? free_[index_.of(loop, q, i)] != 0 : touched(loop, i);
  }

  // The draft's values, moved to where the ties hold.
  void gather_values() {
    values_.assign(index_.count(), 0), ranges_.clear();
    std::vector<double> weights(index_.count(), 1);
    for (std::size_t k = 0; k < draft_.loops.size(); ++k) {
      const DraftLoop& d = draft_.loops[k];
      for (std::size_t i = 0; i < d.size(); ++i) {
        for (const Quantity q : all_quantities) values_[index_.of(k, q, i)] = value_of(d, q, i);
        // Pinned: whatever is tied to it comes to it.
        constexpr double stays = 1e9;
        if (d.nodes[i].fixed_x) weights[index_.of(k, Quantity::x, i)] = stays;
        if (d.nodes[i].fixed_y) weights[index_.of(k, Quantity::y, i)] = stays;
        if (!d.segments[i].straight) continue;
        // A long side knows its place better than a short one.
        const Quantity across = d.segments[i].vertical ? Quantity::x : Quantity::y;
        const double px = distance(d.nodes[i].at, d.nodes[d.next(i)].at);
        for (const std::size_t end : {i, d.next(i)}) weights[index_.of(k, across, end)] += px;
      }
    }
    for (const Tie& t : ties_) {  // directions that are tied lie within half a turn of one another
      if (!std::all_of(t.terms.begin(), t.terms.end(), [](const auto& term) { return is_direction(term.first); }))
        continue;
      double sum = 0;
      for (const auto& [scalar, factor] : t.terms) sum += factor * values_[scalar];
      values_[t.terms.back().first] -= std::round(sum / (2 * pi)) * 2 * pi / t.terms.back().second;
    }
    values_ = nearest_tied(tied_, values_, weights);
  }

  std::vector<double*> blocks(const std::vector<std::size_t>& free) {
    std::vector<double*> out;
    for (std::size_t f : free) out.push_back(&values_[f]);
    return out;
  }

  void add_loop(ceres::Problem* problem, std::size_t k) {
    const DraftLoop& d = draft_.loops[k];
    const SpacedLoop& loop = loops_.loops[k];
    const auto slot = [&](Quantity q, std::size_t i) {
      double& v = values_[index_.of(k, q, i)];
      return Slot{moves(k, q, i) ? &v : nullptr, v};
    };
    for (std::size_t i = 0; i < d.size(); ++i) {
      if (!touched(k, i)) continue;
      SegmentSlots s = segment_slots(loop, d, i, power_[k], slot);
      std::vector<std::size_t> scalars;
      for (const double* block : SegmentResidual::blocks_of(s)) scalars.push_back(std::size_t(block - values_.data()));
      if (scalars.empty()) continue;
      auto rows = std::make_unique<CondensedResidual>(std::make_unique<SegmentResidual>(std::move(s), stop_));
      auto* const residual = new TiedResidual(std::move(rows), scalars, tied_);
      problem->AddResidualBlock(residual, nullptr, blocks(residual->free()));
    }
    for (std::size_t i = 0; i < d.size(); ++i) {
      const JointTerms terms = joint_terms(loop, d, i, touched(k, i));
      for (const Range& r : terms.ranges) ranges_.push_back({index_.of(k, r.of, r.index), r.low, r.high});
      for (const Pull& p : terms.pulls) {
        const std::size_t scalar = index_.of(k, p.of, p.index);
        auto residual = std::make_unique<TiedResidual>(std::make_unique<PullToTarget>(p), std::vector{scalar}, tied_);
        const std::vector<double*> used = blocks(residual->free());
        if (std::all_of(used.begin(), used.end(), [&](double* b) { return problem->HasParameterBlock(b); }))
          problem->AddResidualBlock(residual.release(), nullptr, used);
      }
    }
  }

  void hold_pinned(ceres::Problem* problem) {
    for (std::size_t k = 0; k < draft_.loops.size(); ++k)
      for (std::size_t i = 0; i < draft_.loops[k].size(); ++i)
        for (const Quantity q : {Quantity::x, Quantity::y}) {
          const DraftNode& j = draft_.loops[k].nodes[i];
          if (!(q == Quantity::x ? j.fixed_x : j.fixed_y)) continue;
          for (const TiedScalars::Part& p : tied_.parts[index_.of(k, q, i)])
            if (problem->HasParameterBlock(&values_[p.free])) problem->SetParameterBlockConstant(&values_[p.free]);
        }
  }

  void bound(ceres::Problem* problem) {
    for (const ScalarRange& r : ranges_) {
      double* const block = &values_[r.scalar];
      if (!tied_.is_free(r.scalar) || !problem->HasParameterBlock(block)) continue;
      // A shared scalar was moved to where its ties meet; its range goes with it.
      problem->SetParameterLowerBound(block, 0, std::min(r.low, *block));
      problem->SetParameterUpperBound(block, 0, std::max(r.high, *block));
    }
  }

  const SpacedLoops& loops_;
  const FreedNodes& freed_;
  const std::vector<double>& power_;
  const std::stop_token& stop_;
  Draft& draft_;
  ScalarIndex index_;
  std::vector<Tie> ties_;  // those of straights too
  TiedScalars tied_;
  std::vector<char> free_;  // flags the scalars of nodes
  std::vector<double> values_;
  std::vector<ScalarRange> ranges_;
};

}  // namespace

ScalarIndex::ScalarIndex(const Draft& draft) {
  first_.push_back(0);
  for (const DraftLoop& d : draft.loops) first_.push_back(first_.back() + d.size() * quantity_count);
}

FreedNodes all_nodes(const Draft& draft) {
  FreedNodes out;
  for (const DraftLoop& d : draft.loops) out.emplace_back(d.size(), 1);
  return out;
}

std::vector<Tie> ties_of_straights(const Draft& draft, const ScalarIndex& index) {
  std::vector<Tie> ties;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    for (std::size_t i = 0; i < d.size(); ++i)
      for (const Quantity q : {Quantity::x, Quantity::y})
        if (d.segments[i].straight && (q == Quantity::x ? d.segments[i].vertical : d.segments[i].level))
          ties.push_back({{{index.of(k, q, i), 1}, {index.of(k, q, d.next(i)), -1}}});
  }
  return ties;
}

bool solve_tied(const SpacedLoops& loops, const std::vector<Tie>& ties, const FreedNodes& freed,
                const std::vector<double>& power, const std::stop_token& stop, Draft* draft) {
  const Draft before = *draft;
  if (TiedSolve(loops, ties, freed, power, stop, draft).run()) return true;
  *draft = before;
  return false;
}

}  // namespace batten
