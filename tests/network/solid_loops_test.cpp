#include "network/solid_loops.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "base/polyline.h"
#include "support/pencil_sheet.h"

namespace batten {
namespace {

using testing::PencilSheet;

// A large black disc, a short black bar beside it, and pale lines that lead to both and past them.
Ink shapes_on_pale_lines() {
  PencilSheet sheet(500, 400);
  double darkness = 0.06;  // construction lines are drawn lightly, and no two alike
  for (const Point to : {Point{20, 30}, Point{30, 360}, Point{470, 380}, Point{250, 20}, Point{480, 40}})
    for (const Point from : {Point{180, 200}, Point{330, 390}}) sheet.line(from, to, 3, darkness += 0.03);
  sheet.disc({180, 200}, 70, 0.95);
  sheet.line({285, 120}, {325, 120}, 14, 0.95);
  const auto scanned = sheet.scan(81);
  const Job job;
  Progress progress(job, Stage::patches, 0, 1);
  auto scan = load_scan(scanned.view(), progress);
  return *separate_ink(*scan, progress);
}

LineMask lines_of(const Ink& ink, const Plane<std::uint8_t>& left_out) {
  const Job job;
  return *find_lines(ink, left_out, 1, Progress(job, Stage::locate, 0, 1));
}

// 1 in a circle round a place.
Plane<std::uint8_t> round_plane(const Ink& ink, Point at, int radius_px) {
  Plane<std::uint8_t> out(ink.ink.width, ink.ink.height);
  for (int y = int(at.y) - radius_px; y < int(at.y) + radius_px; ++y)
    for (int x = int(at.x) - radius_px; x < int(at.x) + radius_px; ++x)
      out.at(x, y) = std::hypot(x + 0.5 - at.x, y + 0.5 - at.y) < radius_px;
  return out;
}

TEST(SolidLoops, WherePaleLinesAreConstructionSmallSolidsCountToo) {
  const Ink ink = shapes_on_pale_lines();
  const LineMask mask = lines_of(ink, {});
  EXPECT_TRUE(lines_are_construction(ink, mask, {}));
  EXPECT_EQ(solid_loops(ink, mask, {}).size(), 1u) << "the bar is no thicker than lines that run together";
  const std::vector<Loop> loops = solid_loops(ink, with_small_solids(ink, {}, {}, mask), {});
  ASSERT_EQ(loops.size(), 2u);
  for (const Loop& loop : loops) {
    const bool large = std::abs(signed_area_px2(loop.points)) > 5000;
    for (const Point p : loop.points) {
      const Point nearest = large ? Point{180, 200} : Point{std::clamp(p.x, 285., 325.), 120};
      EXPECT_NEAR(distance(p, nearest), large ? 70 : 7, 1.2);
    }
  }
}

// The large disc was found before, as a filled patch: what is left of the sheet is pale lines and the bar.
TEST(SolidLoops, FilledShapesBesideTheNetworkTellWhatIsConstruction) {
  const Ink ink = shapes_on_pale_lines();
  const Plane<std::uint8_t> large = round_plane(ink, {180, 200}, 74);
  const LineMask mask = lines_of(ink, large);
  EXPECT_FALSE(lines_are_construction(ink, mask, {}));
  EXPECT_TRUE(lines_are_construction(ink, mask, large));
  const std::vector<Loop> loops = solid_loops(ink, with_small_solids(ink, large, large, mask), {});
  ASSERT_EQ(loops.size(), 1u) << "and not the large one again";
  EXPECT_NEAR(std::abs(signed_area_px2(loops[0].points)), 3.14159 * 7 * 7 + 40 * 14, 60);
}

}  // namespace
}  // namespace batten
