#pragma once
// A sheet of paper with pencil lines at known places, for the tests of the pixel stages. Page coordinates.

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <random>
#include <vector>

#include "base/plane.h"
#include "batten/convert.h"

namespace batten::testing {

struct PencilSheet {
  Plane<float> ink;  // 0..1
  explicit PencilSheet(int width, int height) : ink(width, height) {}

  /// A stroke of even darkness with edges one pixel soft, from a to b.
  void line(Point a, Point b, double width, double darkness) {
    const double reach = width / 2 + 1;
    const int x0 = std::max(0, int(std::min(a.x, b.x) - reach)),
              x1 = std::min(ink.width - 1, int(std::max(a.x, b.x) + reach));
    const int y0 = std::max(0, int(std::min(a.y, b.y) - reach)),
              y1 = std::min(ink.height - 1, int(std::max(a.y, b.y) + reach));
    const Point d = b - a;
    const double length2 = std::max(1e-12, d.x * d.x + d.y * d.y);
    for (int y = y0; y <= y1; ++y)
      for (int x = x0; x <= x1; ++x) {
        const Point p{x + 0.5, y + 0.5}, q = p - a;
        const double t = std::clamp((q.x * d.x + q.y * d.y) / length2, 0., 1.);
        cover(x, y, darkness * std::clamp(width / 2 - std::hypot(q.x - t * d.x, q.y - t * d.y) + 0.5, 0., 1.));
      }
  }
  void polygon(const std::vector<Point>& corners, double width, double darkness) {
    for (std::size_t i = 0; i < corners.size(); ++i)
      line(corners[i], corners[(i + 1) % corners.size()], width, darkness);
  }
  void box(double x0, double y0, double x1, double y1, double width = 4, double darkness = 0.7) {
    polygon({{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, width, darkness);
  }
  void ring(Point c, double radius, double width, double darkness) {
    for (int y = 0; y < ink.height; ++y)
      for (int x = 0; x < ink.width; ++x) {
        const double off = std::abs(std::hypot(x + 0.5 - c.x, y + 0.5 - c.y) - radius);
        cover(x, y, darkness * std::clamp(width / 2 - off + 0.5, 0., 1.));
      }
  }
  void disc(Point c, double radius, double darkness) {
    for (int y = 0; y < ink.height; ++y)
      for (int x = 0; x < ink.width; ++x)
        cover(x, y, darkness * std::clamp(radius - std::hypot(x + 0.5 - c.x, y + 0.5 - c.y) + 0.5, 0., 1.));
  }
  /// Wipes the sheet clean within a rectangle: a gap in a line.
  void erase(int x0, int y0, int x1, int y1) {
    for (int y = y0; y < y1; ++y)
      for (int x = x0; x < x1; ++x) ink.at(x, y) = 0;
  }
  void cover(int x, int y, double k) { ink.at(x, y) = float(1 - (1 - ink.at(x, y)) * (1 - k)); }

  /// Graphite does not cover the paper evenly: each pixel keeps 60 to 100 % of its ink, in specks of about a pixel.
  PencilSheet with_grain(unsigned seed) const {
    std::mt19937 random(seed);
    PencilSheet out = *this;
    for (float& k : out.ink.values) k *= 0.6f + 0.4f * float(random()) / 4294967296.f;
    return out;
  }

  struct Scanned {
    int width, height;
    std::vector<std::uint8_t> bytes;
    ImageView view() const { return {bytes.data(), width, height, width, PixelFormat::gray8}; }
  };
  /// Paper of brightness `tone`, falling by `shade` towards the right, graphite of brightness 70, white noise.
  Scanned scan(unsigned seed, double noise = 2, double tone = 240, double shade = 15) const {
    std::mt19937 random(seed);  // its sequence is fixed by the standard, unlike that of the distributions
    Scanned out{ink.width, ink.height, std::vector<std::uint8_t>(ink.values.size())};
    for (int y = 0; y < ink.height; ++y)
      for (int x = 0; x < ink.width; ++x) {
        double grain = -6;  // sum of twelve even numbers: normal enough
        for (int i = 0; i < 12; ++i) grain += double(random()) / 4294967296.;
        const double paper = tone - shade * x / ink.width, k = ink.at(x, y);
        out.bytes[std::size_t(y) * out.width + x] =
            std::uint8_t(std::clamp(std::lround(paper * (1 - k) + 70 * k + noise * grain), 0l, 255l));
      }
    return out;
  }
};

/// A box and a ring of pencil on one small sheet.
inline PencilSheet::Scanned box_and_ring() {
  PencilSheet sheet(320, 220);
  sheet.box(40, 40, 140, 180);
  sheet.ring({225, 110}, 60, 5, 0.7);
  return sheet.scan(7);
}

inline double mean(const Plane<float>& p, PixelBox b) {
  double sum = 0;
  for (int y = b.y; y < b.y + b.height; ++y)
    for (int x = b.x; x < b.x + b.width; ++x) sum += p.at(x, y);
  return sum / (double(b.width) * b.height);
}

}  // namespace batten::testing
