// judge(): outlines that were there already, on the located lines of a scan.

#include <algorithm>
#include <cmath>
#include <limits>

#include "api/located.h"
#include "base/cubic.h"
#include "base/nesting.h"
#include "batten/measure.h"
#include "corners/space_loops.h"
#include "finish/finish_drawing.h"
#include "judge/advise_outlines.h"
#include "judge/judge_outlines.h"
#include "judge/match_outlines.h"
#include "judge/name_nodes.h"
#include "measure/line_sigma.h"

namespace batten {
namespace {

constexpr double infinite = std::numeric_limits<double>::infinity();

std::vector<Point> polygon_of(const Outline& outline) {
  constexpr int each = 16;
  std::vector<Point> polygon;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i)
    for (int k = 0; k < each; ++k) polygon.push_back(evaluate(outline.segment(i), double(k) / each));
  return polygon;
}

// How many surround each. A parent encloses more than its children, so none is its own.
std::vector<int> depths_of(const std::vector<int>& parent) {
  std::vector<int> depths(parent.size(), -1), way;
  for (std::size_t i = 0; i < parent.size(); ++i) {
    for (int k = int(i); k >= 0 && depths[std::size_t(k)] < 0; k = parent[std::size_t(k)]) way.push_back(k);
    for (; !way.empty(); way.pop_back()) {
      const int above = parent[std::size_t(way.back())];
      depths[std::size_t(way.back())] = above < 0 ? 0 : depths[std::size_t(above)] + 1;
    }
  }
  return depths;
}

// Parents by containment; outer outlines clockwise on screen, counters the other way.
void put_in_order(Drawing* drawing) {
  std::vector<std::vector<Point>> polygons;
  for (const Outline& o : drawing->outlines) polygons.push_back(o.closed ? polygon_of(o) : std::vector<Point>{});
  const std::vector<int> parent = nesting(polygons), depths = depths_of(parent);
  for (std::size_t i = 0; i < drawing->outlines.size(); ++i) {
    Outline& o = drawing->outlines[i];
    o.parent = parent[i];
    if (o.closed && (signed_area_px2(o) > 0) != (depths[i] % 2 == 0)) {
      std::reverse(o.nodes.begin(), o.nodes.end());
      for (Node& n : o.nodes) std::swap(n.handle_before, n.handle_after);
    }
    name_nodes(&o);
  }
}

OutlineReport unknown_report(const Outline& o) {
  OutlineReport r;
  r.segments = o.segment_count();
  for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
  r.max_px = r.rms_px = r.p95_px = infinite;
  if (!o.nodes.empty()) r.worst = o.nodes[0].at;
  return r;
}

bool is_on_a_sheet(const Outline& o) {
  constexpr double most_px = 1e9;
  const auto fits = [](Point p) { return std::abs(p.x) <= most_px && std::abs(p.y) <= most_px; };
  return std::all_of(o.nodes.begin(), o.nodes.end(),
                     [&](const Node& n) { return fits(n.at) && fits(n.handle_before) && fits(n.handle_after); });
}

void report_missing(const SpacedLoops& loops, const std::vector<int>& match, std::vector<Finding>* findings) {
  for (std::size_t k = 0; k < loops.loops.size(); ++k)
    if (std::find(match.begin(), match.end(), int(k)) == match.end())
      findings->push_back({Finding::What::no_outline, -1, loops.loops[k].curve.points.front(),
                           loops.loops[k].curve.drawn_px(),
                           loops.loops[k].open() ? "A line was drawn here that has no path."
                                                 : "A shape was drawn here that has no outline."});
}

// Judges the outlines that lie on something, in the order of their drawing. The others have no figures, and then the
// whole drawing has none either: nobody should take the rest for all.
void judge_matched(const SpacedLoops& loops, const std::vector<int>& match, int threads, const std::stop_token& stop,
                   Conversion* out) {
  SpacedLoops matched;
  Drawing part;
  std::vector<std::size_t> place;
  for (std::size_t i = 0; i < match.size(); ++i) {
    Outline& o = out->drawing.outlines[i];
    out->report.outlines.push_back(unknown_report(o));
    if (match[i] < 0) {
      out->report.findings.push_back(
          {Finding::What::not_drawn, int(i), o.nodes[0].at, 0, "This outline lies on nothing that was drawn."});
      continue;
    }
    const SpacedLoop& loop = loops.loops[std::size_t(match[i])];
    o.kind = loop.kind, o.sigma_px = line_sigma_px(loop, o), o.band_px = loop.band_px, o.face = loop.face;
    matched.loops.push_back(loop), part.outlines.push_back(o), place.push_back(i);
  }
  Report report;
  judge_outlines(matched, part, &report, {}, threads, stop);
  if (stop.stop_requested()) return;
  for (std::size_t k = 0; k < place.size(); ++k) out->report.outlines[place[k]] = std::move(report.outlines[k]);
  for (Finding& f : report.findings) {
    if (f.what == Finding::What::tolerance_widened) continue;  // nothing was held to anything here
    if (f.outline >= 0) f.outline = int(place[std::size_t(f.outline)]);
    out->report.findings.push_back(std::move(f));
  }
  if (place.size() < match.size()) report.max_px = report.rms_px = report.p95_px = infinite;
  out->report.max_px = report.max_px, out->report.rms_px = report.rms_px, out->report.p95_px = report.p95_px;
  out->report.tolerance_px = report.tolerance_px, out->report.known_px = report.known_px;
}

Result<Conversion> judge_located(const Located::Data& data, const Drawing& drawing, const Options& options,
                                 const Job& job) {
  Progress progress(job, Stage::finish, 0, 1);
  const Result<SpacedLoops> spaced = space_loops(data.loops, options, progress);
  if (!spaced) return spaced.error();
  Conversion out;
  out.drawing = drawing;
  out.drawing.guides = data.loops.guides;
  out.drawing.width_px = data.width_px, out.drawing.height_px = data.height_px, out.drawing.dpi = data.dpi;
  // Where no lines were looked for, none are judged.
  const bool lines = std::any_of(spaced->loops.begin(), spaced->loops.end(), [](const auto& l) { return l.open(); });
  std::erase_if(out.drawing.outlines, [&](const Outline& o) { return o.nodes.size() < 2 || (!o.closed && !lines); });
  put_in_order(&out.drawing);
  std::vector<std::vector<Point>> polylines;
  std::vector<char> open;
  for (const SpacedLoop& loop : spaced->loops) {
    const std::vector<Point>& points = loop.curve.points;
    polylines.emplace_back(points.begin(), points.begin() + std::ptrdiff_t(loop.curve.drawn_count()));
    open.push_back(loop.open());
  }
  constexpr double most_px = 12;  // mean distance: an outline farther off does not lie on the line
  const std::vector<int> match = match_outlines(out.drawing.outlines, polylines, most_px, open);
  judge_matched(*spaced, match, options.threads, progress.stop_token(), &out);
  if (progress.stopped()) return progress.cancelled();
  report_missing(*spaced, match, &out.report.findings);
  out.report.tolerance_px = options.tolerance_px.value_or(std::max(finest_auto_tolerance_px, out.report.tolerance_px));
  for (OutlineReport& r : out.report.outlines)
    if (r.tolerance_px == 0) r.tolerance_px = out.report.tolerance_px;  // of one that lies on nothing
  for (std::size_t i = 0; i < out.drawing.outlines.size(); ++i) {
    if (progress.stopped()) return progress.cancelled();
    const Outline& o = out.drawing.outlines[i];
    out.report.segments += o.segment_count();
    for (Finding& f : advise_outline(o, int(i), out.report.tolerance_px)) out.report.findings.push_back(std::move(f));
    progress.advance(double(i + 1) / double(out.drawing.outlines.size()));
  }
  judge_tolerance(&out.report);
  tell(job, out.report.findings);
  progress.advance(1);
  return out;
}

}  // namespace

Result<Conversion> judge(const Located& located, const Drawing& drawing, const Options& options, const Job& job) {
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i)
    if (!is_on_a_sheet(drawing.outlines[i]))
      return Error{
          ErrorCode::bad_polyline,
          "Outline " + std::to_string(i) + " has a coordinate that is no place on a sheet: give numbers of px.",
          "outline " + std::to_string(i)};
  return guarded(options, job, [&](const Options& o) { return judge_located(located.data(), drawing, o, job); });
}

}  // namespace batten
