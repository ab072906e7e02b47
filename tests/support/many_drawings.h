#pragma once
// Many outlines at many tolerances, with the truth beside them: glyphs of eight open fonts, once as bare polylines and
// once drawn in pencil.

#include <string>
#include <vector>

#include "batten/convert.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/shapes.h"

namespace batten::support {

struct Traced {
  std::string name;
  std::vector<Outline> truth;   ///< fitted: in the order of the result
  std::vector<Polyline> loops;  ///< what was given to fit(); empty for drawings
  double tolerance_px = 0;
  Conversion result;
};

inline std::vector<Traced> fitted_glyphs(const std::u32string& characters, const std::vector<double>& tolerances_px) {
  std::vector<Traced> out;
  for (const FontCase& c : font_cases(characters)) {
    const std::vector<Outline> truth = glyph(font_file(c.font), c.character, 300, 20);
    std::vector<Polyline> loops;
    for (const Outline& o : truth) loops.push_back(points_of(o, 0.5));
    for (const double tolerance : tolerances_px) {
      Options options;
      options.tolerance_px = tolerance;
      auto result = fit(loops, options);
      if (result) out.push_back({text_of(c) + " at " + std::to_string(tolerance), truth, loops, tolerance, *result});
    }
  }
  return out;
}

inline std::vector<Traced> pencil_glyphs(const std::u32string& characters, const std::vector<double>& tolerances_px) {
  std::vector<Traced> out;
  std::size_t number = 0;
  for (const FontCase& c : font_cases(characters)) {
    const std::vector<Outline> truth = glyph(font_file(c.font), c.character, 400, 40);
    const Extent size = extent_of(truth, 40);
    const Hand hand = std::vector{Hand::single, Hand::shaded, Hand::multistroke, Hand::clean}[number++ % 4];
    const GrayImage image =
        pencil_drawing(size.width, size.height, truth, hand, false, Random("ManyDrawings", text_of(c)));
    for (const double tolerance : tolerances_px) {
      Options options;
      options.tolerance_px = tolerance;
      auto result = convert({image.pixels.data(), image.width, image.height, image.width}, options);
      if (result)
        out.push_back(
            {text_of(c) + ", " + name_of(hand) + " at " + std::to_string(tolerance), truth, {}, tolerance, *result});
    }
  }
  return out;
}

}  // namespace batten::support
