#include "api/deliver.h"

#include <algorithm>

#include "base/cubic.h"
#include "batten/measure.h"
#include "finish/assemble_areas.h"
#include "judge/judge_outlines.h"
#include "judge/sentence.h"
#include "measure/reference_loop.h"

namespace batten {
namespace {

// The loops that are delivered, in their order, and where each went.
struct Selection {
  std::vector<std::size_t> kept;
  std::vector<int> place;  // of each loop among those kept; -1: left out
};

double length_of(const Outline& o) {
  double px = 0;
  for (std::size_t i = 0; i < o.segment_count(); ++i) px += length(o.segment(i));
  return px;
}

// Thinner than half the pencil line that it was drawn with, so that no paper is left inside; of a shape that was filled
// thinner than a pixel. Small dots are round and no slivers.
bool is_sliver(const Outline& o) {
  constexpr double long_for_its_width = 6;
  const double around_px = length_of(o), width_px = std::abs(signed_area_px2(o)) / (0.5 * around_px);
  const double thinnest_px = o.kind == Kind::filled ? 1 : 0.5 * o.band_px;
  return width_px < thinnest_px && 0.5 * around_px > long_for_its_width * width_px;
}

Finding left_out(const Outline& o, const char* why) {
  const double around_px = length_of(o);
  const Point at = o.nodes.front().at;
  return {Finding::What::left_out, -1, at, around_px,
          sentence("An outline {0} px round at ({1}, {1}) was left out: ", {around_px, at.x, at.y}) + why + "."};
}
constexpr const char* crosses = "it would cross itself, since part of the drawing is too narrow";
constexpr const char* too_thin = "it would be thinner than the line that it was drawn with";

// Closed outlines that are not fit to be delivered, because they cross themselves and not because the line that was
// given does, or as slivers; and what lies in them, which would change sides without them.
std::vector<char> which_are_unfit(const Drawing& of_loops, const SpacedLoops& loops, std::vector<Finding>* findings) {
  std::vector<char> unfit(of_loops.outlines.size(), 0);
  for (std::size_t k = 0; k < unfit.size(); ++k) {
    const Outline& o = of_loops.outlines[k];
    if (!o.closed || o.nodes.size() < 2) continue;
    const bool crossed = crosses_itself(o);
    if (crossed && crosses_itself(loops.loops[k])) continue;
    if (!crossed && !is_sliver(o)) continue;
    unfit[k] = 1;
    findings->push_back(left_out(o, crossed ? crosses : too_thin));
  }
  for (std::size_t k = 0; k < unfit.size(); ++k) {
    if (unfit[k]) continue;
    int parent = of_loops.outlines[k].parent;
    while (parent >= 0 && !unfit[std::size_t(parent)]) parent = of_loops.outlines[std::size_t(parent)].parent;
    if (parent < 0) continue;
    unfit[k] = 2;
    findings->push_back(left_out(of_loops.outlines[k], "the outline round it was"));
  }
  return unfit;
}

Selection select(const SpacedLoops& loops, const std::vector<Area>& areas, Options::Output output,
                 const std::vector<char>& unfit) {
  Selection out;
  const std::vector<char> borders = which_are_borders(areas, loops.loops.size());
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    const bool open = loops.loops[k].open(), left_out = output == Options::Output::outlines ? open && !borders[k]
                                                        : output == Options::Output::lines  ? !open
                                                                                            : false;
    if (k < unfit.size() && unfit[k]) {
      out.place.push_back(-1);
      continue;
    }
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
    points = line.located;
    if (part.reversed) std::reverse(points.begin(), points.end());
    r.located.insert(r.located.end(), points.begin(), points.end());
    r.replaced_length_px += line.replaced_length_px, r.loop_length_px += line.loop_length_px;
    r.limit_px = std::max(r.limit_px, line.limit_px), r.known_px = std::max(r.known_px, line.known_px);
    r.tolerance_px = std::max(r.tolerance_px, line.tolerance_px);
    r.correlation_px = std::max(r.correlation_px, line.correlation_px);
    add(line.least, &r.least);
  }
  const Deviation off = measure(outline, r.judged, 0.25);
  r.max_px = off.max_px, r.rms_px = off.rms_px, r.p95_px = off.p95_px, r.worst = off.worst;
  name_tips(outline, outline.band_px, &r);
  judge_tolerance(&r);
  // Lines may have tolerances of their own, where none was asked for: each is held to its own.
  r.within_tolerance = r.within_tolerance && std::all_of(parts.begin(), parts.end(), [&](const Area::Part& part) {
                         return lines[std::size_t(part.loop)].within_tolerance;
                       });
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
    if (const std::vector<int>& became = assembly.node_of[std::size_t(parts[0].loop)]; parts.size() == 1) {
      for (Tip& tip : r.tips)
        if (tip.node < became.size()) tip.node = std::size_t(became[tip.node]);
      for (HiddenCorner& corner : r.hidden)
        if (corner.node < became.size()) corner.node = std::size_t(became[corner.node]);
    }
    report.outlines.push_back(std::move(r));
  }
  for (const Outline& o : assembly.crossed) report.findings.push_back(left_out(o, crosses));
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
  std::vector<Finding> unfit_found;
  std::vector<char> unfit;
  if (finished.leaves_out) unfit = which_are_unfit(finished.of_loops, loops, &unfit_found);
  const Selection selection = select(loops, areas, options.output, unfit);
  const bool all = selection.kept.size() == loops.loops.size();
  SpacedLoops part;
  if (!all) {
    part.origin = loops.origin, part.unit_px = loops.unit_px;
    for (const std::size_t k : selection.kept) part.loops.push_back(loops.loops[k]);
    drop(selection, &finished);
  }
  Conversion out;
  out.drawing = std::move(finished.of_loops);
  out.report.edits = std::move(finished.edits);
  out.report.hold_tolerance = options.hold_tolerance && options.tolerance_px;
  judge_outlines(all ? loops : part, out.drawing, &out.report, finished.least, options.threads, stop);
  if (stop.stop_requested()) return out;
  out.report.findings.insert(out.report.findings.end(), finished.findings.begin(), finished.findings.end());
  if (options.output != Options::Output::lines)
    out.report.findings.insert(out.report.findings.end(), unfit_found.begin(), unfit_found.end());
  if (out.drawing.outlines.empty() && !loops.loops.empty() && options.output != Options::Output::both)
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
  judge_tolerance(&out.report);
  return out;
}

}  // namespace batten
