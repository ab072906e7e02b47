#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "batten/convert.h"

namespace batten {
namespace {

std::optional<Error> with(void (*change)(Options&)) {
  Options options;
  change(options);
  return check(options);
}

void expect_refused(void (*change)(Options&), const char* field) {
  const std::optional<Error> error = with(change);
  ASSERT_TRUE(error.has_value()) << field;
  EXPECT_EQ(error->code, ErrorCode::bad_option);
  EXPECT_EQ(error->place, field);
  EXPECT_TRUE(error->message.ends_with('.')) << error->message;
}

TEST(CheckOptions, DefaultsAndEdgesAreAccepted) {
  EXPECT_FALSE(check(Options{}));
  EXPECT_FALSE(with([](Options& o) { o.tolerance_px.reset(); }));
  EXPECT_FALSE(with([](Options& o) { o.tolerance_px = 1e-3; }));
  EXPECT_FALSE(with([](Options& o) { o.dpi = 1200; }));
  EXPECT_FALSE(with([](Options& o) { o.threads = 64; }));
  EXPECT_FALSE(with([](Options& o) { o.threads = 0; }));
}

TEST(CheckOptions, EveryFieldOutOfRangeIsNamed) {
  expect_refused([](Options& o) { o.tolerance_px = 0; }, "tolerance_px");
  expect_refused([](Options& o) { o.tolerance_px = -1; }, "tolerance_px");
  expect_refused([](Options& o) { o.tolerance_px = std::nan(""); }, "tolerance_px");
  expect_refused([](Options& o) { o.tolerance_px = std::numeric_limits<double>::infinity(); }, "tolerance_px");
  expect_refused([](Options& o) { o.dpi = -300; }, "dpi");
  expect_refused([](Options& o) { o.dpi = std::nan(""); }, "dpi");
  expect_refused([](Options& o) { o.threads = -1; }, "threads");
  expect_refused([](Options& o) { o.threads = 1025; }, "threads");
  expect_refused([](Options& o) { o.grid_px = 1e-300; }, "grid_px");  // more steps than can be counted
  expect_refused([](Options& o) { o.grid_px = std::nan(""); }, "grid_px");
  expect_refused([](Options& o) { o.extremes = static_cast<Options::Extremes>(7); }, "extremes");
  expect_refused([](Options& o) { o.drawing = static_cast<Options::DrawingKind>(-1); }, "drawing");
}

TEST(Names, EveryValueHasAWordOfItsOwn) {
  std::vector<std::string> words;
  for (int i = 0; i < reason_count; ++i) words.push_back(name_of(static_cast<Reason>(i)));
  for (const Kind kind : {Kind::outlined, Kind::filled, Kind::line}) words.push_back(name_of(kind));
  for (int i = 0; i <= static_cast<int>(Finding::What::tolerance_widened); ++i)
    words.push_back(name_of(static_cast<Finding::What>(i)));
  std::sort(words.begin(), words.end());
  EXPECT_EQ(std::adjacent_find(words.begin(), words.end()), words.end());
  EXPECT_EQ(std::count(words.begin(), words.end(), "unknown"), 0);
}

}  // namespace
}  // namespace batten
