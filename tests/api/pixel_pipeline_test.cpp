#include "api/pixel_pipeline.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdint>
#include <vector>

#include "base/level_loops.h"

namespace batten {
namespace {

struct Picture8 {
  int width, height;
  std::vector<std::uint8_t> pixels;
  Picture8(int w, int h, std::uint8_t fill) : width(w), height(h), pixels(std::size_t(w) * h, fill) {}
  ImageView view() const { return {pixels.data(), width, height, width, PixelFormat::gray8}; }
};

// A black ring by exact distance: coverage of a pixel by an edge is the clamped distance, good to 0.01 for R over 10.
Picture8 ring(double outer, double inner) {
  Picture8 p(200, 160, 255);
  for (int y = 0; y < p.height; ++y)
    for (int x = 0; x < p.width; ++x) {
      const double r = std::hypot(x + 0.5 - 100, y + 0.5 - 80);
      const double ink = std::clamp(outer - r + 0.5, 0., 1.) * std::clamp(r - inner + 0.5, 0., 1.);
      p.pixels[std::size_t(y) * p.width + x] = std::uint8_t(std::lround(255 * (1 - ink)));
    }
  return p;
}

TEST(PixelPipeline, CrispRingGivesTwoLoopsOnItsEdges) {
  const Picture8 picture = ring(60, 30);
  std::vector<Finding> findings;
  const auto loops = loops_from_pixels(picture.view(), {}, {}, findings);
  ASSERT_TRUE(loops.ok()) << loops.error().message;
  ASSERT_EQ(loops->loops.size(), 2u);
  for (const Loop& loop : loops->loops) {
    EXPECT_EQ(loop.kind, Kind::filled);
    const double area = signed_area_px2(loop.points);
    const double radius = area > 0 ? 60 : 30;  // the outer loop runs clockwise on screen, the counter the other way
    for (const Point& p : loop.points) EXPECT_NEAR(std::hypot(p.x - 100, p.y - 80), radius, 0.12);
  }
  EXPECT_GT(signed_area_px2(loops->loops[0].points) * -signed_area_px2(loops->loops[1].points), 0);
}

TEST(PixelPipeline, NothingDrawnIsAnErrorThatSaysSo) {
  for (const auto& picture : {Picture8(1, 1, 255), Picture8(1, 1, 0), Picture8(64, 48, 255), Picture8(64, 48, 0),
                              Picture8(64, 48, 128), Picture8(300, 1, 200), Picture8(1, 300, 7), Picture8(2, 2, 9)}) {
    std::vector<Finding> findings;
    const auto loops = loops_from_pixels(picture.view(), {}, {}, findings);
    ASSERT_FALSE(loops.ok()) << picture.width << "x" << picture.height;
    EXPECT_EQ(loops.error().code, ErrorCode::no_ink_found);
    EXPECT_NE(loops.error().message.find("check"), std::string::npos);
  }
}

// Reduced copies of a narrow strip have rows left, or are not made.
TEST(PixelPipeline, NarrowStripsComeThrough) {
  for (const auto& [width, height] :
       {std::pair{3000, 1}, {1, 3000}, {5000, 2}, {9000, 3}, {3, 9000}, {20000, 7}, {6000, 40}})
    for (const auto drawing : {Options::DrawingKind::automatic, Options::DrawingKind::lines}) {
      Picture8 picture(width, height, 245);
      for (int y = height / 4; y <= 3 * height / 4; ++y)
        for (int x = width / 4; x <= 3 * width / 4; ++x)
          if ((x + y) % 50 < 20) picture.pixels[std::size_t(y) * width + x] = 40;
      Options options;
      options.drawing = drawing;
      std::vector<Finding> findings;
      const auto loops = loops_from_pixels(picture.view(), options, {}, findings);
      EXPECT_TRUE(loops.ok() || loops.error().code == ErrorCode::no_ink_found) << width << "x" << height;
    }
}

TEST(PixelPipeline, CancelledBeforeItStarts) {
  const Picture8 picture = ring(60, 30);
  std::stop_source source;
  source.request_stop();
  Job job;
  job.stop = source.get_token();
  std::vector<Finding> findings;
  const auto loops = loops_from_pixels(picture.view(), {}, job, findings);
  ASSERT_FALSE(loops.ok());
  EXPECT_EQ(loops.error().code, ErrorCode::cancelled);
}

// Stops when the progress passes each of many marks: the stages must notice, whatever they are doing.
TEST(PixelPipeline, CancelledAnywhere) {
  const Picture8 picture = ring(60, 30);
  int cancelled = 0;
  for (double mark = 0.02; mark < 0.5; mark += 0.04) {
    std::stop_source source;
    Job job;
    job.stop = source.get_token();
    job.progress = [&](Stage, double f) {
      if (f >= mark) source.request_stop();
    };
    std::vector<Finding> findings;
    const auto loops = loops_from_pixels(picture.view(), {}, job, findings);
    if (loops.ok()) continue;  // the mark was passed by the last call
    EXPECT_EQ(loops.error().code, ErrorCode::cancelled);
    ++cancelled;
  }
  EXPECT_GT(cancelled, 6);
}

TEST(PixelPipeline, ProgressNeverFalls) {
  const Picture8 picture = ring(60, 30);
  double last = 0;
  Job job;
  job.progress = [&](Stage, double f) {
    EXPECT_GE(f, last);
    EXPECT_LE(f, pixel_half_share);
    last = f;
  };
  std::vector<Finding> findings;
  EXPECT_TRUE(loops_from_pixels(picture.view(), {}, job, findings).ok());
  EXPECT_NEAR(last, pixel_half_share, 1e-9);
}

TEST(PixelPipeline, SameLoopsFromRunToRun) {
  const Picture8 picture = ring(55.3, 31.7);
  std::vector<Finding> findings;
  const auto a = loops_from_pixels(picture.view(), {}, {}, findings),
             b = loops_from_pixels(picture.view(), {}, {}, findings);
  ASSERT_TRUE(a.ok() && b.ok());
  ASSERT_EQ(a->loops.size(), b->loops.size());
  for (std::size_t i = 0; i < a->loops.size(); ++i) EXPECT_TRUE(a->loops[i].points == b->loops[i].points);
}

}  // namespace
}  // namespace batten
