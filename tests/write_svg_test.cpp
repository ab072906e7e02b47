#include <gtest/gtest.h>

#include "batten/write.h"

namespace batten {
TEST(WriteSvg, EmptyDrawing) {
  EXPECT_NE(to_svg({.width_px = 10, .height_px = 5}).find("viewBox=\"0 0 10 5\""), std::string::npos);
}
}  // namespace batten
