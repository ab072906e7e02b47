// Analytic derivatives against central differences, for every way an end of a segment can be held.
#include "refine/segment_residual.h"

#include <gtest/gtest.h>

#include <cmath>

#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

struct Values {
  double x0 = 10, y0 = 20, x3 = 110, y3 = 35, h0 = 38, h3 = 30, a0 = -0.6, a3 = 0.7;
  double lx0 = -25, ly0 = 44, lx3 = 160, ly3 = 78;
};

SegmentSlots slots_for(Values* v, bool line_before, bool line_after) {
  SegmentSlots s;
  const auto slot = [](double* b) { return Slot{b, *b}; };
  s.start = {slot(&v->x0), slot(&v->y0), slot(&v->h0), slot(&v->a0), line_before, slot(&v->lx0), slot(&v->ly0)};
  s.end = {slot(&v->x3), slot(&v->y3), slot(&v->h3), slot(&v->a3), line_after, slot(&v->lx3), slot(&v->ly3)};
  s.scale_px = 0.7;
  return s;
}

/// Points on both sides of the segment, weights of all sizes.
void add_points(SegmentSlots* s, const Cubic& c, support::Random& r) {
  for (int i = 0; i < 25; ++i) {
    const double t = (i + 0.5) / 25;
    s->points.push_back(support::at(c, t) + r.uniform(-2.5, 2.5) * left_of(unit(support::derivative(c, t))));
    s->weights.push_back(r.uniform(0.1, 1));
  }
}

void compare(const SegmentSlots& slots) {
  const SegmentResidual residual(slots);
  std::vector<double*> blocks = SegmentResidual::blocks_of(slots);
  ASSERT_EQ(blocks.size(), residual.parameter_block_sizes().size());
  const std::size_t n = std::size_t(residual.num_residuals());
  std::vector<double> value(n), low(n), high(n);
  std::vector<std::vector<double>> jacobian(blocks.size(), std::vector<double>(n));
  std::vector<double*> rows;
  for (auto& j : jacobian) rows.push_back(j.data());
  ASSERT_TRUE(residual.Evaluate(blocks.data(), value.data(), rows.data()));
  for (std::size_t b = 0; b < blocks.size(); ++b) {
    const double at = *blocks[b], h = 1e-5;
    *blocks[b] = at + h;
    residual.Evaluate(blocks.data(), high.data(), nullptr);
    *blocks[b] = at - h;
    residual.Evaluate(blocks.data(), low.data(), nullptr);
    *blocks[b] = at;
    for (std::size_t i = 0; i < n; ++i) {
      const double expected = (high[i] - low[i]) / (2 * h);
      EXPECT_NEAR(jacobian[b][i], expected, 1e-4 * (1 + std::abs(expected))) << "block " << b << ", residual " << i;
    }
  }
}

Cubic curve_of(const Values& v) {
  const Point p0{v.x0, v.y0}, p3{v.x3, v.y3};
  return {p0, p0 + v.h0 * direction(v.a0), p3 - v.h3 * direction(v.a3), p3};
}

TEST(SegmentResidual, DerivativesOfACurveBetweenAngles) {
  support::Random r("SegmentResidual", "angles");
  for (const double power : {2.0, 4.0, 8.0}) {
    Values v;
    SegmentSlots s = slots_for(&v, false, false);
    add_points(&s, curve_of(v), r);
    s.shape.power = power;
    EXPECT_EQ(SegmentResidual::blocks_of(s).size(), 8u);
    compare(s);
  }
  Values v;
  SegmentSlots plain = slots_for(&v, false, false);
  add_points(&plain, curve_of(v), r);
  plain.shape.robust = 0;
  compare(plain);
}

TEST(SegmentResidual, DerivativesWhereAStraightGivesTheDirection) {
  support::Random r("SegmentResidual", "lines");
  for (const bool before : {true, false})
    for (const bool after : {true, false}) {
      Values v;
      v.a0 = std::atan2(v.y0 - v.ly0, v.x0 - v.lx0), v.a3 = std::atan2(v.ly3 - v.y3, v.lx3 - v.x3);
      SegmentSlots s = slots_for(&v, before, after);
      add_points(&s, curve_of(v), r);
      compare(s);
    }
}

TEST(SegmentResidual, DerivativesOfAStraight) {
  support::Random r("SegmentResidual", "straight");
  Values v;
  SegmentSlots s = slots_for(&v, false, false);
  s.straight = true;
  for (int i = 0; i < 20; ++i) s.points.push_back({r.uniform(5, 115), r.uniform(10, 45)}), s.weights.push_back(1);
  EXPECT_EQ(SegmentResidual::blocks_of(s).size(), 4u);
  compare(s);
  s.end.y = s.start.y;  // a level one: both ends share one number
  EXPECT_EQ(SegmentResidual::blocks_of(s).size(), 3u);
  compare(s);
}

TEST(SegmentResidual, DerivativesBeyondTheEnds) {
  Values v;
  SegmentSlots s = slots_for(&v, false, false);
  const Cubic c = curve_of(v);
  s.points = {c[0] - 3 * direction(v.a0) + Point{0.5, 0.5}, c[3] + 4 * direction(v.a3) + Point{0.2, -1}};
  s.weights = {1, 1};
  compare(s);
}

TEST(SegmentResidual, DerivativesOfTheConvexityTerm) {
  support::Random r("SegmentResidual", "convex");
  for (const int sense : {1, -1}) {
    Values v;
    v.a0 = 0.3, v.a3 = 0.35;  // an S: one handle lies on the wrong side, whichever it should be
    SegmentSlots s = slots_for(&v, false, false);
    add_points(&s, curve_of(v), r);
    s.convex_sense = sense, s.convex_weight = 40;
    const SegmentResidual residual(s);
    std::vector<double> value(std::size_t(residual.num_residuals()));
    residual.Evaluate(SegmentResidual::blocks_of(s).data(), value.data(), nullptr);
    EXPECT_GT(std::abs(value[25]) + std::abs(value[26]), 1);
    compare(s);
  }
}

TEST(SegmentResidual, APointOnTheCurveLeavesNothing) {
  Values v;
  SegmentSlots s = slots_for(&v, false, false);
  for (int i = 1; i < 20; ++i) s.points.push_back(support::at(curve_of(v), i / 20.0)), s.weights.push_back(1);
  const SegmentResidual residual(s);
  std::vector<double> value(std::size_t(residual.num_residuals()));
  residual.Evaluate(SegmentResidual::blocks_of(s).data(), value.data(), nullptr);
  for (double e : value) EXPECT_NEAR(e, 0, 1e-6);
}

}  // namespace
}  // namespace batten
