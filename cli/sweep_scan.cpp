#include "sweep_scan.h"

#include "batten/files.h"
#include "places.h"
#include "prepare.h"
#include "show.h"

namespace batten::cli {
namespace {

Result<Sweep> run(const SweepArguments& arguments, const Picture& picture, const Options& options) {
  const std::string& scan = arguments.common.scans.front();
  const Result<double> least = px_of(arguments.least, options.dpi, scan, "--tolerance"),
                       most = px_of(arguments.most, options.dpi, scan, "--tolerance");
  if (!least) return least.error();
  if (!most) return most.error();
  const Result<Located> located = locate_lines(arguments.common, picture, options, scan);
  if (!located) return located.error();
  ProgressLine line(scan, arguments.common.quiet);
  Result<Sweep> swept = sweep(*located, spread_tolerances(*least, *most, static_cast<std::size_t>(arguments.steps)),
                              options, second_half(&line));
  if (!swept) return named(swept.error(), scan);
  for (Conversion& conversion : swept->conversions) {
    put_back(conversion, picture, arguments.common.crop);
    note_pages(picture, &conversion);
  }
  return swept;
}

}  // namespace

std::optional<Error> sweep_scan(const SweepArguments& arguments, FileBatch* batch) {
  const Arguments& common = arguments.common;
  const std::string& scan = common.scans.front();
  const std::string table = common.out.empty() ? standard_output : common.out;
  if (auto error = check_clashes({scan}, {table, arguments.plot, common.proof})) return error;
  const Result<Picture> picture = read_scan(common, scan);
  if (!picture) return picture.error();
  const Result<Options> options = options_for(common, *picture, scan);
  if (!options) return options.error();
  const Result<Sweep> swept = run(arguments, *picture, *options);
  if (!swept) return swept.error();
  std::vector<Output> outputs = {{table, to_csv(*swept, *options, {scan})}};
  if (!arguments.plot.empty()) outputs.push_back({arguments.plot, to_plot_svg(*swept)});
  if (!common.proof.empty()) {
    Result<std::string> page = to_proof_page(*picture, *swept, {scan});
    if (!page) return page.error();
    outputs.push_back({common.proof, std::move(*page)});
  }
  if (auto error = write_together(outputs, batch)) return error;
  if (picture->pages > 1 && !common.quiet) show_error(scan + ": warning: " + pages_sentence(*picture));
  return std::nullopt;
}

}  // namespace batten::cli
