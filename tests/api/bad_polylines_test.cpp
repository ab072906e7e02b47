// What fit() does with polylines that are no outline: a clear error or a sane result, never a crash or a hang.
#include <gtest/gtest.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <limits>

#include "batten/convert.h"
#include "batten/measure.h"
#include "support/random.h"
#include "support/shapes.h"

namespace batten {
namespace {

using Loops = std::vector<std::vector<Point>>;

void expect_refused(const Loops& loops, const char* what) {
  const auto result = fit(loops);
  ASSERT_FALSE(result.ok()) << what;
  EXPECT_EQ(result.error().code, ErrorCode::bad_polyline) << what;
  EXPECT_FALSE(result.error().message.empty()) << what;
  EXPECT_EQ(result.error().message.find('\n'), std::string::npos) << what;
}

void expect_sane(const Loops& loops, const char* what) {
  const auto result = fit(loops);
  if (!result) {
    EXPECT_EQ(result.error().code, ErrorCode::bad_polyline) << what << ": " << result.error().message;
    return;
  }
  for (const Outline& o : result->drawing.outlines) {
    EXPECT_LT(o.nodes.size(), 500u) << what;
    for (const Node& n : o.nodes)
      for (const Point p : {n.handle_before, n.at, n.handle_after})
        EXPECT_TRUE(std::isfinite(p.x) && std::isfinite(p.y) && std::abs(p.x) < 1e5 && std::abs(p.y) < 1e5) << what;
  }
}

TEST(BadPolylines, AreRefusedWithASentence) {
  const std::vector<Point> good = support::circle_points({50, 50}, 30, 0.5);
  for (const double bad :
       {std::nan(""), std::numeric_limits<double>::infinity(), -std::numeric_limits<double>::infinity()}) {
    Loops loops{good, good};
    loops[1][7].y = bad;
    expect_refused(loops, "not finite");
  }
  expect_refused({{}}, "empty");
  expect_refused({{{0, 0}, {50, 0}}}, "two points");  // three are a triangle
  expect_refused({std::vector<Point>(100, Point{3, 3})}, "all the same point");
}

// Ten points thrown onto sheets of any size: the spacing of points used to grow with the size, and the cells of the
// look-up with its square. The largest are a hundred times as wide as any scan.
TEST(BadPolylines, TenPointsAreDoneInAMomentHoweverFarApart) {
  support::Random random(11);
  for (const double size : {1e2, 1e3, 1e4, 1e5, 1e6, 9e6}) {
    Loops loops{{}};
    for (int i = 0; i < 10; ++i) loops[0].push_back({size * random.uniform(), size * random.uniform()});
    const auto begin = std::chrono::steady_clock::now();
    const auto result = fit(loops);
    ASSERT_TRUE(result) << result.error().message;
    EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(15)) << size;  // 1 to 3 s on an idle core
    // Points at random cross themselves mostly: the outline does as the line that was given, and a finding says so.
    const std::vector<Finding>& findings = result->report.findings;
    ASSERT_EQ(result->drawing.outlines.size(), 1u) << size;
    EXPECT_EQ(std::any_of(findings.begin(), findings.end(),
                          [](const Finding& f) { return f.what == Finding::What::crossing_outline; }),
              crosses_itself(result->drawing.outlines[0]))
        << size;
    for (const Outline& outline : result->drawing.outlines)
      for (const Node& n : outline.nodes) EXPECT_TRUE(std::isfinite(n.at.x) && std::isfinite(n.at.y)) << size;
  }
}

TEST(BadPolylines, NoLoopsGiveAnEmptyDrawing) {
  const auto result = fit(Loops{});
  if (result)
    EXPECT_TRUE(result->drawing.outlines.empty());
  else
    EXPECT_FALSE(result.error().message.empty());
}

TEST(BadPolylines, OddOnesGiveAnErrorOrASaneResult) {
  expect_sane({support::points_of(support::polygon({{0, 0}, {100, 100}, {100, 0}, {0, 100}}), 0.5)}, "figure of eight");
  expect_sane({support::points_of(support::polygon({{0, 0}, {100, 0}, {100, 0.01}, {0, 0.01}}), 0.5)}, "sliver");
  expect_sane({support::points_of(support::polygon({{0, 0}, {100, 0}}), 0.5)}, "there and back");
  expect_sane({support::points_of(support::polygon({{0, 0}, {100, 0}, {100, 100}, {0, 100}}), 20)}, "sparse square");
  std::vector<Point> doubled = support::circle_points({50, 50}, 30, 0.5);
  const std::vector<Point> lap = doubled;
  doubled.insert(doubled.end(), lap.begin(), lap.end());
  expect_sane({doubled}, "two laps");
  std::vector<Point> repeated;
  for (const Point p : lap) repeated.insert(repeated.end(), 3, p);
  expect_sane({repeated}, "each point three times");
  std::vector<Point> closed = lap;
  closed.push_back(lap.front());
  expect_sane({closed}, "last equals first");
  for (std::uint64_t c = 0; c < 3; ++c) {
    support::Random random("BadPolylines", "Noise", c);
    std::vector<Point> noise;
    for (int i = 0; i < 40; ++i) noise.push_back({random.uniform(0, 100), random.uniform(0, 100)});
    expect_sane({noise}, "points thrown at random");
    std::vector<Point> tiny;
    for (int i = 0; i < 12; ++i) tiny.push_back({50 + random.normal(1.5), 50 + random.normal(1.5)});
    expect_sane({tiny}, "a tiny tangle");
    std::vector<Point> hairy = support::circle_points({60, 60}, 40, 0.5);
    for (Point& p : hairy) p = p + Point{random.normal(0.4), random.normal(0.4)};
    expect_sane({hairy}, "a hairy circle");
  }
}

}  // namespace
}  // namespace batten
