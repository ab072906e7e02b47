// Pixels and options: a small picture with strokes where the bytes say, any options within and beyond their ranges.

#include <algorithm>
#include <vector>

#include "fuzz.h"

namespace {

using namespace batten;

// Lines between places, as wide and as dark as the bytes say, on paper; then single pixels.
void draw(fuzz::Input& in, int width, int height, std::vector<std::uint8_t>& pixels) {
  const int strokes = in.below(12);
  for (int i = 0; i < strokes; ++i) {
    const double x0 = in.below(width), y0 = in.below(height), x1 = in.below(width), y1 = in.below(height);
    const int half = in.below(4), dark = in.byte();
    const double steps = std::max({std::abs(x1 - x0), std::abs(y1 - y0), 1.0});
    for (double k = 0; k <= steps; ++k)
      for (int dy = -half; dy <= half; ++dy)
        for (int dx = -half; dx <= half; ++dx) {
          const int x = int(x0 + k / steps * (x1 - x0)) + dx, y = int(y0 + k / steps * (y1 - y0)) + dy;
          if (x >= 0 && y >= 0 && x < width && y < height) pixels[std::size_t(y * width + x)] = std::uint8_t(dark);
        }
  }
  while (!in.empty()) {
    const std::size_t at = std::size_t(in.below(int(pixels.size())));
    pixels[at] = in.byte();
  }
}

Options options_of(fuzz::Input& in) {
  Options o;
  const std::uint8_t kind = in.byte();
  if (kind & 1) o.tolerance_px = in.number();
  if (kind & 2) o.tolerance_px.reset();
  o.drawing = Options::DrawingKind(in.byte() % 4);
  o.output = Options::Output(in.byte() % 3);
  o.extremes = kind & 4 ? Options::Extremes::free : Options::Extremes::required;
  o.construction = kind & 8 ? Options::Construction::keep : Options::Construction::leave_out;
  o.symmetry = kind & 16, o.deskew = kind & 32;
  if (kind & 64) o.grid_px = in.number();
  if (kind & 128) o.dpi = in.number();
  return o;
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  fuzz::Input in(bytes, size);
  const Options options = options_of(in);
  const int width = 1 + in.below(160), height = 1 + in.below(160);
  std::vector<std::uint8_t> pixels(std::size_t(width * height), in.byte() | 0x80);
  draw(in, width, height, pixels);
  const Result<Conversion> made = convert({pixels.data(), width, height, width, PixelFormat::gray8}, options);
  if (made)
    fuzz::expect_sound(*made);
  else
    fuzz::expect_sentence(made.error());
  return 0;
}
