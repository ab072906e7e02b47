// What was located can be read, and fitted again by the caller.

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

#include "batten/convert.h"
#include "batten/measure.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using namespace batten::testing;

PolylineView view_of(const LocatedLoop& l) { return {l.points, l.closed, l.sigma_px, {}, l.correlation_px, l.band_px}; }

TEST(LocatedLoops, LieOnWhatWasDrawnWithItsWidth) {
  PencilSheet sheet(400, 300);
  sheet.ring({200, 150}, 90, 6, 0.8);
  const auto located = locate(sheet.scan(7).view());
  ASSERT_TRUE(located.ok()) << located.error().message;
  const std::vector<LocatedLoop> loops = located->loops();
  ASSERT_EQ(loops.size(), 1u);
  EXPECT_TRUE(loops[0].closed);
  EXPECT_EQ(loops[0].kind, Kind::outlined);
  EXPECT_NEAR(loops[0].band_px, 6, 2.5) << "with its soft edges";
  EXPECT_GT(loops[0].sigma_px, 0);
  EXPECT_NEAR(loops[0].sigma_px, 0.07 * loops[0].band_px, 0.01) << "as is usual for its width";
  EXPECT_GT(loops[0].correlation_px, 0);
  EXPECT_GT(loops[0].points.size(), 300u);
  for (const Point p : loops[0].points) EXPECT_NEAR(std::hypot(p.x - 200, p.y - 150), 90, 0.6);
}

TEST(LocatedLoops, CanBeReadAsLongAsAnyCopyOfTheHandleLives) {
  std::optional<Located> kept;
  std::vector<LocatedLoop> loops;
  {
    const auto located = locate(box_and_ring().view());
    ASSERT_TRUE(located.ok());
    loops = located->loops();
    kept = *located;
  }
  double sum = 0;
  for (const LocatedLoop& l : loops)
    for (const Point p : l.points) sum += p.x;
  double again = 0;
  for (const LocatedLoop& l : kept->loops())
    for (const Point p : l.points) again += p.x;
  EXPECT_GT(sum, 0);
  EXPECT_EQ(sum, again);
}

TEST(LocatedLoops, ADrawingSaysWhatEachOutlineWasFittedTo) {
  const auto made = convert(box_and_ring().view());
  ASSERT_TRUE(made.ok());
  const std::vector<LocatedLoop> loops = located_loops(*made);
  ASSERT_EQ(loops.size(), made->drawing.outlines.size());
  for (std::size_t i = 0; i < loops.size(); ++i) {
    const Outline& o = made->drawing.outlines[i];
    EXPECT_EQ(loops[i].closed, o.closed);
    EXPECT_EQ(loops[i].sigma_px, o.sigma_px);
    EXPECT_EQ(loops[i].band_px, o.band_px);
    EXPECT_GT(loops[i].correlation_px, 0);
    // By another way than the report's: the public measure.
    EXPECT_LT(measure(o, loops[i].points).rms_px, made->report.tolerance_px);
  }
}

TEST(LocatedLoops, FittedByTheCallerTheyComeOutAsConvertHasThem) {
  const auto picture = box_and_ring();
  const auto located = locate(picture.view());
  ASSERT_TRUE(located.ok());
  Options options{.tolerance_px = 1};
  const auto whole = convert(*located, options);
  std::vector<PolylineView> views;
  for (const LocatedLoop& l : located->loops()) views.push_back(view_of(l));
  const auto fitted = fit(views, options);
  ASSERT_TRUE(whole.ok() && fitted.ok());
  // The same lines at the same tolerance: as many segments, though the corners were not held against the ink.
  EXPECT_EQ(fitted->report.segments, whole->report.segments);
  EXPECT_EQ(fitted->drawing.outlines.size(), whole->drawing.outlines.size());
  EXPECT_LE(fitted->report.max_px, 1);
  // What is known of the lines goes with them, and so do answers.
  EXPECT_NEAR(fitted->report.known_px, whole->report.known_px, 1e-9);
  EXPECT_EQ(fitted->report.within_tolerance, whole->report.within_tolerance);
  // Each at a tolerance of its own.
  options.tolerance_px = 4;
  const auto coarse = fit({&views[0], 1}, options);
  ASSERT_TRUE(coarse.ok());
  EXPECT_EQ(coarse->report.outlines[0].tolerance_px, 4);
  EXPECT_LE(coarse->report.segments, whole->report.outlines[0].segments);
}

}  // namespace
}  // namespace batten
