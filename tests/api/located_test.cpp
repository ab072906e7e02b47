// locate() once and convert() many times: the same drawings as in one go.

#include <gtest/gtest.h>

#include "batten/convert.h"
#include "batten/write.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using namespace batten::testing;

TEST(Located, GivesTheSameBytesAsOneGoAtEveryTolerance) {
  const auto picture = box_and_ring();
  const Result<Located> sketch = locate(picture.view());
  ASSERT_TRUE(sketch.ok()) << sketch.error().message;
  for (const double tolerance_px : {0.7, 1.5, 3.0}) {
    const Options options{.tolerance_px = tolerance_px};
    const Result<Conversion> halves = convert(*sketch, options), whole = convert(picture.view(), options);
    ASSERT_TRUE(halves.ok() && whole.ok());
    EXPECT_EQ(to_svg(halves->drawing), to_svg(whole->drawing)) << tolerance_px;
    EXPECT_EQ(halves->report.findings.size(), whole->report.findings.size());
    EXPECT_EQ(halves->report.tolerance_px, tolerance_px);
  }
}

TEST(Located, SaysWhatIsWrongAsConvertDoes) {
  EXPECT_EQ(locate({}).error().code, convert(ImageView{}).error().code);
  const auto picture = box_and_ring();
  EXPECT_EQ(locate(picture.view(), {.threads = -1}).error().code, ErrorCode::bad_option);
  EXPECT_EQ(convert(*locate(picture.view()), {.tolerance_px = -1}).error().code, ErrorCode::bad_option);
}

TEST(Located, ItsProgressNeverFallsAndItCanBeStopped) {
  const auto picture = box_and_ring();
  double last = 0;
  Job job;
  job.progress = [&](Stage, double fraction) {
    EXPECT_GE(fraction, last);
    last = fraction;
  };
  const Result<Located> sketch = locate(picture.view(), {}, job);
  last = 0;
  ASSERT_TRUE(convert(*sketch, {}, job).ok());
  EXPECT_EQ(last, 1);
  std::stop_source stop;
  stop.request_stop();
  EXPECT_EQ(convert(*sketch, {}, {.stop = stop.get_token()}).error().code, ErrorCode::cancelled);
}

TEST(Report, KeepsTheLoopThatEachOutlineWasJudgedAgainst) {
  const auto picture = box_and_ring();
  const Result<Conversion> traced = convert(picture.view());
  ASSERT_TRUE(traced.ok());
  for (const OutlineReport& report : traced->report.outlines) EXPECT_GT(report.judged.size(), 50u);
}

}  // namespace
}  // namespace batten
