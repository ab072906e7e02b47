#include "refit_paths.h"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <iterator>

#include "places.h"
#include "prepare.h"
#include "show.h"

namespace batten::cli {
namespace {

std::string place_beside(const std::string& path) {
  const std::filesystem::path given(path);
  return (given.parent_path() / given.stem()).string() + "-refit.svg";
}

// What became of the paths. What the scan is like, and how nearly it was followed, is said by warnings.
bool is_about_paths(const Finding& finding) {
  return finding.what == Finding::What::left_as_it_was || finding.what == Finding::What::not_drawn ||
         finding.what == Finding::What::placed;
}
Report warnings_of(const Report& report) {
  Report out;
  std::copy_if(report.findings.begin(), report.findings.end(), std::back_inserter(out.findings),
               [](const Finding& finding) { return !is_about_paths(finding); });
  return out;
}

// Of what places are given in: the scan, or the page, of which 96 px are an inch unless it says another size (CSS 2.1,
// 4.3.2).
double dpi_of(const RefitArguments& arguments, const Picture* scan) {
  if (arguments.common.options.dpi > 0) return arguments.common.options.dpi;
  if (scan) return scan->dpi;
  constexpr double mm_per_inch = 25.4, usual_dpi = 96;
  const Result<SvgDrawing> page = read_outlines(arguments.paths);
  return page && page->width_mm > 0 ? page->drawing.width_px / page->width_mm * mm_per_inch : usual_dpi;
}

Result<RefittedSvg> refitted(const RefitArguments& arguments, const std::vector<Pin>& pins, const Picture* scan) {
  const Arguments& common = arguments.common;
  ProgressLine line(arguments.paths, common.quiet);
  Job job;
  job.progress = [&](Stage stage, double fraction) { line.update(stage, fraction); };
  const LengthUnit unit = common.tolerance.unit == Tolerance::Unit::mm ? LengthUnit::mm : LengthUnit::px;
  Options options = common.options;
  options.threads = threads_of(common);
  options.pins = pins;
  if (!scan) return refit_svg(arguments.paths, common.tolerance.value, unit, options, job);
  std::optional<double> tolerance;
  if (common.tolerance.unit != Tolerance::Unit::automatic) tolerance = common.tolerance.value;
  return refit_svg(arguments.paths, *scan, tolerance, unit, options, job);
}

}  // namespace

std::optional<Error> refit_paths(const RefitArguments& arguments, FileBatch* batch) {
  const auto begin = std::chrono::steady_clock::now();
  const Arguments& common = arguments.common;
  const std::string out = common.out.empty() ? place_beside(arguments.paths) : common.out;
  if (auto error = check_clashes({arguments.paths, arguments.over, common.pins}, {out, common.proof, common.report}))
    return error;
  std::optional<Picture> scan;
  if (!arguments.over.empty()) {
    Result<Picture> read = read_scan(common, arguments.over);
    if (!read) return read.error();
    scan = std::move(*read);
  }
  std::vector<Pin> pins;
  if (!common.pins.empty()) {
    Result<std::vector<Pin>> read = read_pins(common.pins, dpi_of(arguments, scan ? &*scan : nullptr));
    if (!read) return read.error();
    pins = std::move(*read);
  }
  Result<RefittedSvg> made = refitted(arguments, pins, scan ? &*scan : nullptr);
  if (!made) return made.error();
  std::vector<Output> outputs = {{out, std::move(made->bytes)}};
  ReportContext context{scan ? arguments.over : arguments.paths};
  context.refit = made->counts;
  context.pins = pins;
  if (!common.report.empty()) outputs.push_back({common.report, to_json(made->conversion, context)});
  if (!common.proof.empty()) {
    context.before = std::move(made->before);
    Result<std::string> proof = proof_for(common.proof, scan ? *scan : Picture{}, made->conversion, context);
    if (!proof) return proof.error();
    outputs.push_back({common.proof, std::move(*proof)});
  }
  if (auto error = write_together(outputs, batch)) return error;
  if (common.quiet) return std::nullopt;
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - begin;
  say(refit_summary(arguments.paths, made->counts, made->conversion, seconds.count(),
                    out == standard_output ? "standard output" : out),
      outputs);
  for (const Finding& finding : made->conversion.report.findings)
    if (is_about_paths(finding)) say("  " + finding_line(finding), outputs);
  if (scan || !pins.empty())
    show_warnings(scan ? arguments.over : arguments.paths, warnings_of(made->conversion.report));
  return std::nullopt;
}

}  // namespace batten::cli
