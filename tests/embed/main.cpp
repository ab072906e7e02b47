// Pixels of the embedder's own in, an outline out: a black disc on white has one outline of four segments.
#include <batten/convert.h>
#include <batten/version.h>
#include <batten/write.h>

#include <cmath>
#include <cstdio>
#include <vector>

int main() {
  constexpr int side = 200;
  std::vector<std::uint8_t> grey(side * side);
  for (int y = 0; y < side; ++y)
    for (int x = 0; x < side; ++x) {
      const double outside = std::hypot(x + 0.5 - 100, y + 0.5 - 100) - 60;  // px from the disc's edge
      grey[static_cast<std::size_t>(y * side + x)] =
          static_cast<std::uint8_t>(std::lround(255 * std::fmin(1, std::fmax(0, outside + 0.5))));
    }
  const auto traced = batten::convert({grey.data(), side, side, side, batten::PixelFormat::gray8});
  if (!traced) return std::fprintf(stderr, "%s\n", traced.error().message.c_str()), 1;
  std::printf("batten %s: %zu outlines, %zu segments\n%s", BATTEN_VERSION, traced->drawing.outlines.size(),
              traced->report.segments, batten::to_svg(traced->drawing).c_str());
  return traced->drawing.outlines.size() == 1 && traced->report.segments == 4 ? 0 : 1;
}
