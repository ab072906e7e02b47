#include <gtest/gtest.h>

#include <cmath>

#include "batten/files.h"
#include "support/encode.h"
#include "support/pictures.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

Picture picture_of(const Raster& raster) {
  const Scratch scratch;
  return *read_picture(scratch.put("scan.png", png(raster, {.dpi = 300})));
}

Raster drawn(const Picture& picture, const Drawing& drawing, double scale) {
  const Scratch scratch;
  const Result<std::string> png = draw_overlay(picture, drawing, scale);
  EXPECT_TRUE(png.ok());
  return raster_of(*read_picture(scratch.put("overlay.png", *png)));
}

// A square from 20 to 80 px, its left upper corner with handles.
Drawing square() {
  Drawing drawing;
  Outline outline;
  for (const Point p : {Point{20, 20}, Point{80, 20}, Point{80, 80}, Point{20, 80}})
    outline.nodes.push_back({p, p, p, false, Reason::corner});
  outline.nodes[3].handle_before = {60, 95};
  drawing.outlines = {outline};
  return drawing;
}

double colourfulness(const Raster& raster, int x, int y) {
  const int r = raster.at(x, y, 0), g = raster.at(x, y, 1), b = raster.at(x, y, 2);
  return std::max({r, g, b}) - std::min({r, g, b});
}

TEST(DrawOverlay, HasTheScaledSizeAndTheScaledResolution) {
  const Scratch scratch;
  const Result<std::string> png = draw_overlay(picture_of(paper(100, 60)), {}, 3);
  ASSERT_TRUE(png.ok());
  const Result<Picture> read = read_picture(scratch.put("overlay.png", *png));
  EXPECT_EQ(read->width, 300);
  EXPECT_EQ(read->height, 180);
  EXPECT_EQ(read->dpi, 900);
}

TEST(DrawOverlay, InkStaysVisibleButLighter) {
  Raster scan = paper(100, 100);
  add_disc(scan, 50, 50, 30);
  const Raster overlay = drawn(picture_of(scan), {}, 1);
  EXPECT_EQ(overlay.at(5, 5, 0), 255);
  EXPECT_GT(overlay.at(50, 50, 0), 60);
  EXPECT_LT(overlay.at(50, 50, 0), 200);
  EXPECT_EQ(colourfulness(overlay, 50, 50), 0);
}

TEST(DrawOverlay, OutlineNodesAndHandlesLieWhereTheyBelong) {
  const Raster overlay = drawn(picture_of(paper(100, 100)), square(), 4);
  EXPECT_GT(colourfulness(overlay, 4 * 50, 4 * 20), 60) << "upper side";
  EXPECT_GT(colourfulness(overlay, 4 * 80, 4 * 50), 60) << "right side";
  EXPECT_GT(colourfulness(overlay, 4 * 20, 4 * 20), 60) << "a node";
  EXPECT_GT(colourfulness(overlay, 4 * 40, 4 * 87 + 2), 25) << "half-way along the handle";
  EXPECT_EQ(colourfulness(overlay, 4 * 95, 4 * 5), 0) << "outside";
  // Nodes differ from the outline, and every node has the same colour.
  for (int c = 0; c < 3; ++c) EXPECT_EQ(overlay.at(4 * 20, 4 * 20, c), overlay.at(4 * 80, 4 * 80, c));
  EXPECT_GT(overlay.at(80, 80, 0), overlay.at(200, 80, 0) + 50);
}

TEST(DrawOverlay, LettersComeWithAScaleOfTwo) {
  const auto coloured = [](const Raster& overlay, double scale) {
    int count = 0;  // in the box right of and above the upper right node
    for (int y = static_cast<int>(scale * 20) - 16; y < scale * 20 - 4; ++y)
      for (int x = static_cast<int>(scale * 80) + 4; x < scale * 80 + 14; ++x)
        count += colourfulness(overlay, x, y) > 60;
    return count;
  };
  EXPECT_EQ(coloured(drawn(picture_of(paper(100, 100)), square(), 1), 1), 0);
  EXPECT_GT(coloured(drawn(picture_of(paper(100, 100)), square(), 2), 2), 5);
}

TEST(DrawOverlay, DeepAndTransparentScansAreLaidOverWhite) {
  Raster deep{4, 4, 4, 16, std::vector<std::uint16_t>(64, 0)};  // black, fully transparent
  EXPECT_EQ(drawn(picture_of(deep), {}, 1).at(1, 1, 0), 255);
  for (std::size_t i = 3; i < deep.samples.size(); i += 4) deep.samples[i] = 65535;
  EXPECT_LT(drawn(picture_of(deep), {}, 1).at(1, 1, 0), 200);
}

TEST(DrawOverlay, RefusesWhatItCannotDraw) {
  EXPECT_EQ(draw_overlay({}, {}, 2).error().code, ErrorCode::bad_pixels);
  for (const double scale : {0.0, 0.5, std::nan(""), 1e9})
    EXPECT_EQ(draw_overlay(picture_of(paper(5, 5)), {}, scale).error().code, ErrorCode::bad_option);
}

TEST(DrawOverlay, LowersTheScaleWhereASideWouldGrowTooLong) {
  EXPECT_EQ(drawn(picture_of(paper(3200, 2)), {}, 100).width, 32000);
}

}  // namespace
}  // namespace batten
