#pragma once
// Letters without curves, by their stems: closed polygons, clockwise on screen, feet on y = base.

#include "support/shapes.h"

namespace batten::support {

inline Polyline letter_i(double x, double width, double base, double top) {
  return {{x, top}, {x + width, top}, {x + width, base}, {x, base}};
}
inline Polyline letter_h(double x, double left, double right, double gap, double bar, double base, double top) {
  const double a = x, b = x + left, c = b + gap, d = c + right, m = 0.5 * (base + top);
  return {{a, top},  {b, top},  {b, m - bar / 2}, {c, m - bar / 2}, {c, top},  {d, top},
          {d, base}, {c, base}, {c, m + bar / 2}, {b, m + bar / 2}, {b, base}, {a, base}};
}
inline Polyline letter_l(double x, double stem, double foot, double arm, double base, double top) {
  return {{x, top}, {x + stem, top}, {x + stem, base - arm}, {x + foot, base - arm}, {x + foot, base}, {x, base}};
}

}  // namespace batten::support
