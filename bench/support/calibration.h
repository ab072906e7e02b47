#pragma once
// What a drawing's report says of its uncertainty, held against the outlines that were drawn.

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "support/field.h"
#include "support/pencil.h"

namespace batten::support {

/// A kind of drawing, and the tolerance that is asked for it.
enum class Tier { single, multistroke, loose, shaded, photo, page, hatched, small, clean, pen };
constexpr int tiers = 10;
std::string name_of(Tier tier);
double tolerance_px(Tier tier);

struct CalibrationCase {
  Tier tier = Tier::single;
  Drawer drawer = Drawer::usual;
  std::string font;           ///< "texgyrebonum-bold"
  std::u32string characters;  ///< a page shows them all, other drawings the first
  unsigned number = 0;        ///< drawings of one case that differ in chance only
};
struct CalibrationDrawing {
  GrayImage image;
  std::vector<Outline> truth;  ///< none if the font is not installed
};
CalibrationDrawing draw(const CalibrationCase& c);

/// A finding that says that an outline is not within its tolerance, or may not be.
struct Warning {
  Finding::What what = Finding::What::tolerance_exceeded;
  bool right =
      false;  ///< the outline lies off the truth by over the tolerance, within reach of the place that is named
};

/// What came out for one outline whose truth is known.
struct CalibratedOutline {
  std::size_t index = 0;  ///< of the outline in the drawing
  double sigma_px = 0, band_px = 0;
  double reported_max_px = 0, true_max_px = 0;    ///< of the outline as delivered, both ways
  std::vector<double> line_off_px, curve_off_px;  ///< signed, of points of the located line, and of the outline
  std::vector<double> curve_place_off_px;         ///< at each corner of the outline: distance to the truth
  bool truly_off = false;                         ///< true_max_px is over the tolerance
  std::vector<Warning> warnings;
};

struct Calibrated {
  std::vector<CalibratedOutline> outlines;  ///< paired ones only
  std::size_t not_paired = 0;               ///< outlines of the truth, or of the drawing, without the other
};
Calibrated calibrated(const std::vector<Outline>& truth, const Conversion& traced, double tolerance_px);

/// 1.4826 times the median of the absolute errors, each divided by the sigma stated for it: 1 if what is stated is so.
/// About zero and not about their median, since a line that lies off on one side is as wrong as one that strays.
std::optional<double> line_spread(const Calibrated& drawing);
std::optional<double> curve_spread(const Calibrated& drawing);

}  // namespace batten::support
