#include "measure_paths.h"

#include <algorithm>

#include "batten/files.h"
#include "places.h"
#include "prepare.h"
#include "show.h"

namespace batten::cli {
namespace {

struct Read {
  SvgDrawing svg;
  std::vector<Finding> findings;
};

Finding placed(const std::string& text) { return {Finding::What::placed, -1, {}, 0, text}; }

// Reads the outlines, lays them on the scan and notes what was left out.
Result<Read> read(const std::string& path, const Picture* scan, double dpi) {
  Result<SvgDrawing> svg = read_outlines(path);
  if (!svg) return svg.error();
  Read out{std::move(*svg), {}};
  const auto note = [&](const std::string& text) { out.findings.push_back(placed(text)); };
  if (scan) note(place_on_scan(out.svg, scan->width, scan->height, dpi));
  if (out.svg.open_paths > 0)
    note(counted(out.svg.open_paths, "open path") + " of " + path + (out.svg.open_paths == 1 ? " was" : " were") +
         " left out.");
  if (!out.svg.sound) note("Something in " + path + " is not SVG 1.1 and was left out.");
  return out;
}

// Leaves out the outlines that lie wholly outside the part.
void keep_within(const std::optional<Crop>& part, Read* paths) {
  if (!part) return;
  const Crop& crop = *part;
  std::vector<Outline>& outlines = paths->svg.drawing.outlines;
  const auto outside = [&](const Outline& o) {
    return std::none_of(o.nodes.begin(), o.nodes.end(), [&](const Node& n) {
      return n.at.x >= crop.x && n.at.y >= crop.y && n.at.x <= crop.x + crop.width && n.at.y <= crop.y + crop.height;
    });
  };
  if (const std::size_t left_out = std::erase_if(outlines, outside))
    paths->findings.push_back(placed(counted(left_out, "outline") +
                                     (left_out == 1 ? " lies outside --crop and was" : " lie outside --crop and were") +
                                     " left out."));
}

Drawing moved(const Drawing& drawing, Point offset) {
  Conversion conversion{drawing, {}};
  translate(conversion, offset);
  return conversion.drawing;
}

Result<Conversion> judged(const MeasureArguments& arguments, const Picture& picture, double dpi) {
  const std::string& scan = arguments.common.scans.front();
  const Result<Options> options = options_for(arguments.common, picture, scan);
  if (!options) return options.error();
  Result<Read> paths = read(arguments.paths, &picture, dpi);
  if (!paths) return paths.error();
  const std::optional<Crop>& crop = arguments.common.crop;
  keep_within(crop, &*paths);
  const Result<Located> located = locate_lines(arguments.common, picture, *options, scan);
  if (!located) return located.error();
  ProgressLine line(scan, arguments.common.quiet);
  Result<Conversion> out =
      judge(*located, crop ? moved(paths->svg.drawing, {-double(crop->x), -double(crop->y)}) : paths->svg.drawing,
            *options, second_half(&line));
  if (!out) return out;
  put_back(*out, picture, crop);
  note_pages(picture, &*out);
  out->report.findings.insert(out->report.findings.begin(), paths->findings.begin(), paths->findings.end());
  return out;
}

Result<Comparison> compared(const MeasureArguments& arguments, const Picture* scan, double dpi) {
  Result<Read> own = read(arguments.paths, scan, dpi), right = read(arguments.against, scan, dpi);
  if (!own) return own.error();
  if (!right) return right.error();
  keep_within(arguments.common.crop, &*own);
  keep_within(arguments.common.crop, &*right);
  return compare(own->svg.drawing, right->svg.drawing);
}

Result<std::vector<Output>> outputs_for(const Arguments& common, const Picture& picture, const Conversion& conversion,
                                        const ReportContext& context) {
  std::vector<Output> outputs;
  if (!common.proof.empty()) {
    Result<std::string> proof = proof_for(common.proof, picture, conversion, context);
    if (!proof) return proof.error();
    outputs.push_back({common.proof, std::move(*proof)});
  }
  if (!common.report.empty()) outputs.push_back({common.report, to_json(conversion, context)});
  return outputs;
}

}  // namespace

std::optional<Error> measure_paths(const MeasureArguments& arguments, FileBatch* batch) {
  const Arguments& common = arguments.common;
  const std::string scan = common.scans.empty() ? "" : common.scans.front();
  if (auto error = check_clashes({scan, arguments.paths, arguments.against}, {common.proof, common.report}))
    return error;
  std::optional<Picture> picture;
  double dpi = common.options.dpi;
  if (!scan.empty()) {
    Result<Picture> read = read_scan(common, scan);
    if (!read) return read.error();
    picture = std::move(*read);
    if (dpi <= 0) dpi = picture->dpi;
  }
  ReportContext context{scan};
  std::vector<Output> outputs;
  if (!arguments.against.empty()) {
    const auto against = compared(arguments, picture ? &*picture : nullptr, dpi);
    if (!against) return against.error();
    context.against = *against;
  }
  if (picture) {
    const Result<Conversion> conversion = judged(arguments, *picture, dpi);
    if (!conversion) return conversion.error();
    const Result<std::vector<Output>> made = outputs_for(common, *picture, *conversion, context);
    if (!made) return made.error();
    outputs = *made;
    if (auto error = write_together(outputs, batch)) return error;
    if (!common.quiet) {
      say(measured_summary(arguments.paths, scan, *conversion), outputs);
      for (const Finding& finding : conversion->report.findings) say("  " + finding_line(finding), outputs);
    }
  }
  if (context.against && !common.quiet)
    say(comparison_summary(arguments.paths, arguments.against, *context.against), outputs);
  return std::nullopt;
}

}  // namespace batten::cli
