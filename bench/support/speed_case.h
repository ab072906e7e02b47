#pragma once
// Sheets of a stated size with a stated number of letters, for measuring time and memory.

#include <string>

#include "support/field.h"

namespace batten::support {

struct SpeedCase {
  std::string name;
  int width = 0, height = 0;
  int letters = 0;          ///< spread over the sheet in rows
  double letter_px = 0;     ///< height of one
  double pencil = 1;        ///< width of the lead, size of the grain and strokes, over the usual
  bool multistroke = true;  ///< otherwise one careful line
};

/// Empty if the font is not installed.
GrayImage draw_sheet(const SpeedCase& c);

}  // namespace batten::support
