#pragma once
// Reads what was typed on the command line, and nothing else.

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

/// What "-" stands for where a file to be written is named.
inline constexpr const char* standard_output = "/dev/stdout";

/// A tolerance as typed: in px of the scan, in mm of the paper, or left to the scan (`automatic`).
struct Tolerance {
  enum class Unit { px, mm, automatic } unit = Unit::px;
  double value = 1;
};

/// A part of the scan, px; x and y count from the upper left corner of the scan as it is seen.
struct Crop {
  int x = 0, y = 0, width = 0, height = 0;
};

/// Options that only fonts need.
struct FontArguments {
  GlyphOptions glyphs;          ///< em_px stays 0: it is `em`, once the resolution is known
  std::optional<Tolerance> em;  ///< height of the em on the sheet
  std::string given;            ///< the first of these options that was typed; empty: none
};

/// How many scans are traced together. Nothing here changes a result.
struct BatchArguments {
  int threads = 0;               ///< 0: as many as the machine has cores
  double open_memory_bytes = 0;  ///< what the scans that are open at once may need; 0: what the machine has
  bool skip_done = false;
  std::string table;          ///< CSV of all scans; empty: none
  int shard = 1, shards = 1;  ///< every shards-th scan, beginning with the shard-th
  std::string asked;          ///< the options that decide results, as they were typed
};

struct Arguments {
  std::vector<std::string> scans;
  std::string out, overlay, proof, report;  ///< empty: not given
  std::string pins;                         ///< the list of decisions; empty: not given
  Tolerance tolerance;
  /// What the library is asked for. What the scan decides is filled in by options_for(): tolerance_px, threads, and dpi
  /// where it is 0. In a font grid_px is in units of the em.
  Options options;
  std::optional<Crop> crop;
  std::vector<Format> formats;   ///< as --format says; empty: not given
  bool nodes = false;            ///< dots for nodes in the SVG
  double most_memory_bytes = 0;  ///< 0: what the machine has
  FontArguments font;
  BatchArguments batch;
  bool quiet = false;
};

/// batten sweep: traces one scan (common.scans[0]) at several tolerances.
struct SweepArguments {
  SweepArguments() { common.options.hold_tolerance = true; }
  Arguments common;  ///< out is the CSV; tolerance is not used
  Tolerance least{Tolerance::Unit::px, 0.5}, most{Tolerance::Unit::px, 4};
  int steps = 12;
  std::string plot;
};

/// batten measure: judges outlines that are there already.
struct MeasureArguments {
  Arguments common;  ///< scans: none or one
  std::string paths, against;
};

/// batten refit: the paths of an SVG file with fewer nodes.
struct RefitArguments {
  Arguments common;  ///< out, tolerance, proof, report, quiet, and of the options extremes and straighten
  std::string paths;
  std::string over;  ///< the scan under the paths; empty: none
};

/// Nothing more to do: says what to print, where, and how to end.
struct Finished {
  ExitStatus status = all_done;
  std::string text;  ///< to standard output when status is all_done, else one line for standard error
};

using Parsed = std::variant<Arguments, SweepArguments, MeasureArguments, RefitArguments, Finished>;
Parsed parse(int argc, const char* const* argv);

/// Hands the table of options, which parse() works by and --help prints, to the makers of manual page and completion.
void describe(const std::function<void(const CLI::App&)>& show);

}  // namespace batten::cli
