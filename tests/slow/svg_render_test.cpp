// An independent renderer (librsvg) paints the SVG; it must look like the scan.

#include <gtest/gtest.h>

#include <cmath>

#include "batten/files.h"
#include "batten/write.h"
#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

// Black laid over white by librsvg, as 0..1 of ink per pixel.
std::vector<double> rendered_ink(const Scratch& scratch, const Drawing& drawing) {
  const std::string svg = scratch.put("drawing.svg", to_svg(drawing)), png = scratch / "drawing.png";
  const std::string width = std::to_string(std::lround(drawing.width_px));
  const Ran ran = run("rsvg-convert", {"--background-color=white", "-w", width, "-o", png, svg});
  EXPECT_EQ(ran.status, 0) << "apt-get install librsvg2-bin: " << ran.err;
  const Result<Picture> picture = read_picture(png);
  EXPECT_TRUE(picture.ok());
  std::vector<double> ink;
  if (!picture.ok()) return ink;
  const Raster raster = raster_of(*picture);
  for (int y = 0; y < raster.height; ++y)
    for (int x = 0; x < raster.width; ++x) ink.push_back(1 - raster.at(x, y, 0) / 255.0);
  return ink;
}

TEST(SvgRender, LooksLikeTheScan) {
  const Scratch scratch;
  const Raster scan = ring_and_disc();
  const Result<Picture> picture = read_picture(scratch.put("scan.png", png(scan, {.dpi = 300})));
  ASSERT_TRUE(picture.ok());
  const Result<Conversion> traced = convert(picture->view(), {.tolerance_px = 0.5, .dpi = 300});
  ASSERT_TRUE(traced.ok()) << traced.error().message;
  const std::vector<double> ink = rendered_ink(scratch, traced->drawing);
  ASSERT_EQ(ink.size(), scan.samples.size());
  double difference = 0, worst = 0;
  for (std::size_t i = 0; i < ink.size(); ++i) {
    const double d = std::fabs(ink[i] - (1 - scan.samples[i] / 255.0));
    difference += d, worst = std::max(worst, d);
  }
  // The area between two edges is their mean distance times their length: three circles, 2 pi (90 + 50 + 60) px.
  const double edge_px = 2 * 3.14159265358979 * (90 + 50 + 60);
  EXPECT_LT(difference / edge_px, 0.1) << "mean distance of the edges, px";
  EXPECT_LT(worst, 0.5 + 0.1)
      << "no pixel is off by more than the tolerance of half a pixel and the renderer's own error";
}

// Counters must stay white whatever the renderer makes of directions: nonzero fill needs them turned the other way.
TEST(SvgRender, CountersStayWhite) {
  const Scratch scratch;
  const Raster scan = ring_and_disc();
  const Result<Picture> picture = read_picture(scratch.put("scan.png", png(scan)));
  ASSERT_TRUE(picture.ok());
  const Result<Conversion> traced = convert(picture->view());
  ASSERT_TRUE(traced.ok());
  const std::vector<double> ink = rendered_ink(scratch, traced->drawing);
  ASSERT_EQ(ink.size(), scan.samples.size());
  EXPECT_LT(ink[120 * 420 + 120], 0.01) << "middle of the ring";
  EXPECT_GT(ink[120 * 420 + 50], 0.99) << "on the ring";
  EXPECT_GT(ink[120 * 420 + 320], 0.99) << "middle of the disc";
}

}  // namespace
}  // namespace batten
