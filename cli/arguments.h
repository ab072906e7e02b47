#pragma once
// argv -> what is asked for, and nothing else.

#include <functional>
#include <optional>
#include <string>
#include <utility>
#include <variant>
#include <vector>

#include "batten/convert.h"
#include "batten/glyphs.h"
#include "exit_status.h"
#include "formats.h"

namespace CLI {
class App;
}

namespace batten::cli {

/// A tolerance as typed: in px of the scan, in mm of the paper, or left to the scan (`automatic`).
struct Tolerance {
  enum class Unit { px, mm, automatic } unit = Unit::px;
  double value = 1;
};

/// A part of the scan, px; x and y count from the upper left corner of the upright scan.
struct Crop {
  int x = 0, y = 0, width = 0, height = 0;
};

/// What only fonts need.
struct FontArguments {
  GlyphOptions glyphs;          ///< em_px stays 0: it is `em`, once the resolution is known
  std::optional<Tolerance> em;  ///< height of the em on the sheet
  std::string given;            ///< the first of these options that was typed; empty: none
};

struct Arguments {
  std::vector<std::string> scans;
  std::string out, overlay, proof, report;  ///< empty: not given
  Tolerance tolerance;
  Options::DrawingKind drawing = Options::DrawingKind::automatic;
  Options::Extremes extremes = Options::Extremes::required;
  Options::Straighten straighten;
  bool symmetry = false, deskew = false;
  double grid = 0;  ///< px, in a font units of the em; 0: none
  Options::Direction direction = Options::Direction::clockwise;
  Options::Start start = Options::Start::corner;
  std::optional<Crop> crop;
  double dpi = 0;               ///< 0: as the file says
  std::vector<Format> formats;  ///< as --format says; empty: not given
  bool nodes = false;           ///< dots for nodes in the SVG
  FontArguments font;
  bool quiet = false;
};

/// batten sweep: one scan (common.scans[0]) at several tolerances.
struct SweepArguments {
  Arguments common;  ///< out is the CSV; tolerance is not used
  Tolerance least, most;
  int steps = 12;
  std::string plot;
};

/// batten measure: outlines that are there already.
struct MeasureArguments {
  Arguments common;  ///< scans: none or one
  std::string paths, against;
};

/// Nothing more to do: what to print, where, and how to end.
struct Finished {
  ExitStatus status = all_done;
  std::string text;  ///< to standard output when status is all_done, else one line for standard error
};

using Parsed = std::variant<Arguments, SweepArguments, MeasureArguments, Finished>;
Parsed parse(int argc, const char* const* argv);

/// Shows the table of options that parse() works by and --help prints, for the manual page and shells.
void describe(const std::function<void(const CLI::App&)>& show);

/// "1px", "0.1mm", "auto", or a bare number of px. The error says what is accepted.
Result<Tolerance> parse_tolerance(const std::string& text);
Result<std::vector<Format>> parse_formats(const std::string& text);
/// "0.5px..4px" or "0.05mm..0.3mm".
Result<std::pair<Tolerance, Tolerance>> parse_range(const std::string& text);
Result<Crop> parse_crop(const std::string& text);
/// "all", "off", or words of axes, slants, lines, widths, overshoots with commas between.
Result<Options::Straighten> parse_straighten(const std::string& text);

}  // namespace batten::cli
