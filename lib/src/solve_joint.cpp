#include "solve_joint.h"

#include <algorithm>
#include <numeric>

#include "condensed_residual.h"
#include "joint_terms.h"
#include "piece_residual.h"
#include "solver_setup.h"

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

// All scalars of the draft as blocks; level and upright straights share one.
struct Blocks {
  std::vector<double> x, y, angle, h0, h1, a0, a1;
  std::vector<std::size_t> x_of, y_of;  // joint -> owner of its coordinate

  explicit Blocks(const DraftLoop& d) {
    const std::size_t n = d.size();
    x_of.resize(n), y_of.resize(n);
    std::iota(x_of.begin(), x_of.end(), 0u);
    std::iota(y_of.begin(), y_of.end(), 0u);
    for (std::size_t i = 0; i < n; ++i) {
      if (!d.pieces[i].straight) continue;
      if (d.pieces[i].upright) unite(&x_of, i, d.next(i));
      if (d.pieces[i].level) unite(&y_of, i, d.next(i));
    }
    for (std::size_t i = 0; i < n; ++i) {
      x.push_back(d.joints[i].at.x), y.push_back(d.joints[i].at.y), angle.push_back(d.joints[i].angle);
      h0.push_back(d.pieces[i].h0), h1.push_back(d.pieces[i].h1);
      a0.push_back(d.pieces[i].a0), a1.push_back(d.pieces[i].a1);
    }
    average(d, x_of, &x, true);
    average(d, y_of, &y, false);
  }
  static void unite(std::vector<std::size_t>* of, std::size_t a, std::size_t b) {
    const std::size_t from = (*of)[b], to = (*of)[a];
    for (auto& o : *of)
      if (o == from) o = to;
  }
  void average(const DraftLoop& d, const std::vector<std::size_t>& of, std::vector<double>* v, bool in_x) {
    std::vector<double> sum(d.size(), 0);
    std::vector<int> count(d.size(), 0);
    for (std::size_t i = 0; i < d.size(); ++i) sum[of[i]] += in_x ? d.joints[i].at.x : d.joints[i].at.y, ++count[of[i]];
    for (std::size_t i = 0; i < d.size(); ++i) (*v)[i] = sum[of[i]] / count[of[i]];
  }
};

bool all_finite(const Blocks& b) {
  for (const auto* v : {&b.x, &b.y, &b.angle, &b.h0, &b.h1, &b.a0, &b.a1})
    for (double q : *v)
      if (!std::isfinite(q)) return false;
  return true;
}

class Round {
 public:
  Round(const SpacedLoop& loop, const DraftLoop& d, const std::vector<char>& freed, const SolveOptions& options)
      : loop_(loop), d_(d), freed_(freed), options_(options), blocks_(d) {
    for (std::size_t i = 0; i < d.size(); ++i)
      if (free(i) || touched(i)) concerned_.push_back(i);
    x_free_ = y_free_ = std::vector<char>(d.size(), 1);
    for (std::size_t i = 0; i < d.size(); ++i)
      if (!free(i)) x_free_[blocks_.x_of[i]] = y_free_[blocks_.y_of[i]] = 0;
  }

  bool run(const std::stop_token& stop, DraftLoop* out) {
    if (!all_finite(blocks_)) return false;
    ceres::Problem problem;
    for (const std::size_t i : concerned_)
      if (touched(i)) add_piece(&problem, i, stop);
    for (const std::size_t i : concerned_) add_terms(&problem, i);
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
    if (!summary.IsSolutionUsable() || !all_finite(blocks_)) return false;
    read_back(out);
    return true;
  }

 private:
  bool free(std::size_t joint) const { return freed_.empty() || freed_[joint]; }
  bool touched(std::size_t piece) const { return free(piece) || free(d_.next(piece)); }
  Slot x(std::size_t i) { return slot(&blocks_.x[blocks_.x_of[i]], x_free_[blocks_.x_of[i]]); }
  Slot y(std::size_t i) { return slot(&blocks_.y[blocks_.y_of[i]], y_free_[blocks_.y_of[i]]); }
  static Slot slot(double* block, bool is_free) { return {is_free ? block : nullptr, *block}; }

  // Handles and directions at corners belong to their piece: they move whenever it is touched.
  Slot slot_of(Quantity of, std::size_t i) {
    if (of == Quantity::x) return x(i);
    if (of == Quantity::y) return y(i);
    return slot(block_of(of, i), of != Quantity::angle || free(i));
  }
  double* block_of(Quantity of, std::size_t i) {
    std::vector<double>* const all[] = {&blocks_.x, &blocks_.y, &blocks_.angle, &blocks_.h0, &blocks_.h1, &blocks_.a0, &blocks_.a1};
    return &(*all[std::size_t(of)])[i];
  }

