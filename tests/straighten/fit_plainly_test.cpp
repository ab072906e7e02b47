#include "straighten/fit_plainly.h"

#include <gtest/gtest.h>

#include "fit/segment_data.h"
#include "support/drafts.h"

namespace batten {
namespace {

SpacedLoop band(const std::vector<Point>& points) {
  SpacedLoop loop = support::exact_loop(points);
  loop.kind = Kind::outlined, loop.band_px = loop.scale_px = 8, loop.sigma_px = 0.4, loop.rounding_px = 2.4;
  return loop;
}

// Two corners whose zones meet hide what lies between them from the fit's own measure, and not from the independent
// one; fitted plainly it is held.
TEST(FitPlainly, WhatCornersHideIsHeld) {
  std::vector<Point> points{{0, 0}};
  for (double x = 0; x <= 60; x += 0.5) points.push_back({100 + x, 12 * std::pow(std::sin(pi * x / 60), 2)});
  points.insert(points.end(), {{260, 0}, {260, 150}, {0, 150}});
  const SpacedLoop loop = band(points);
  DraftLoop d = support::draft_of(loop, support::polygon({{100, 0}, {160, 0}, {260, 0}, {260, 150}, {0, 150}, {0, 0}}));
  d.nodes[0].zone_px = d.nodes[1].zone_px = 30;
  EXPECT_GT(strayed_px(loop, d), 10);
  const DraftLoop plain = fit_plainly(loop, 2, std::vector<char>(d.size(), 1), d, {});
  EXPECT_LE(strayed_px(loop, plain), 2);
  std::size_t corners = 0;
  for (const DraftNode& n : plain.nodes) corners += n.corner;
  EXPECT_EQ(corners, 6u) << "all that were kept";
}

TEST(FitPlainly, ARoundWithoutCornersNeedsNone) {
  const SpacedLoop loop = band(support::circle_points({100, 100}, 60, 0.2));
  const DraftLoop d = support::draft_of(loop, support::polygon({{160, 100}, {100, 160}, {40, 100}, {100, 40}}));
  ASSERT_GT(strayed_px(loop, d), 10);
  const DraftLoop plain = fit_plainly(loop, 2, std::vector<char>(d.size(), 0), d, {});
  EXPECT_LT(support::off_circle_px(plain, {100, 100}, 60), 2);
  EXPECT_LE(plain.size(), 5u);
}

}  // namespace
}  // namespace batten
