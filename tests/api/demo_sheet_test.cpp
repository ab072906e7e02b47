#include <gtest/gtest.h>

#include <fstream>
#include <iterator>
#include <string>

#include "batten/measure.h"
#include "support/demo.h"
#include "support/png.h"

namespace batten {
namespace {

std::string read(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(in), {}};
}

TEST(DemoSheet, IsMadeAgainBitForBit) {
  const support::Demo demo = support::demo_sheet();
  ASSERT_FALSE(demo.truth.outlines.empty()) << "apt-get install fonts-goudybookletter";
  const std::string kept = read(BATTEN_DATA_DIR "/quombe-sheet.png");
  ASSERT_FALSE(kept.empty());
  EXPECT_LT(kept.size(), 1500000u);
  EXPECT_TRUE(kept == support::png_bytes(demo.image, demo.dpi));
  EXPECT_NE(kept.find("pHYs"), std::string::npos);
}

TEST(DemoSheet, TruthIsAWellFormedDrawing) {
  const Drawing truth = support::demo_sheet().truth;
  ASSERT_EQ(truth.outlines.size(), 12u);  // Q 2, u 1, o 2, m 1, b 2, e 2, two leaves
  for (const Outline& outline : truth.outlines) {
    EXPECT_FALSE(crosses_itself(outline));
    EXPECT_EQ(signed_area_px2(outline) > 0, outline.parent < 0);
  }
}

}  // namespace
}  // namespace batten
