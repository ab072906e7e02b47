// Job::threads: any number, the same bytes, and nobody else's threads touched.

#include <gtest/gtest.h>

#include <opencv2/core.hpp>

#include "base/parallel.h"
#include "batten/convert.h"
#include "batten/files.h"
#include "batten/refit.h"
#include "batten/sweep.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using namespace batten::testing;

Job with(int threads) {
  Job job;
  job.threads = threads;
  return job;
}

TEST(Threads, TheSameBytesForAnyNumber) {
  const auto picture = box_and_ring();
  const Options options{.tolerance_px = 0.8};
  const auto plain = convert(picture.view(), options);
  ASSERT_TRUE(plain.ok());
  const std::string expected = to_json(*plain);
  for (const int threads : {1, 2, 3, 0}) {
    const auto located = locate(picture.view(), options, with(threads));
    ASSERT_TRUE(located.ok());
    const auto made = convert(*located, options, with(threads));
    ASSERT_TRUE(made.ok());
    EXPECT_EQ(to_json(*made), expected) << threads;
    const double tolerances[] = {0.8};
    const auto swept = sweep(*located, tolerances, options, with(threads));
    ASSERT_TRUE(swept.ok());
    EXPECT_EQ(to_json(swept->conversions[0]), expected) << threads;
    EXPECT_EQ(to_json(*judge(*located, plain->drawing, options, with(threads))),
              to_json(*judge(*located, plain->drawing, options)));
  }
}

TEST(Threads, OpenCvKeepsItsOwnNumber) {
  const auto picture = box_and_ring();
  const int before = cv::getNumThreads();
  for (const int threads : {1, 3, 0}) ASSERT_TRUE(convert(picture.view(), {}, with(threads)).ok());
  EXPECT_EQ(cv::getNumThreads(), before);
}

TEST(Threads, TheJobsNumberCountsAndIsChecked) {
  const auto picture = box_and_ring();
  const std::vector<std::vector<Point>> square{{{0, 0}, {100, 0}, {100, 100}, {0, 100}}};
  for (const int threads : {-1, 1025}) {
    for (const Error& e : {convert(picture.view(), {}, with(threads)).error(), fit(square, {}, with(threads)).error(),
                           refit({}, {}, with(threads)).error()}) {
      EXPECT_EQ(e.code, ErrorCode::bad_option);
      EXPECT_EQ(e.place, "threads");
    }
    // What the options say does not count where the job says something.
    EXPECT_TRUE(fit(square, {.threads = threads}, with(2)).ok());
    EXPECT_FALSE(fit(square, {.threads = threads}).ok());
  }
  EXPECT_TRUE(fit(square, {.threads = 0}).ok());
}

TEST(Threads, NoNumberStandsForTheCoresThereAre) {
  EXPECT_EQ(thread_count(5), 5);
  EXPECT_GE(thread_count(0), 1);
  EXPECT_LE(thread_count(0), 64);
}

}  // namespace
}  // namespace batten
