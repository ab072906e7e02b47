// What lies under a pencil drawing and on it: printed ruling, construction lines, a shadow.

#include <algorithm>
#include <array>
#include <cmath>

#include "support/pencil.h"

namespace batten::support {
namespace {

// Share of a pixel that a printed line covers, from the distance of their middles.
float covered(double away_px, double width_px) { return float(std::clamp(width_px / 2 + 0.5 - away_px, 0.0, 1.0)); }

}  // namespace

void Sheet::construct(Point low, Point high) {
  const double lightness = random_.uniform(0.16, 0.28);  // a third to a half of what draws the letter
  const auto line = [&](Point from, Point to) {
    const Point d = to - from;
    const double past = random_.uniform(0.1, 0.25);
    const auto miss = [&] { return Point{random_.normal(1), random_.normal(1)}; };
    rule(from - past * d + miss(), to + past * d + miss(), lightness * random_.uniform(0.85, 1.15), 2);
  };
  const double middle = (low.y + high.y) / 2;
  for (const double y : {low.y, middle, high.y}) line({low.x, y}, {high.x, y});
  for (const double x : {low.x, high.x}) line({x, low.y}, {x, high.y});
  line(low, high);
}

void Sheet::print(Ruling ruling) {
  const double pitch = random_.uniform(28, 40), slope = random_.normal(0.006), darkness = random_.uniform(0.12, 0.2);
  const double first = random_.uniform(0, pitch), width = random_.uniform(1.2, 1.8);
  for (int y = 0; y < ink_.height; ++y)
    for (int x = 0; x < ink_.width; ++x) {
      // Nearest line above or below, and to the left or right where there are squares.
      const auto away = [&](double across) {
        const double u = (across - first) / pitch;
        return std::abs(u - std::round(u)) * pitch;
      };
      float print = covered(away(y - slope * x), width);
      if (ruling == Ruling::squared) print = std::max(print, covered(away(x + slope * y), width));
      ink_.at(x, y) = 1 - (1 - ink_.at(x, y)) * (1 - float(darkness) * print);
    }
}

GrayImage in_shadow(GrayImage image, Random random) {
  const double turn = random.uniform(0, 6.28), kept = random.uniform(0.7, 0.85), soft = random.uniform(2, 6);
  const Point middle{image.width * random.uniform(0.3, 0.7), image.height * random.uniform(0.3, 0.7)};
  for (int y = 0; y < image.height; ++y)
    for (int x = 0; x < image.width; ++x) {
      const double beyond = (x - middle.x) * std::cos(turn) + (y - middle.y) * std::sin(turn);
      const double light = 1 - (1 - kept) / (1 + std::exp(-beyond / soft));
      std::uint8_t& pixel = image.pixels[std::size_t(y) * std::size_t(image.width) + std::size_t(x)];
      pixel = std::uint8_t(std::lround(pixel * light));
    }
  return image;
}

}  // namespace batten::support
