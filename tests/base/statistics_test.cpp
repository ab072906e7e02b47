#include "base/statistics.h"

#include <gtest/gtest.h>

namespace batten {
namespace {

TEST(Statistics, TheMedianIsAMemberOfTheListAndTheUpperOneOfAnEvenNumber) {
  EXPECT_EQ(median<double>({9, 1, 5}), 5);
  EXPECT_EQ(median<double>({9, 1, 5, 2}), 5);
  EXPECT_EQ(median<float>({7}), 7);
  EXPECT_EQ(median<double>({}), 0);
}

TEST(Statistics, AQuantileRunsFromTheSmallestToTheLargest) {
  const std::vector<double> values{50, 10, 40, 20, 30};
  EXPECT_EQ(quantile(values, 0), 10);
  EXPECT_EQ(quantile(values, 0.25), 20);
  EXPECT_EQ(quantile(values, 0.49), 20);
  EXPECT_EQ(quantile(values, 0.5), 30);
  EXPECT_EQ(quantile(values, 1), 50);
  EXPECT_EQ(quantile<double>({}, 0.5), 0);
}

TEST(Statistics, TheMiddleQuantileOfAnEvenNumberIsTheLowerOne) { EXPECT_EQ(quantile<double>({9, 1, 5, 2}, 0.5), 2); }

TEST(Statistics, TheNthSmallestCountsFromZero) {
  EXPECT_EQ(nth_smallest<int>({3, 1, 2}, 0), 1);
  EXPECT_EQ(nth_smallest<int>({3, 1, 2}, 2), 3);
}

}  // namespace
}  // namespace batten
