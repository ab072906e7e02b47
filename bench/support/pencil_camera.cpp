// A pencil sheet as a scanner or a phone sees it.

#include <algorithm>
#include <cmath>

#include "support/jpeg.h"
#include "support/pencil.h"

namespace batten::support {

GrayImage Sheet::developed(const Field& paper, double blur_px, double black, double sensor_noise) {
  const Field ink = blurred(ink_, blur_px);
  GrayImage image{ink_.width, ink_.height, std::vector<std::uint8_t>(ink_.values.size())};
  for (std::size_t i = 0; i < ink_.values.size(); ++i) {
    const double grey = paper.values[i] * (1 - ink.values[i]) + black * paper.values[i] / 240 * ink.values[i];
    image.pixels[i] = std::uint8_t(std::clamp(std::lround(grey + random_.normal(sensor_noise)), 0l, 255l));
  }
  return image;
}

GrayImage Sheet::scanned() {
  const int w = ink_.width, h = ink_.height;
  const double tone = random_.uniform(228, 244), fall = random_.uniform(3, 10), turn = random_.uniform(0, 6.28);
  const Field blotches = slow_noise(w, h, std::max(w, h) / 7.0, random_), grain = noise(w, h, 0.8, random_);
  Field paper(w, h);
  for (int y = 0; y < h; ++y)
    for (int x = 0; x < w; ++x) {
      const double ramp = (double(x) / w - 0.5) * std::cos(turn) + (double(y) / h - 0.5) * std::sin(turn);
      paper.at(x, y) = float(tone + fall * ramp + 2.2 * blotches.at(x, y) + 1.8 * grain.at(x, y));
    }
  const double black = random_.uniform(55, 80);
  GrayImage image = developed(paper, 0.5 * manner_.blur, black, 1.2 * manner_.sensor);
  return manner_.jpeg_quality > 0 ? through_jpeg(image, manner_.jpeg_quality) : image;
}

GrayImage Sheet::photographed() {
  const int w = ink_.width, h = ink_.height;
  const double tone = random_.uniform(175, 200), fall = random_.uniform(45, 75), turn = random_.uniform(0, 6.28);
  const double edge = random_.uniform(0.2, 0.4), shadow = random_.uniform(12, 25);  // the photographer's own shadow
  const Field blotches = slow_noise(w, h, std::max(w, h) / 5.0, random_), grain = noise(w, h, 0.9, random_);
  Field paper(w, h);
  for (int y = 0; y < h; ++y)
    for (int x = 0; x < w; ++x) {
      const double u = double(x) / w - 0.5, v = double(y) / h - 0.5;
      const double ramp = u * std::cos(turn) + v * std::sin(turn), corner = u * u + v * v;
      const double shade = shadow / (1 + std::exp(-(edge - 0.5 - ramp) * 14));
      paper.at(x, y) = float(tone + fall * ramp - 40 * corner - shade + 4 * blotches.at(x, y) + 2.5 * grain.at(x, y));
    }
  const double blur = random_.uniform(0.9, 1.2), black = random_.uniform(55, 70);
  return through_jpeg(developed(paper, manner_.blur * blur, black, 3.5 * manner_.sensor),
                      manner_.jpeg_quality > 0 ? manner_.jpeg_quality : 86);
}

}  // namespace batten::support
