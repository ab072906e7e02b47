#include "batten/convert.h"

namespace batten {

double memory_needed(int width, int height) {
  // Peaks of whole runs on two cores, less the picture itself: a photograph full of pencil lines took 71 bytes a pixel,
  // sheets of letters 30 to 50, a blank sheet 14; the libraries and what does not grow took 20 MB.
  constexpr double bytes_per_pixel = 75, fixed = 40e6;
  return fixed + bytes_per_pixel * double(width) * double(height);
}

}  // namespace batten
