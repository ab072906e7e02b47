#include "show.h"

#include <unistd.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <map>
#include <vector>

#include "batten/write.h"

namespace batten::cli {
namespace {

constexpr double mm_per_inch = 25.4;

std::string fixed(double value, int decimals) { return decimal(value, decimals); }

// "0.92 px", with " (0.078 mm)" where the resolution is known.
std::string length(double px, double dpi) {
  return fixed(px, 2) + " px" + (dpi > 0 ? " (" + fixed(px / dpi * mm_per_inch, 3) + " mm)" : "");
}

std::string reasons(const Drawing& drawing) {
  std::array<std::size_t, reason_count> counts{};
  for (const Outline& outline : drawing.outlines)
    for (const Node& node : outline.nodes) ++counts[static_cast<std::size_t>(node.reason)];
  std::string text;
  for (std::size_t i = 0; i < counts.size(); ++i)
    if (counts[i])
      text += (text.empty() ? "" : ", ") + std::to_string(counts[i]) + " " + name_of(static_cast<Reason>(i));
  return text;
}

// The middle one of the outlines' uncertainties.
double typical_sigma_px(const Drawing& drawing) {
  std::vector<double> sigmas;
  for (const Outline& outline : drawing.outlines)
    if (outline.sigma_px > 0) sigmas.push_back(outline.sigma_px);
  if (sigmas.empty()) return 0;
  std::nth_element(sigmas.begin(), sigmas.begin() + static_cast<std::ptrdiff_t>(sigmas.size() / 2), sigmas.end());
  return sigmas[sigmas.size() / 2];
}

std::string printable(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = '?';
  return text;
}

// ", 12 straightened, sheet askew by 2.3 deg": how much was straightened, and a turn that can be seen.
std::string straightness(const Report& report) {
  const auto edits = static_cast<std::size_t>(
      std::count_if(report.edits.begin(), report.edits.end(), [](const Edit& e) { return e.kept; }));
  std::string text = edits ? ", " + std::to_string(edits) + " straightened" : "";
  constexpr double visible_deg = 0.3;
  if (report.sheet.known && std::abs(report.sheet.deg) >= visible_deg)
    text += ", sheet " + std::string(report.sheet.undone ? "was askew by " : "askew by ") + fixed(report.sheet.deg, 1) +
            " deg";
  return text;
}

// ", deviation at most 0.92 px, 0.31 px rms, pencil line uncertain by 0.31 px". Outlines that lie on nothing drawn have
// no deviation: they are counted, and the figures are those of the others.
std::string deviations(const Conversion& conversion) {
  const std::vector<OutlineReport>& all = conversion.report.outlines;
  const double dpi = conversion.drawing.dpi;
  double most = 0, squares = 0, total = 0;
  std::size_t on_nothing = 0;
  for (const OutlineReport& one : all) {
    if (!std::isfinite(one.max_px) || !std::isfinite(one.rms_px)) {
      ++on_nothing;
      continue;
    }
    most = std::max(most, one.max_px);
    squares += one.rms_px * one.rms_px * one.loop_length_px, total += one.loop_length_px;
  }
  std::string text;
  if (on_nothing > 0)
    text = on_nothing == all.size() ? ", on nothing that was drawn"
                                    : ", " + std::to_string(on_nothing) + " on nothing that was drawn, the others";
  if (on_nothing == all.size()) return text;
  const Report& report = conversion.report;
  const double rms = on_nothing == 0 ? report.rms_px : total > 0 ? std::sqrt(squares / total) : 0;
  return text + (on_nothing == 0 ? "," : "") + " deviation at most " +
         length(on_nothing == 0 ? report.max_px : most, dpi) + ", " + length(rms, dpi) +
         " rms, pencil line uncertain by " + length(typical_sigma_px(conversion.drawing), dpi);
}

// ", 7 of 8 pins held"
std::string pins_held(const Report& report) {
  const auto held = std::count_if(report.pins.begin(), report.pins.end(), [](const PinOutcome& p) { return p.held; });
  if (report.pins.empty()) return "";
  return ", " + std::to_string(held) + " of " + counted(report.pins.size(), "pin") + " held";
}

// "7 outlines, 3 lines, 84 nodes (31 corner, ...)", and how far they lie off.
std::string figures(const Conversion& conversion) {
  const Drawing& drawing = conversion.drawing;
  std::size_t nodes = 0;
  for (const Outline& outline : drawing.outlines) nodes += outline.nodes.size();
  const auto lines = static_cast<std::size_t>(
      std::count_if(drawing.outlines.begin(), drawing.outlines.end(), [](const Outline& o) { return !o.closed; }));
  const std::size_t outlines = drawing.outlines.size() - lines;
  std::string what = counted(outlines, "outline");
  if (lines > 0) what = (outlines > 0 ? what + ", " : "") + counted(lines, "line");
  return what + ", " + counted(nodes, "node") + (nodes > 0 ? " (" + reasons(drawing) + ")" : "") +
         deviations(conversion);
}

// ", the tolerance of 0.50 px is finer than the line is known, 1.83 px": where it was held all the same.
std::string finer_than_known(const Conversion& conversion) {
  const Report& report = conversion.report;
  if (!report.hold_tolerance || report.tolerance_px >= report.known_px) return "";
  return ", the tolerance of " + length(report.tolerance_px, conversion.drawing.dpi) +
         " is finer than the line is known, " + length(report.known_px, conversion.drawing.dpi);
}

// ", up to 1.14 px held for a tolerance of 1.00 px": where a line wavers by more than was asked for.
std::string widened(const Conversion& conversion) {
  double most_px = 0, asked_px = 0;
  for (const OutlineReport& r : conversion.report.outlines)
    if (r.limit_px > std::max(r.tolerance_px + 1e-9, most_px)) most_px = r.limit_px, asked_px = r.tolerance_px;
  if (most_px == 0) return "";
  return ", up to " + length(most_px, conversion.drawing.dpi) + " held for a tolerance of " +
         length(asked_px, conversion.drawing.dpi);
}

}  // namespace

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string summary(const std::string& scan, const Conversion& conversion, double seconds, const std::string& result) {
  return printable(scan + ": " + figures(conversion) + widened(conversion) + finer_than_known(conversion) +
                   straightness(conversion.report) + pins_held(conversion.report) + ", " + fixed(seconds, 1) +
                   " s -> " + result);
}

std::string measured_summary(const std::string& paths, const std::string& scan, const Conversion& conversion) {
  return printable(paths + " on " + scan + ": " + figures(conversion));
}

std::string comparison_summary(const std::string& paths, const std::string& truth, const Comparison& against) {
  const std::string counts = counted(against.outlines, "outline") + " in both, " + std::to_string(against.missing) +
                             " missing, " + std::to_string(against.extra) + " extra";
  if (against.outlines == 0) return printable(paths + " against " + truth + ": " + counts);
  return printable(paths + " against " + truth + ": " + counts + "; " + counted(against.segments, "segment") +
                   ", the right outlines have " + std::to_string(against.truth_segments) + "; deviation at most " +
                   fixed(against.max_px, 2) + " px at (" + fixed(against.worst.x, 1) + ", " +
                   fixed(against.worst.y, 1) + "), 95 % within " + fixed(against.p95_px, 2) + " px, " +
                   fixed(against.rms_px, 2) + " px rms; " + counted(against.corners_found, "corner") + " found, " +
                   std::to_string(against.corners_missing) + " missing, " + std::to_string(against.corners_extra) +
                   " extra");
}

namespace {

// ", from the scan 2.31 -> 0.41 px rms, 4.90 -> 1.60 px at most, 1 path without it"
std::string off_scan(const RefitCounts& counts) {
  if (!counts.over) return "";
  const OverScan& over = *counts.over;
  if (over.placed == 0) return ", none where the scan has a line";
  return ", off the scan " + fixed(over.rms_before_px, 2) + " -> " + fixed(over.rms_after_px, 2) + " px rms, " +
         fixed(over.max_before_px, 2) + " -> " + fixed(over.max_after_px, 2) + " px at most" +
         (over.not_placed > 0 ? ", " + counted(over.not_placed, "outline") + " without it" : "");
}

}  // namespace

std::string refit_summary(const std::string& paths, const RefitCounts& counts, const Conversion& conversion,
                          double seconds, const std::string& result) {
  return printable(paths + ": " + std::to_string(counts.refitted) + " of " + counted(counts.paths, "path") +
                   " refitted, " + std::to_string(counts.nodes_before) + " -> " + counted(counts.nodes_after, "node") +
                   ", change at most " + length(counts.change_px, conversion.drawing.dpi) + off_scan(counts) +
                   pins_held(conversion.report) + ", " + fixed(seconds, 1) + " s -> " + result);
}

std::string finding_line(const Finding& finding) {
  const bool placed = finding.outline >= 0 || finding.place.x != 0 || finding.place.y != 0;
  std::string where;
  if (placed) where = " at (" + fixed(finding.place.x, 1) + ", " + fixed(finding.place.y, 1) + ")";
  if (finding.outline >= 0) where += ", outline " + std::to_string(finding.outline + 1);
  return std::string(name_of(finding.what)) + where + ": " + finding.text;
}

void show_error(const std::string& text) { std::fprintf(stderr, "batten: %s\n", printable(text).c_str()); }

void show_warnings(const std::string& scan, const Report& report) {
  constexpr std::size_t most_of_a_kind = 3;  // more would bury the line that matters; --report has them all
  std::map<Finding::What, std::vector<const Finding*>> kinds;
  for (const Finding& finding : report.findings)
    if (level_of(finding.what) == Level::warning) kinds[finding.what].push_back(&finding);
  for (auto& [what, findings] : kinds) {
    std::stable_sort(findings.begin(), findings.end(),
                     [](const Finding* a, const Finding* b) { return a->amount_px > b->amount_px; });
    for (std::size_t i = 0; i < std::min(findings.size(), most_of_a_kind); ++i)
      show_error(scan + ": warning: " + findings[i]->text);
    if (findings.size() > most_of_a_kind)
      show_error(scan + ": warning: " + std::to_string(findings.size() - most_of_a_kind) + " more of the kind \"" +
                 name_of(what) + "\"; --report FILE.json lists them all.");
  }
}

ProgressLine::ProgressLine(std::string scan, bool quiet)
    : scan_(printable(std::move(scan))),
      active_(!quiet && isatty(STDERR_FILENO)),
      begin_(std::chrono::steady_clock::now()),
      last_(begin_) {}

ProgressLine::~ProgressLine() {
  if (shown_) std::fputs("\r\033[K", stderr);  // erase the line
}

void ProgressLine::update(Stage stage, double fraction) {
  using namespace std::chrono_literals;
  if (!active_) return;
  const auto now = std::chrono::steady_clock::now();
  if (now - begin_ < 1s || (shown_ && now - last_ < 100ms)) return;
  last_ = now;
  shown_ = true;
  std::fprintf(stderr, "\r\033[K%s: %3d %%, %s", scan_.c_str(), int(std::lround(100 * fraction)), name_of(stage));
  std::fflush(stderr);
}

}  // namespace batten::cli
