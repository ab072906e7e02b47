// Cancelling before and during a job, from inside and from another thread; progress that never falls.
#include <gtest/gtest.h>

#include <atomic>
#include <chrono>
#include <thread>

#include "batten/convert.h"
#include "support/cancel_wait.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/shapes.h"

namespace batten {
namespace {

using Clock = std::chrono::steady_clock;

struct Picture {
  support::GrayImage image;
  ImageView view() const { return {image.pixels.data(), image.width, image.height, image.width}; }
};

Picture drawing(double height_px) {
  const auto truth = support::glyph(support::font_file("texgyrebonum-bold.otf"), U'B', height_px, 30);
  const support::Extent size = support::extent_of(truth, 30);
  return {support::pencil_drawing(size.width, size.height, truth, support::Hand::multistroke, false,
                                  support::Random("Cancel", "B"))};
}

std::vector<std::vector<Point>> loops() {
  std::vector<std::vector<Point>> result;
  for (const Outline& o : support::glyph(support::font_file("texgyrebonum-bold.otf"), U'B', 300, 30))
    result.push_back(support::points_of(o, 0.5));
  return result;
}

TEST(Cancel, BeforeTheStart) {
  std::stop_source stop;
  stop.request_stop();
  Job job;
  job.stop = stop.get_token();
  const auto fitted = fit(loops(), {}, job);
  ASSERT_FALSE(fitted.ok());
  EXPECT_EQ(fitted.error().code, ErrorCode::cancelled);
  const auto converted = convert(drawing(150).view(), {}, job);
  ASSERT_FALSE(converted.ok());
  EXPECT_EQ(converted.error().code, ErrorCode::cancelled);
}

TEST(Cancel, ABadOptionIsToldEvenWhenCancelled) {
  std::stop_source stop;
  stop.request_stop();
  Job job;
  job.stop = stop.get_token();
  Options options;
  options.tolerance_px = -1;
  const auto result = fit(loops(), options, job);
  ASSERT_FALSE(result.ok());
  EXPECT_EQ(result.error().code, ErrorCode::bad_option);
}

TEST(Cancel, FromTheProgressCallbackAtEveryStage) {
  const Picture picture = drawing(150);
  std::vector<Stage> seen;
  Job watching;
  watching.progress = [&](Stage stage, double) {
    if (seen.empty() || seen.back() != stage) seen.push_back(stage);
  };
  ASSERT_TRUE(convert(picture.view(), {}, watching).ok());
  ASSERT_GE(seen.size(), 5u);
  for (std::size_t k = 0; k + 1 < seen.size(); ++k) {  // once the last stage has told of itself, the work is done
    std::stop_source stop;
    Job job;
    job.stop = stop.get_token();
    job.progress = [&](Stage stage, double) {
      if (stage == seen[k]) stop.request_stop();
    };
    const auto result = convert(picture.view(), {}, job);
    ASSERT_FALSE(result.ok()) << name_of(seen[k]);
    EXPECT_EQ(result.error().code, ErrorCode::cancelled) << name_of(seen[k]);
  }
}

TEST(Cancel, FromAnotherThreadTakesEffectSoon) {
  const Picture picture = drawing(700);
  const auto whole_start = Clock::now();
  ASSERT_TRUE(convert(picture.view()).ok());
  const double whole = std::chrono::duration<double>(Clock::now() - whole_start).count();
  int cancelled = 0;
  for (const double share : {0.1, 0.4, 0.7}) {
    std::stop_source stop;
    Job job;
    job.stop = stop.get_token();
    std::atomic<Clock::rep> asked{0};
    std::thread other([&] {
      std::this_thread::sleep_for(std::chrono::duration<double>(share * whole));
      asked = Clock::now().time_since_epoch().count();
      stop.request_stop();
    });
    const auto result = convert(picture.view(), {}, job);
    const auto done = Clock::now().time_since_epoch().count();
    other.join();
    if (result) continue;  // it was faster than the first time
    ++cancelled;
    EXPECT_EQ(result.error().code, ErrorCode::cancelled);
    const double waited = double(done - asked.load()) * Clock::period::num / Clock::period::den;
    EXPECT_LT(waited, std::max(0.5, 0.6 * whole)) << "share " << share << " of " << whole << " s";
  }
  EXPECT_GE(cancelled, 2);
}

TEST(Cancel, AnyMomentOfATraceTakesEffectSoon) {
  const Picture picture = drawing(450);
  ::testing::internal::CaptureStderr();
  EXPECT_LT(support::longest_wait_s(40, [&](const Job& job) { return convert(picture.view(), {}, job); }),
            support::longest_cancel_s);
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "")
      << "a library prints nothing, and makes none of its own print";
}

TEST(Cancel, AnyMomentOfAFitTakesEffectSoon) {
  std::vector<std::vector<Point>> noisy{loops().back()};
  support::Random random("Cancel", "noise");
  for (auto& loop : noisy)
    for (Point& p : loop) p = {p.x + random.normal(), p.y + random.normal()};
  ::testing::internal::CaptureStderr();
  EXPECT_LT(support::longest_wait_s(40, [&](const Job& job) { return fit(noisy, {}, job); }),
            support::longest_cancel_s);
  EXPECT_EQ(::testing::internal::GetCapturedStderr(), "");
}

TEST(Cancel, AfterTheEndChangesNothing) {
  std::stop_source stop;
  Job job;
  job.stop = stop.get_token();
  const auto result = fit(loops(), {}, job);
  stop.request_stop();
  ASSERT_TRUE(result.ok());
  EXPECT_FALSE(result->drawing.outlines.empty());
}

TEST(Cancel, ProgressNeverFallsAndStaysOnTheCallersThread) {
  const Picture picture = drawing(200);
  const auto caller = std::this_thread::get_id();
  for (const int threads : {1, 3}) {
    double last = 0;
    int calls = 0, stage = -1;
    Job job;
    job.progress = [&](Stage s, double fraction) {
      EXPECT_EQ(std::this_thread::get_id(), caller);
      EXPECT_GE(fraction, last);
      EXPECT_LE(fraction, 1);
      EXPECT_GE(int(s), stage) << "stages run in order";
      last = fraction, stage = int(s), ++calls;
    };
    Options options;
    options.threads = threads;
    ASSERT_TRUE(convert(picture.view(), options, job).ok());
    EXPECT_GE(calls, 8);
    EXPECT_NEAR(last, 1, 1e-9);
  }
}

}  // namespace
}  // namespace batten
