// Read access to what was located: each line fitted with a tolerance of its own.
#include <batten/convert.h>

#include <cmath>
#include <iostream>
#include <vector>

// A sheet of 260 x 140 px with two rings, drawn with lines 4 and 10 px wide.
static std::vector<unsigned char> two_rings(int width, int height) {
  std::vector<unsigned char> pixels;
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const double thin = std::abs(std::hypot(x + 0.5 - 70, y + 0.5 - 70) - 45) - 2;
      const double broad = std::abs(std::hypot(x + 0.5 - 190, y + 0.5 - 70) - 45) - 5;
      const double paper = std::min(1.0, std::max(0.0, std::min(thin, broad) + 0.5));
      pixels.push_back(static_cast<unsigned char>(60 + 180 * paper));
    }
  return pixels;
}

int main() {
  constexpr int width = 260, height = 140;
  const std::vector<unsigned char> pixels = two_rings(width, height);
  const auto located = batten::locate({pixels.data(), width, height, width, batten::PixelFormat::gray8},
                                      {.drawing = batten::Options::DrawingKind::outlined});
  if (!located) return std::cerr << located.error().message << '\n', 1;

  //! [loops]
  for (const batten::LocatedLoop& loop : located->loops()) {
    // A tolerance of its own: a fifth of the line's width, but no finer than the line is known.
    batten::Options options;
    options.tolerance_px = std::max(0.2 * loop.band_px, 2.6 * loop.sigma_px);
    const batten::PolylineView line{loop.points, loop.closed, loop.sigma_px, {}, loop.correlation_px, loop.band_px};
    const auto fitted = batten::fit({&line, 1}, options);
    if (!fitted) return std::cerr << fitted.error().message << '\n', 1;
    std::cout << "a line " << std::lround(loop.band_px) << " px wide: " << fitted->report.segments
              << " segments, within its tolerance: " << (fitted->report.within_tolerance ? "yes" : "no") << '\n';
  }
  //! [loops]
}
