#include "refine/minimax_round.h"

#include <ceres/ceres.h>

#include <algorithm>
#include <cmath>
#include <map>

#include "fit/minimax_step.h"
#include "fit/segment_data.h"
#include "refine/joint_terms.h"
#include "refine/segment_residual.h"

namespace batten {
namespace {

// How far the linear model is trusted at first. On an outline a few hundred px high these moves are about as large as
// one another.
constexpr double place_trust_px = 3, handle_trust_px = 5, turn_trust_rad = 0.05;
constexpr double least_trust = 1e-3;  // of that: what moves less changes nothing
constexpr double least_gain = 1e-4;   // of the largest offset
// Weight of the mean square beside the largest offset: without it and staying_share what does not touch the largest
// offset went anywhere (a short segment beside a corner 10 limits off).
constexpr double squares_share = 0.05;

double trust_of(Quantity of) {
  if (of == Quantity::x || of == Quantity::y) return place_trust_px;
  return of == Quantity::h0 || of == Quantity::h1 ? handle_trust_px : turn_trust_rad;
}

struct FreeScalar {
  double* block;
  double low = -1e9, high = 1e9, trust = place_trust_px;
};

struct RoundOffsets {
  std::vector<double> all;
  double largest = 0;  // of those that count, in limits
};

class MinimaxRound {
 public:
  MinimaxRound(const JointLoop& of, JointScalars* scalars, const std::stop_token& stop)
      : loop_(*of.loop), d_(*of.draft), scalars_(*scalars) {
    for (const std::size_t i : scalars_.concerned(0))
      if (scalars_.touched(0, i) && !d_.segments[i].way_back) add_segment(i, stop);
    read_ranges();
  }

  bool run(int iterations, const std::stop_token& stop) {
    RoundOffsets here;
    ceres::CRSMatrix slopes;
    bool fresh = false;
    double trust = 1;
    for (int k = 0; k < iterations && trust > least_trust && !columns_.empty() && !stop.stop_requested(); ++k) {
      if (!fresh && !evaluate(&here, &slopes)) return false;
      fresh = true;
      const MinimaxStep step = step_from(here, slopes, trust);
      if (!step.found || step.largest > here.largest * (1 - least_gain)) break;
      std::vector<double> before;
      for (std::size_t q = 0; q < columns_.size(); ++q) {
        before.push_back(*columns_[q].block);
        *columns_[q].block += step.x[Eigen::Index(q)];
      }
      RoundOffsets there;
      if (!evaluate(&there, nullptr)) return false;
      const double came_true = (here.largest - there.largest) / (here.largest - step.largest);
      fresh = came_true <= worth_keeping;
      for (std::size_t q = 0; fresh && q < columns_.size(); ++q) *columns_[q].block = before[q];
      trust *= trust_factor(came_true);
    }
    return true;
  }

 private:
  void add_segment(std::size_t i, const std::stop_token& stop) {
    SegmentSlots s =
        segment_slots(loop_, d_, i, 2, [this](Quantity of, std::size_t k) { return scalars_.slot_of(0, of, k); });
    const std::vector<double*> used = SegmentResidual::blocks_of(s);
    if (used.empty()) return;
    for (double* block : used) {
      if (!column_of_.emplace(block, columns_.size()).second) continue;
      problem_.AddParameterBlock(block, 1);
      evaluate_.parameter_blocks.push_back(block), columns_.push_back({block});
    }
    const double most = *std::max_element(s.weights.begin(), s.weights.end());
    for (double& w : s.weights) counts_.push_back(w > 0.5 * most), w = 1;
    if (!s.straight) counts_.insert(counts_.end(), 2, 1);  // handles on the wrong side
    s.scale_px = loop_.limit_px, s.shape = {2, 0};
    problem_.AddResidualBlock(new SegmentResidual(std::move(s), stop), nullptr, used);
  }

  void read_ranges() {
    std::vector<Range> all;
    for (const std::size_t i : scalars_.concerned(0)) {
      const JointTerms terms = joint_terms(loop_, d_, i, scalars_.touched(0, i));
      all.insert(all.end(), terms.ranges.begin(), terms.ranges.end());
    }
    for (const JointScalars::BlockRange& r : scalars_.ranges({all})) {
      const auto found = column_of_.find(r.block);
      if (found != column_of_.end()) columns_[found->second] = {r.block, r.low, r.high, trust_of(r.of)};
    }
  }

  bool evaluate(RoundOffsets* out, ceres::CRSMatrix* slopes) {
    if (!problem_.Evaluate(evaluate_, nullptr, &out->all, nullptr, slopes)) return false;
    out->largest = 0;
    for (std::size_t i = 0; i < out->all.size(); ++i) {
      if (!std::isfinite(out->all[i])) return false;
      if (counts_[i]) out->largest = std::max(out->largest, std::abs(out->all[i]));
    }
    return true;
  }

  MinimaxStep step_from(const RoundOffsets& here, const ceres::CRSMatrix& slopes, double trust) const {
    const auto n = Eigen::Index(columns_.size());
    const auto rows = Eigen::Index(std::count(counts_.begin(), counts_.end(), 1));
    MinimaxProblem task{{rows, n},          Eigen::VectorXd(rows),       Eigen::VectorXd(n),
                        Eigen::VectorXd(n), Eigen::MatrixXd::Zero(n, n), Eigen::VectorXd::Zero(n)};
    std::vector<Eigen::Triplet<double>> entries;
    const double share = squares_share / double(rows) / std::max(here.largest, 1e-9);
    Eigen::Index row = 0;
    for (int i = 0; i < slopes.num_rows; ++i) {
      const double r = here.all[std::size_t(i)];
      const bool counts = counts_[std::size_t(i)];
      const int first = slopes.rows[std::size_t(i)], last = slopes.rows[std::size_t(i) + 1];
      const double weight = counts ? share : corner_zone_weight * share;
      for (int a = first; a < last; ++a) {
        const int column = slopes.cols[std::size_t(a)];
        const double slope = slopes.values[std::size_t(a)];
        if (counts) entries.emplace_back(row, column, slope);
        task.linear[column] += weight * slope * r;
        for (int b = first; b < last; ++b)
          task.quadratic(column, slopes.cols[std::size_t(b)]) += weight * slope * slopes.values[std::size_t(b)];
      }
      if (counts) task.residuals[row++] = r;
    }
    task.jacobian.setFromTriplets(entries.begin(), entries.end());
    for (Eigen::Index q = 0; q < n; ++q) {
      const FreeScalar& c = columns_[std::size_t(q)];
      const double most = trust * c.trust, hair = 1e-6 * most;  // both sides must be open a little
      task.low[q] = std::min(-hair, std::max(c.low - *c.block, -most));
      task.high[q] = std::max(hair, std::min(c.high - *c.block, most));
      task.quadratic(q, q) += staying_share * here.largest / (most * most);
    }
    return minimax_step(task);
  }

  const SpacedLoop& loop_;
  const DraftLoop& d_;
  JointScalars& scalars_;
  ceres::Problem problem_;
  ceres::Problem::EvaluateOptions evaluate_;
  // In the order of the segments: the bytes of the result must not depend on addresses.
  std::vector<FreeScalar> columns_;
  std::map<const double*, std::size_t> column_of_;
  std::vector<char> counts_;  // of rows: in the largest offset
};

}  // namespace

bool minimax_round(const JointLoop& of, int iterations, const std::stop_token& stop, JointScalars* scalars) {
  return MinimaxRound(of, scalars, stop).run(iterations, stop);
}

}  // namespace batten
