#include "sweep_scan.h"

#include <cstdio>

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
  for (Conversion& conversion : swept->conversions) put_back(conversion, picture, arguments.common.crop);
  return swept;
}

}  // namespace

std::optional<Error> sweep_scan(const SweepArguments& arguments) {
  const Arguments& common = arguments.common;
  const std::string& scan = common.scans.front();
  for (const std::string& path : {common.out, arguments.plot, common.proof})
    if (same_file(path, scan))
      return Error{ErrorCode::bad_option, path + " is the scan and would be written over: choose another name.", path};
  const Result<Picture> picture = read_picture(scan);
  if (!picture) return picture.error();
  const Result<Options> options = options_for(common, *picture, scan);
  if (!options) return options.error();
  const Result<Sweep> swept = run(arguments, *picture, *options);
  if (!swept) return swept.error();
  if (!arguments.plot.empty())
    if (auto error = write_result(arguments.plot, to_plot_svg(*swept))) return error;
  if (!common.proof.empty()) {
    const Result<std::string> page = to_proof_page(*picture, *swept, {scan});
    if (!page) return page.error();
    if (auto error = write_result(common.proof, *page)) return error;
  }
  const std::string csv = to_csv(*swept, *options, {scan});
  if (!common.out.empty()) return write_result(common.out, csv);
  std::fputs(csv.c_str(), stdout);
  std::fflush(stdout);
  return std::nullopt;
}

}  // namespace batten::cli
