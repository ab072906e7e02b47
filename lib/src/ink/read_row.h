#pragma once
// Reads the caller's pixels, row by row, whatever their format.

#include <vector>

#include "batten/convert.h"

namespace batten {

/// How the samples of a pixel lie in memory.
struct Layout {
  int samples = 0;  ///< of each pixel; 0: the format is unknown
  int bytes = 0;    ///< of each sample
  bool blue_first = false;
  bool premultiplied = false;
};

Layout layout_of(PixelFormat format);

/// One row of samples, 0 black .. 1 white, laid over white.
struct Row {
  std::vector<float> red, green, blue;
  explicit Row(int width) : red(std::size_t(width)), green(std::size_t(width)), blue(std::size_t(width)) {}
};

/// Reads row `y` of a picture that was checked. All three samples are alike for grey pictures.
void read_row(const ImageView& image, const Layout& layout, int y, Row* row);

}  // namespace batten
