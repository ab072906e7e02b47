#pragma once
// Writes what the person at the terminal sees: one line for each scan, warnings, progress.

#include <chrono>
#include <string>

#include "batten/convert.h"
#include "batten/files.h"
#include "batten/measure.h"

namespace batten::cli {

/// "3 outlines", "1 outline".
std::string counted(std::size_t count, const std::string& noun);

/// "s.png: 7 outlines, 84 nodes (31 corner, ...), deviation at most 0.92 px, 0.31 px rms, ...": one line, no line
/// break.
std::string summary(const std::string& scan, const Conversion& conversion, double seconds, const std::string& result);

/// "drawn.svg on s.png: 2 outlines ...", then a line for each finding; and what --against says, where it is given.
std::string measured_summary(const std::string& paths, const std::string& scan, const Conversion& conversion);
std::string comparison_summary(const std::string& paths, const std::string& truth, const Comparison& against);

/// "o.svg: 3 of 4 paths refitted, 1240 -> 96 nodes, change at most 0.24 px, 0.8 s -> o-refit.svg"
std::string refit_summary(const std::string& paths, const RefitCounts& counts, const Conversion& conversion,
                          double seconds, const std::string& result);

std::string finding_line(const Finding& finding);

/// One line on standard error. Control characters in names are shown as ?.
void show_error(const std::string& text);
/// The warnings among the findings: the largest few of each kind, then how many more there are.
void show_warnings(const std::string& scan, const Report& report);

/// A line on standard error that is rewritten in place, once the work has taken a second. Silent unless standard error
/// is a terminal.
class ProgressLine {
 public:
  ProgressLine(std::string scan, bool quiet);
  ~ProgressLine();
  ProgressLine(const ProgressLine&) = delete;
  void update(Stage stage, double fraction);

 private:
  std::string scan_;
  bool active_, shown_ = false;
  std::chrono::steady_clock::time_point begin_, last_;
};

}  // namespace batten::cli
