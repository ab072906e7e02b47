#pragma once
// The Ceres residual of one segment: signed offsets of its located points across the curve, with analytic
// derivatives. Foot points are renewed in every evaluation; at a foot the offset's derivative is that of the curve
// point alone, taken along the normal (envelope theorem), so the Jacobian is exact.

#include <ceres/cost_function.h>

#include <array>
#include <stop_token>
#include <vector>

#include "base/cubic.h"

namespace batten {

/// Where a scalar of the segment comes from: a parameter block (all blocks have size 1), or a constant.
struct Slot {
  double* block = nullptr;  ///< null: constant
  double value = 0;
};

/// How an end of a cubic gets its direction.
struct EndSlots {
  Slot x, y;
  Slot handle;              ///< length, px
  Slot angle;               ///< used where along_line is false
  bool along_line = false;  ///< direction = from (line_x, line_y) to the end (start), or from the end to it (end)
  Slot line_x, line_y;
};

struct OffsetShape {
  int power = 2;      ///< even; residual = sign(r) |r/scale|^(power/2)
  double robust = 3;  ///< power 2 only: pseudo-Huber bend, in units of scale; <= 0: none
};

struct SegmentSlots {
  bool straight = false;
  EndSlots start, end;
  std::vector<Point> points;
  std::vector<double> weights;  ///< square roots of the statistical weights
  double scale_px = 1;          ///< offsets are divided by it
  OffsetShape shape;
  int convex_sense = 0;      ///< +1, -1: both handles belong on one side of the chord; 0: free
  double convex_weight = 0;  ///< residual per unit of sine on the wrong side
};

/// Ceres asks for the offsets at a place first and for their derivatives there next: the feet are kept between the two.
/// One thread at a time. Once its job was asked to stop every offset is 0, so that a solver ends within one evaluation
/// (a residual that fails makes Ceres print); what comes of it is to be thrown away.
class SegmentResidual : public ceres::CostFunction {
 public:
  /// The distinct blocks in the order Evaluate expects them.
  static std::vector<double*> blocks_of(const SegmentSlots& slots);
  explicit SegmentResidual(SegmentSlots slots, std::stop_token stop = {});
  bool Evaluate(double const* const* parameters, double* residuals, double** jacobians) const override;

 private:
  const std::vector<FootFinder::Foot>& feet_on(const Cubic& c) const;
  SegmentSlots slots_;
  std::stop_token stop_;
  std::vector<double*> blocks_;
  mutable Cubic last_{};
  mutable std::vector<FootFinder::Foot> feet_;  // on last_; empty: none yet
};

}  // namespace batten
