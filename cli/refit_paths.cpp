#include "refit_paths.h"

#include <chrono>
#include <filesystem>

#include "places.h"
#include "prepare.h"
#include "show.h"

namespace batten::cli {
namespace {

std::string place_beside(const std::string& path) {
  const std::filesystem::path given(path);
  return (given.parent_path() / given.stem()).string() + "-refit.svg";
}

}  // namespace

std::optional<Error> refit_paths(const RefitArguments& arguments, FileBatch* batch) {
  const auto begin = std::chrono::steady_clock::now();
  const Arguments& common = arguments.common;
  const std::string out = common.out.empty() ? place_beside(arguments.paths) : common.out;
  if (auto error = check_clashes({arguments.paths}, {out, common.report})) return error;
  Result<RefittedSvg> made = [&] {
    ProgressLine line(arguments.paths, common.quiet);
    Job job;
    job.progress = [&](Stage stage, double fraction) { line.update(stage, fraction); };
    const LengthUnit unit = common.tolerance.unit == Tolerance::Unit::mm ? LengthUnit::mm : LengthUnit::px;
    return refit_svg(arguments.paths, common.tolerance.value, unit, common.options, job);
  }();
  if (!made) return made.error();
  std::vector<Output> outputs = {{out, std::move(made->bytes)}};
  if (!common.report.empty()) {
    ReportContext context{arguments.paths};
    context.refit = made->counts;
    outputs.push_back({common.report, to_json(made->conversion, context)});
  }
  if (auto error = write_together(outputs, batch)) return error;
  if (common.quiet) return std::nullopt;
  const std::chrono::duration<double> seconds = std::chrono::steady_clock::now() - begin;
  const double dpi = made->conversion.drawing.dpi;
  say(refit_summary(arguments.paths, made->counts, dpi, seconds.count(),
                    out == standard_output ? "standard output" : out),
      outputs);
  for (const Finding& finding : made->conversion.report.findings)
    if (finding.what == Finding::What::left_as_it_was) say("  " + finding_line(finding), outputs);
  return std::nullopt;
}

}  // namespace batten::cli
