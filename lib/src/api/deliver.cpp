#include "api/deliver.h"

#include <algorithm>

#include "batten/measure.h"
#include "finish/assemble_areas.h"
#include "judge/judge_outlines.h"

namespace batten {
namespace {

// The loops that are delivered, in their order, and where each went.
struct Selection {
  std::vector<std::size_t> kept;
  std::vector<int> place;  // of each loop among those kept; -1: left out
};

Selection select(const SpacedLoops& loops, const std::vector<Area>& areas, Options::Output output) {
  Selection out;
  const std::vector<char> borders = which_are_borders(areas, loops.loops.size());
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    const bool open = loops.loops[k].open(), left_out = output == Options::Output::outlines ? open && !borders[k]
                                                        : output == Options::Output::lines  ? !open
                                                                                            : false;
    out.place.push_back(left_out ? -1 : int(out.kept.size()));
    if (!left_out) out.kept.push_back(k);
  }
  return out;
}

std::vector<Area> areas_of(const std::vector<Area>& areas, const Selection& selection, Options::Output output) {
  if (output == Options::Output::lines) return {};
  std::vector<Area> out = areas;
  for (Area& area : out)
    for (Area::Part& part : area.parts)
      part.loop = part.loop >= 0 && std::size_t(part.loop) < selection.place.size()
                      ? selection.place[std::size_t(part.loop)]
                      : -1;
  return out;
}

void drop(const Selection& selection, Finished* f) {
  const auto taken = [&](auto* all) {
    auto out = *all;
    out.clear();
    for (const std::size_t k : selection.kept)
      if (k < all->size()) out.push_back(std::move((*all)[k]));
    *all = std::move(out);
  };
  taken(&f->of_loops.outlines), taken(&f->least);
  for (Outline& o : f->of_loops.outlines)
    if (o.parent >= 0) o.parent = selection.place[std::size_t(o.parent)];
  const auto is_gone = [&](int outline) { return outline >= 0 && selection.place[std::size_t(outline)] < 0; };
  std::erase_if(f->findings, [&](const Finding& finding) { return is_gone(finding.outline); });
  std::erase_if(f->edits, [&](const Edit& e) {
    return std::any_of(e.nodes.begin(), e.nodes.end(), [&](const Edit::Where& w) { return is_gone(w.outline); });
  });
  for (Finding& finding : f->findings)
    if (finding.outline >= 0) finding.outline = selection.place[std::size_t(finding.outline)];
  for (Edit& e : f->edits)
    for (Edit::Where& w : e.nodes) w.outline = selection.place[std::size_t(w.outline)];
}

void add(const LowerBound& one, LowerBound* all) {
  all->proven += one.proven, all->numerical += one.numerical;
  if (one.argument == LowerBound::Argument::degree) all->argument = one.argument;
}

// An area is judged against the located points of its lines, one after another.
OutlineReport report_of(const Outline& outline, const std::vector<Area::Part>& parts,
                        const std::vector<OutlineReport>& lines) {
  OutlineReport r;
  for (const Area::Part& part : parts) {
    const OutlineReport& line = lines[std::size_t(part.loop)];
    std::vector<Point> points = line.judged;
    if (part.reversed) std::reverse(points.begin(), points.end());
    r.judged.insert(r.judged.end(), points.begin(), points.end());
    r.replaced_length_px += line.replaced_length_px, r.loop_length_px += line.loop_length_px;
    r.limit_px = std::max(r.limit_px, line.limit_px);
    add(line.least, &r.least);
  }
  const Deviation off = measure(outline, r.judged, 0.25);
  r.max_px = off.max_px, r.rms_px = off.rms_px, r.p95_px = off.p95_px, r.worst = off.worst;
  return r;
}

void assemble(const std::vector<Area>& areas, const Options& options, const std::stop_token& stop, Conversion* out) {
  Assembly assembly = assemble_areas(out->drawing, areas, options);
  Report& report = out->report;
  std::vector<OutlineReport> of_lines = std::move(report.outlines);
  report.outlines.clear();
  report.segments = 0, report.nodes_by_reason = {}, report.least = {};
  for (std::size_t i = 0; i < assembly.drawing.outlines.size() && !stop.stop_requested(); ++i) {
    const Outline& o = assembly.drawing.outlines[i];
    const std::vector<Area::Part>& parts = assembly.parts[i];
    OutlineReport r = o.closed && !out->drawing.outlines[std::size_t(parts[0].loop)].closed
                          ? report_of(o, parts, of_lines)
                          : of_lines[std::size_t(parts[0].loop)];
    r.segments = o.segment_count(), r.nodes_by_reason = {};
    for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
    report.segments += r.segments;
    for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) report.nodes_by_reason[k] += r.nodes_by_reason[k];
    add(r.least, &report.least);
    report.outlines.push_back(std::move(r));
  }
  for (Finding& f : report.findings)
    if (f.outline >= 0) f.outline = assembly.outline_of[std::size_t(f.outline)];
  for (Edit& e : report.edits)
    for (Edit::Where& w : e.nodes) {
      const std::vector<int>& node_of = assembly.node_of[std::size_t(w.outline)];
      if (!node_of.empty()) w.node = node_of[std::size_t(w.node)];
      w.outline = assembly.outline_of[std::size_t(w.outline)];
    }
  out->drawing = std::move(assembly.drawing);
}

}  // namespace

Conversion deliver(const SpacedLoops& loops, const std::vector<Area>& areas, Finished finished, const Options& options,
                   const std::stop_token& stop) {
  const Selection selection = select(loops, areas, options.output);
  const bool all = selection.kept.size() == loops.loops.size();
  SpacedLoops part;
  if (!all) {
    part.origin = loops.origin;
    for (const std::size_t k : selection.kept) part.loops.push_back(loops.loops[k]);
    drop(selection, &finished);
  }
  Conversion out;
  out.drawing = std::move(finished.of_loops);
  out.report.edits = std::move(finished.edits);
  judge_outlines(all ? loops : part, out.drawing, &out.report, finished.least, stop);
  if (stop.stop_requested()) return out;
  out.report.findings.insert(out.report.findings.end(), finished.findings.begin(), finished.findings.end());
  if (out.drawing.outlines.empty() && !loops.loops.empty())
    out.report.findings.push_back(
        {Finding::What::fallback,
         -1,
         {},
         0,
         options.output == Options::Output::lines
             ? "No open lines were found, and only lines were asked for: ask for outlines, or for a drawing of lines."
             : "No closed outlines were found, and only outlines were asked for: ask for lines as well."});
  const std::vector<Area> kept_areas = areas_of(areas, selection, options.output);
  if (!kept_areas.empty()) assemble(kept_areas, options, stop, &out);
  return out;
}

}  // namespace batten
