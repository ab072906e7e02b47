#pragma once
// Grey pictures as floats and the few filters the pencil needs. Own code, no SIMD library: the same bytes on every
// machine, so that demo data can be made again bit for bit.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "support/random.h"
#include "support/shapes.h"

namespace batten::support {

struct Field {
  int width = 0, height = 0;
  std::vector<float> values;
  Field() = default;
  Field(int w, int h, float v = 0) : width(w), height(h), values(std::size_t(w) * std::size_t(h), v) {}
  float& at(int x, int y) { return values[std::size_t(y) * std::size_t(width) + std::size_t(x)]; }
  float at(int x, int y) const { return values[std::size_t(y) * std::size_t(width) + std::size_t(x)]; }
};

struct GrayImage {
  int width = 0, height = 0;
  std::vector<std::uint8_t> pixels;
};

Field blurred(const Field& field, double sigma_px);
/// Normal noise blurred by sigma_px, brought back to mean 0 and deviation 1.
Field noise(int width, int height, double sigma_px, Random& random);
/// Slow noise: made on a coarse grid with one value per scale_px, drawn smoothly between; mean 0, deviation about 1.
Field slow_noise(int width, int height, double scale_px, Random& random);

/// Ink of a filled shape, 0..1: the exact share of each pixel's area that lies inside (outer outlines clockwise,
/// counters the other way; outlines flattened to 0.01 px).
Field coverage(int width, int height, const std::vector<Outline>& outlines);

}  // namespace batten::support
