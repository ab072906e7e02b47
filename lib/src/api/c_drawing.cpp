// The C interface: what a drawing holds, how far it is from something, and its way to C++.

#include <cmath>
#include <limits>

#include "api/c_interface.h"
#include "batten/measure.h"
#include "batten/write.h"

namespace batten {

namespace c {

std::unique_ptr<batten_drawing> handle_of(Conversion&& conversion) {
  auto out = std::make_unique<batten_drawing>();
  for (const Outline& o : conversion.drawing.outlines) {
    std::vector<double>& nodes = out->nodes.emplace_back();
    std::vector<std::int32_t>& reasons = out->reasons.emplace_back();
    for (const Node& n : o.nodes) {
      for (const Point p : {n.handle_before, n.at, n.handle_after}) nodes.push_back(p.x), nodes.push_back(p.y);
      reasons.push_back(std::int32_t(n.reason));
    }
  }
  out->conversion = std::move(conversion);
  return out;
}
}  // namespace c

const Conversion* conversion_of(const batten_drawing* drawing) { return drawing ? &drawing->conversion : nullptr; }

batten_drawing* handle_for(Conversion conversion) { return c::handle_of(std::move(conversion)).release(); }

std::optional<Sweep> sweep_of(const batten_sweep* sweep) {
  if (!sweep) return std::nullopt;
  Sweep out = sweep->sweep;
  for (const auto& drawing : sweep->drawings) out.conversions.push_back(drawing->conversion);
  return out;
}

}  // namespace batten

namespace {

using batten::c::bad, batten::c::copy_text, batten::c::given;

const batten::Outline* outline_of(const batten_drawing* d, std::size_t i) {
  return d && i < d->conversion.drawing.outlines.size() ? &d->conversion.drawing.outlines[i] : nullptr;
}

// Six numbers a node, as batten_outline_nodes() has them.
batten::Outline outline_from(const double* nodes, std::size_t count, bool closed) {
  batten::Outline out;
  out.closed = closed, out.kind = closed ? batten::Kind::outlined : batten::Kind::line;
  for (std::size_t k = 0; k < count; ++k, nodes += 6) {
    batten::Node n{{nodes[0], nodes[1]}, {nodes[2], nodes[3]}, {nodes[4], nodes[5]}};
    const batten::Point a = n.at - n.handle_before, b = n.handle_after - n.at;
    // Handles in one line, to a thousandth of a radian; a node with one handle or none is a corner.
    const double lengths = std::hypot(a.x, a.y) * std::hypot(b.x, b.y);
    n.smooth = lengths > 0 && a.x * b.x + a.y * b.y > 0 && std::abs(a.x * b.y - a.y * b.x) <= 1e-3 * lengths;
    if (!n.smooth) n.reason = batten::Reason::corner;
    out.nodes.push_back(n);
  }
  if (!closed && count > 0) out.nodes.front().reason = out.nodes.back().reason = batten::Reason::line_end;
  return out;
}

}  // namespace

