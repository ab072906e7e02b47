#include "fit/linear_ties.h"

#include <gtest/gtest.h>

#include <cmath>

namespace batten {
namespace {

Tie equal(std::size_t a, std::size_t b) { return {{{a, 1}, {b, -1}}}; }

TEST(LinearTies, EveryEquationHoldsForAnyFreeValues) {
  // Shared, equally wide, mirrored, and one that follows from the others.
  const std::vector<Tie> ties{equal(0, 1),
                              equal(2, 3),
                              {{{3, 1}, {1, -1}, {5, -1}, {4, 1}}},
                              {{{6, 1}, {7, 1}, {0, -1}, {2, -1}}},
                              equal(1, 0),
                              {{{8, 1}, {9, -1}, {6, -0.25}, {7, 0.25}}}};
  const TiedScalars tied = eliminate(ties);
  std::size_t free = 0;
  std::vector<double> values;
  for (std::size_t i = 0; i < 10; ++i) free += tied.is_free(i), values.push_back(std::sin(double(7 * i + 1)));
  EXPECT_EQ(free, 5u) << "ten scalars, five independent equations";
  for (const Tie& t : ties) {
    double sum = 0;
    for (const auto& [scalar, factor] : t.terms) sum += factor * value_of(tied, scalar, values);
    EXPECT_NEAR(sum, 0, 1e-12);
  }
}

TEST(LinearTies, WholeTiesLeaveWholeFactors) {
  const TiedScalars tied = eliminate({equal(0, 1), {{{2, 1}, {0, -1}, {4, -1}, {3, 1}}}, {{{5, 1}, {6, 1}, {7, -2}}}});
  EXPECT_EQ(tied.sums.size(), 3u);
  for (const auto& [scalar, parts] : tied.sums)
    for (const auto& p : parts) EXPECT_EQ(p.factor, std::round(p.factor));
}

// Least squares with one shared value is the weighted mean (Press et al., "Numerical Recipes in C", 2nd edition,
// 1992, 15.1).
TEST(LinearTies, NearestValuesAreWeightedMeans) {
  const TiedScalars tied = eliminate({equal(0, 1), equal(1, 2)});
  const std::vector<double> v = nearest_tied(tied, {1, 2, 6, 50}, {1, 2, 1, 1});
  for (std::size_t i = 0; i < 3; ++i) EXPECT_NEAR(v[i], (1 + 2 * 2 + 6) / 4.0, 1e-12);
  EXPECT_NEAR(v[3], 50, 1e-12);
}

// Two stems of 40 and 44 made equally wide, all edges alike sure: each edge gives way by one (by symmetry).
TEST(LinearTies, EqualWidthsShareTheirDifferenceOut) {
  const TiedScalars tied = eliminate({{{{1, 1}, {0, -1}, {3, -1}, {2, 1}}}});
  const std::vector<double> v = nearest_tied(tied, {10, 50, 100, 144}, {1, 1, 1, 1});
  const double expected[] = {9, 51, 101, 143};
  for (std::size_t i = 0; i < 4; ++i) EXPECT_NEAR(v[i], expected[i], 1e-12);
}

}  // namespace
}  // namespace batten