  void add_piece(ceres::Problem* problem, std::size_t i, const std::stop_token& stop) {
    PieceSlots s = piece_slots(loop_, d_, i, options_.power, [this](Quantity of, std::size_t k) { return slot_of(of, k); });
    const std::vector<double*> used = PieceResidual::blocks_of(s);
    if (used.empty()) return;
    for (double* block : used) problem->AddParameterBlock(block, 1);
    auto all_rows = std::make_unique<PieceResidual>(std::move(s), stop);
    problem->AddResidualBlock(new CondensedResidual(std::move(all_rows)), nullptr, used);
  }

  void add_terms(ceres::Problem* problem, std::size_t i) {
    JointTerms terms = joint_terms(loop_, d_, i, touched(i));
    ranges_.insert(ranges_.end(), terms.ranges.begin(), terms.ranges.end());
    for (const Pull& p : terms.pulls) {
      double* const block = block_of(p.of, p.index);
      if (problem->HasParameterBlock(block)) problem->AddResidualBlock(new PullResidual(p.target, p.sd), nullptr, block);
    }
  }

  void bound(ceres::Problem* problem) {
    for (const Range& r : ranges_) {
      double* const block = block_of(r.of, r.index);
      if (!problem->HasParameterBlock(block)) continue;
      *block = std::clamp(*block, r.low, r.high);
      problem->SetParameterLowerBound(block, 0, r.low);
      problem->SetParameterUpperBound(block, 0, r.high);
    }
  }

  void read_back(DraftLoop* out) const {
    for (std::size_t i = 0; i < d_.size(); ++i) {
      Joint& j = out->joints[i];
      j.at = {blocks_.x[blocks_.x_of[i]], blocks_.y[blocks_.y_of[i]]};
      j.angle = wrap_angle(blocks_.angle[i]);
      Piece& p = out->pieces[i];
      p.h0 = blocks_.h0[i], p.h1 = blocks_.h1[i];
      p.a0 = blocks_.a0[i], p.a1 = blocks_.a1[i];
    }
    settle_angles(out);
  }

  const SpacedLoop& loop_;
  const DraftLoop& d_;
  const std::vector<char>& freed_;
  const SolveOptions& options_;
  Blocks blocks_;
  std::vector<std::size_t> concerned_;  // joints that are free or whose piece is touched: few, on a long outline
  std::vector<Range> ranges_;           // of their scalars
  std::vector<char> x_free_, y_free_;   // of owners: a coordinate moves only if all joints that share it are free
};

}  // namespace

void renew_arcs(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& moved) {
  const std::size_t n = d->size();
  std::vector<double> arc(n);
  for (std::size_t i = 0; i < n; ++i) {
    const Joint& j = d->joints[i];
    arc[i] = j.arc;
    if (!moved.empty() && !moved[i]) continue;
    const double back = loop.even.ahead(d->joints[d->previous(i)].arc, j.arc);
    const double ahead = loop.even.ahead(j.arc, d->joints[d->next(i)].arc);
    const double window = std::min(std::max(20.0, 2.5 * loop.scale_px), 0.45 * std::min(back, ahead));
    // The window never reaches a neighbour, so that the order stays.
    // Corners are held to the middle of their own turn: the nearest point of a rounded tip may lie on either wall.
    if (!j.corner) arc[i] = nearest_arc(loop.even, j.at, j.arc, window);
  }
  for (std::size_t i = 0; i < n; ++i) d->joints[i].arc = arc[i];
}

bool solve_joint(const SpacedLoop& loop, DraftLoop* d, const std::vector<char>& freed, const SolveOptions& options,
                 const std::stop_token& stop) {
  const DraftLoop before = *d;
  for (int round = 0; round < options.rounds; ++round) {
    clamp_handles(d);
    DraftLoop next = *d;
    if (!Round(loop, *d, freed, options).run(stop, &next)) {
      *d = before;
      return false;
    }
    renew_arcs(loop, &next, freed);
    double moved = 0;
    for (std::size_t i = 0; i < d->size(); ++i) moved = std::max(moved, distance(next.joints[i].at, d->joints[i].at));
    *d = std::move(next);
    if (moved < 0.01 * std::max(loop.limit_px, 0.1) && round > 0) break;
    if (stop.stop_requested()) break;
  }
  clamp_handles(d);
  settle_angles(d);
  return true;
}

}  // namespace batten