extern "C" {

void batten_drawing_free(batten_drawing* drawing) { delete drawing; }

int batten_drawing_summary(const batten_drawing* drawing, batten_summary* summary) {
  if (!drawing) return 0;
  const batten::Drawing& d = drawing->conversion.drawing;
  const batten::Report& r = drawing->conversion.report;
  batten_summary s{};
  s.width_px = d.width_px, s.height_px = d.height_px, s.dpi = d.dpi;
  s.outlines = d.outlines.size(), s.segments = r.segments, s.findings = r.findings.size();
  s.max_px = r.max_px, s.rms_px = r.rms_px, s.tolerance_px = r.tolerance_px, s.p95_px = r.p95_px;
  s.fewest_found = r.least.numerical, s.fewest_proven = r.least.proven;
  s.edits = r.edits.size(), s.known_px = r.known_px;
  s.pins = r.pins.size();
  for (const batten::PinOutcome& pin : r.pins) s.pins_held += pin.held;
  s.within_tolerance = r.within_tolerance;
  s.origin_x = d.origin.x, s.origin_y = d.origin.y;
  s.turn_deg = r.sheet.known ? r.sheet.deg : std::numeric_limits<double>::quiet_NaN();
  return given(s, summary);
}

size_t batten_outline_count(const batten_drawing* drawing) {
  return drawing ? drawing->conversion.drawing.outlines.size() : 0;
}

int batten_outline_at(const batten_drawing* drawing, size_t outline, batten_outline* info) {
  const batten::Outline* o = outline_of(drawing, outline);
  batten_outline i{};
  if (!o) return 0;
  i.parent = o->parent, i.kind = std::int32_t(o->kind), i.closed = o->closed, i.nodes = o->nodes.size();
  if (outline < drawing->conversion.report.outlines.size()) {
    const auto& r = drawing->conversion.report.outlines[outline];
    i.max_px = r.max_px, i.rms_px = r.rms_px, i.p95_px = r.p95_px, i.limit_px = r.limit_px, i.worst_x = r.worst.x,
    i.worst_y = r.worst.y;
    i.within_tolerance = r.within_tolerance, i.tolerance_px = r.tolerance_px;
  }
  i.sigma_px = o->sigma_px, i.band_px = o->band_px;
  i.inside = std::int32_t(o->face.inside), i.ink_share = o->face.ink_share, i.why = o->face.why.c_str();
  return given(i, info);
}

int batten_outline_loop(const batten_drawing* drawing, size_t outline, batten_loop* info) {
  const batten::Outline* o = outline_of(drawing, outline);
  if (!o) return 0;
  batten::LocatedLoop loop{{}, o->closed, o->kind, o->sigma_px, 0, o->band_px};
  if (outline < drawing->conversion.report.outlines.size()) {
    const batten::OutlineReport& r = drawing->conversion.report.outlines[outline];
    loop.points = r.located, loop.correlation_px = r.correlation_px;
  }
  return given(batten::c::loop_for(loop), info);
}

const double* batten_outline_nodes(const batten_drawing* drawing, size_t outline) {
  return outline_of(drawing, outline) ? drawing->nodes[outline].data() : nullptr;
}

const int32_t* batten_outline_reasons(const batten_drawing* drawing, size_t outline) {
  return outline_of(drawing, outline) ? drawing->reasons[outline].data() : nullptr;
}

int batten_finding_at(const batten_drawing* drawing, size_t finding, batten_finding* info) {
  if (!drawing || finding >= drawing->conversion.report.findings.size()) return 0;
  const batten::Finding& f = drawing->conversion.report.findings[finding];
  batten_finding i{};
  i.what = std::int32_t(f.what), i.warning = batten::level_of(f.what) == batten::Level::warning;
  i.outline = f.outline, i.x = f.place.x, i.y = f.place.y, i.amount_px = f.amount_px, i.text = f.text.c_str();
  return given(i, info);
}

int batten_edit_at(const batten_drawing* drawing, size_t edit, batten_edit* info) {
  if (!drawing || edit >= drawing->conversion.report.edits.size()) return 0;
  const batten::Edit& e = drawing->conversion.report.edits[edit];
  batten_edit i{};
  i.kind = std::int32_t(e.kind), i.kept = e.kept, i.nodes = e.nodes.size(), i.moved_px = e.moved_px;
  return given(i, info);
}

int batten_edit_node(const batten_drawing* drawing, size_t edit, size_t node, size_t* outline,
                     size_t* node_of_outline) {
  if (!drawing || !outline || !node_of_outline || edit >= drawing->conversion.report.edits.size()) return 0;
  const std::vector<batten::Edit::Where>& nodes = drawing->conversion.report.edits[edit].nodes;
  if (node >= nodes.size()) return 0;
  *outline = std::size_t(nodes[node].outline), *node_of_outline = std::size_t(nodes[node].node);
  return 1;
}

size_t batten_to_svg(const batten_drawing* drawing, char* text, size_t size) {
  if (text && size > 0) text[0] = 0;
  if (!drawing) return 0;
  try {
    const std::string svg = batten::to_svg(drawing->conversion.drawing);
    if (text && size > 0) copy_text(svg, text, size);
    return svg.size();
  } catch (...) {
    return 0;
  }
}

int32_t batten_drawing_of(const double* nodes, const size_t* lengths, size_t closed, size_t open, double width_px,
                          double height_px, double dpi, batten_drawing** out, batten_error* error) {
  return batten::c::run(nullptr, nullptr, out, error,
                        [&](const batten::Options&, const batten::Job&) -> batten::Result<batten::Conversion> {
                          if (closed + open > 0 && (!nodes || !lengths))
                            return bad("Nodes and how many each outline has are needed.", "nodes");
                          batten::Conversion made;
                          made.drawing.width_px = width_px, made.drawing.height_px = height_px, made.drawing.dpi = dpi;
                          const double* next = nodes;
                          for (std::size_t i = 0; i < closed + open; ++i, next += 6 * lengths[i - 1])
                            made.drawing.outlines.push_back(outline_from(next, lengths[i], i < closed));
                          return made;
                        });
}

int batten_measure(const batten_drawing* drawing, size_t outline, const double* xy, size_t points, double step_px,
                   batten_deviation* info) {
  const batten::Outline* o = outline_of(drawing, outline);
  if (!o || (!xy && points > 0) || !(step_px > 0)) return 0;
  try {
    std::vector<batten::Point> polyline(points);
    for (batten::Point& p : polyline) p = {xy[0], xy[1]}, xy += 2;
    const batten::Deviation d = batten::measure(*o, polyline, step_px);
    return given({0, d.max_px, d.rms_px, d.p95_px, d.worst.x, d.worst.y}, info);
  } catch (...) {
    return 0;
  }
}

int batten_compare(const batten_drawing* drawing, const batten_drawing* truth, batten_comparison* info) {
  if (!drawing || !truth) return 0;
  try {
    const batten::Comparison c = batten::compare(drawing->conversion.drawing, truth->conversion.drawing);
    return given({0, c.outlines, c.missing, c.extra, c.segments, c.truth_segments, c.corners_found, c.corners_missing,
                  c.corners_extra, c.max_px, c.rms_px, c.p95_px, c.worst.x, c.worst.y},
                 info);
  } catch (...) {
    return 0;
  }
}

}  // extern "C"
