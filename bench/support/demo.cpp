#include "support/demo.h"

#include <cmath>

#include "support/font_outline.h"
#include "support/pencil.h"

namespace batten::support {
namespace {

/// A leaf from tip to tip, lying along `turn_rad`; the two sides are bowed unequally, as leaves are.
Outline leaf(Point tip, double length_px, double turn_rad) {
  const Outline level = outline_from({Cubic{Point{0, 0}, {0.22, -0.34}, {0.66, -0.36}, {1, -0.04}},
                                      Cubic{Point{1, -0.04}, {0.78, 0.24}, {0.30, 0.26}, {0, 0}}});
  return moved(level, length_px, turn_rad, tip);
}

}  // namespace

Demo demo_sheet() {
  Demo demo;
  const std::string file = font_file("GoudyBookletter1911.otf");
  if (file.empty()) return demo;
  constexpr int width = 1500, height = 820;
  constexpr double em_px = 370, baseline_px = 400, left_px = 90;
  std::vector<Outline> letters;
  Point pen{left_px, baseline_px};
  for (const char32_t c : U"Quombe") {
    if (!c) break;
    double advance = 0;
    const int first = int(letters.size());
    for (Outline o : glyph_on_line(file, c, em_px, pen, &advance)) {
      if (o.parent >= 0) o.parent += first;
      letters.push_back(o);
    }
    pen.x += advance + 8;  // a little air, so that the bands of neighbours stay apart
  }
  std::vector<Outline> leaves = {leaf({700, 690}, 260, -0.28), leaf({660, 690}, 220, 3.5)};
  nest(leaves);

  Sheet sheet(width, height, Random("demo", "Quombe"));
  const double x_height_px = 0.402 * em_px, capital_px = 0.70 * em_px;  // measured on the font's x and H
  for (const double y : {baseline_px, baseline_px - x_height_px, baseline_px - capital_px})
    sheet.rule({25, y + 1.5}, {width - 30.0, y - 1.5}, 0.38);  // a ruler laid down a little askew
  sheet.draw(letters, Hand::multistroke);
  sheet.draw(leaves, Hand::shaded);
  sheet.smear({34, 12}, 0.05);
  sheet.dust(26, 3);
  demo.image = sheet.scanned();

  demo.truth.width_px = width, demo.truth.height_px = height, demo.truth.dpi = demo.dpi;
  demo.truth.outlines = letters;
  demo.truth.outlines.insert(demo.truth.outlines.end(), leaves.begin(), leaves.end());
  return demo;
}

}  // namespace batten::support
