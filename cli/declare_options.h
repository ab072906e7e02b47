#pragma once
// The table of options: what --help, the manual page and the completion show.

#include <optional>
#include <string>

#include "arguments.h"

namespace batten::cli {

/// As typed, before they are understood.
struct Texts {
  std::string tolerance = "1px", range = "0.5px..4px", drawing = "auto", extremes = "required", crop, dpi;
  std::string straighten = "all", symmetry = "off", deskew = "off", grid, direction = "clockwise", start = "corner";
  std::optional<std::string> format, names, units_per_em, em, baseline, side_bearing;  // nothing: not typed
};

/// Of `batten trace`; shown by `batten --help` too.
extern const char* const trace_examples;

void declare_trace(CLI::App& trace, Arguments& arguments, Texts& texts);
void declare_sweep(CLI::App& sweep, SweepArguments& arguments, Texts& texts);
void declare_measure(CLI::App& measure, MeasureArguments& arguments, Texts& texts);

}  // namespace batten::cli
