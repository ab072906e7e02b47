#pragma once
// Cases of data/pencil_cases.txt: a drawing to trace and what the trace must reach. One row a case; a fault found in
// the field becomes a row.

#include <optional>
#include <string>
#include <vector>

#include "support/pencil.h"
#include "support/score.h"

namespace batten::support {

struct PencilCase {
  std::string name;  ///< also the seed of everything random in the drawing
  Hand hand = Hand::single;
  bool photo = false;
  bool page = false;  ///< with ruled guides, dust, hairs and a smear
  bool construction = false;
  std::optional<Ruling> ruling;
  bool shadow = false;
  std::string font;
  std::string characters;  ///< one: in the middle; several: a line of letters
  double height_px = 0;    ///< of the one character; of an em for several
  double tolerance_px = 0;
  // Bars.
  double nodes = 0;   ///< traced segments over the designer's
  double rms_px = 0;  ///< distance to what the pencil aimed at, both ways
  double max_px = 0;
  std::size_t corners_lost = 0, false_corners = 0, missed_extremes = 0, bumps = 0, outlines_off = 0, crossing = 0;
};

/// Empty if the file cannot be read or a row is not understood; `fault` then says which.
std::vector<PencilCase> read_cases(const std::string& path, std::string* fault);

struct Drawn {
  GrayImage image;
  std::vector<Outline> truth;
};
/// No outlines if the font is not installed.
Drawn draw_case(const PencilCase& c);

}  // namespace batten::support
