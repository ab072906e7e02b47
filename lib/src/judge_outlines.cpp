#include "judge_outlines.h"

#include <algorithm>
#include <cstdio>

#include "batten/measure.h"
#include "find_corners.h"

namespace batten {
namespace {

struct Zone {
  double from, length;  // arc
  Point apex;
};

// The two arms beside a corner, run on along their own directions; without a meeting point near by the corner's own
// place is the honest end of both.
Zone zone_of(const SpacedLoop& loop, const Node& node, double turn_deg) {
  double arc = 0, best = 1e300;
  for (std::size_t i = 0; i < loop.even.size(); ++i) {
    const double d2 = norm2(loop.even.points[i] - node.at);
    if (d2 < best) best = d2, arc = double(i) * loop.even.step_px;
  }
  const double zone = corner_zone_px(loop, turn_deg), reach = zone + std::max(4.0, 2 * loop.scale_px);
  const LocalFit in = local_quadratic(loop.even, arc - reach, arc - zone, arc - zone);
  const LocalFit out = local_quadratic(loop.even, arc + zone, arc + reach, arc + zone);
  Zone z{arc - zone, 2 * zone, node.at};
  const double den = cross(in.tangent, out.tangent);
  if (std::abs(den) > 0.2) {
    const Point meet = in.at + cross(out.at - in.at, out.tangent) / den * in.tangent;
    if (distance(meet, node.at) < 1.5 * zone + 2) z.apex = meet;
  }
  return z;
}

double turn_deg_at(const Outline& o, std::size_t i) {
  const std::size_t before = i ? i - 1 : o.nodes.size() - 1;
  const Cubic in = o.segment(before), out = o.segment(i);
  Point a = in[3] - in[2], b = out[1] - out[0];
  if (norm2(a) < 1e-12) a = in[3] - in[0];
  if (norm2(b) < 1e-12) b = out[3] - out[0];
  return std::abs(degrees(turn_between(a, b)));
}

std::string sentence(const char* format, double a, double b, double c, double d) {
  char text[240];
  std::snprintf(text, sizeof text, format, a, b, c, d);
  return text;
}

void add_findings(const SpacedLoop& loop, int index, const OutlineReport& r, std::vector<Finding>* findings) {
  if (loop.tolerance_px < loop.limit_px - 1e-9)
    findings->push_back({Finding::What::tolerance_below_uncertainty, index, r.worst, loop.sigma_px,
                         sentence("The tolerance of %.2f px is below what the pencil line can tell (uncertainty %.2f px): "
                                  "the outline was held to %.2f px; largest deviation %.2f px.",
                                  loop.tolerance_px, loop.sigma_px, loop.limit_px, r.max_px)});
  if (r.max_px > loop.tolerance_px)
    findings->push_back({Finding::What::tolerance_exceeded, index, r.worst, r.max_px,
                         sentence("The outline is %.2f px off the drawing at (%.1f, %.1f); the tolerance is %.2f px.", r.max_px,
                                  r.worst.x, r.worst.y, loop.tolerance_px)});
}

void add_bound(const LowerBound& one, LowerBound* all) {
  all->proven += one.proven, all->numerical += one.numerical;
  if (one.argument == LowerBound::Argument::degree) all->argument = one.argument;
}

}  // namespace

Reference reference_loop(const SpacedLoop& loop, const Outline& outline) {
  Reference out;
  std::vector<Zone> zones;
  for (std::size_t i = 0; i < outline.nodes.size(); ++i)
    if (!outline.nodes[i].smooth) zones.push_back(zone_of(loop, outline.nodes[i], turn_deg_at(outline, i)));
  std::vector<std::pair<double, Point>> points;  // by arc
  std::vector<char> dropped(loop.even.size(), 0);
  for (const Zone& z : zones) {
    for (double u = 0; u <= z.length; u += loop.even.step_px)
      dropped[loop.even.index(std::ptrdiff_t(std::lround((z.from + u) / loop.even.step_px)))] = 1;
    points.emplace_back(loop.even.wrap(z.from + 0.5 * z.length), z.apex);
  }
  for (std::size_t i = 0; i < loop.even.size(); ++i) {
    if (!dropped[i])
      points.emplace_back(double(i) * loop.even.step_px, loop.even.points[i]);
    else
      out.replaced_px += loop.even.step_px;
  }
  std::stable_sort(points.begin(), points.end(), [](const auto& a, const auto& b) { return a.first < b.first; });
  for (const auto& p : points) out.points.push_back(p.second);
  return out;
}

void judge_outlines(const SpacedLoops& loops, const Drawing& drawing, Report* report,
                    const std::vector<LowerBound>& least) {
  double sum = 0, total = 0;
  std::vector<DistanceSample> samples;
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
    const SpacedLoop& loop = loops.loops[i];
    const Outline& o = drawing.outlines[i];
    Reference ref = reference_loop(loop, o);
    const Deviation dev = measure(o, ref.points, 0.25, &samples);
    OutlineReport r;
    r.segments = o.segment_count();
    for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
    r.max_px = dev.max_px, r.rms_px = dev.rms_px, r.p95_px = dev.p95_px, r.worst = dev.worst;
    r.replaced_length_px = ref.replaced_px;
    r.loop_length_px = loop.even.length_px();
    r.limit_px = loop.limit_px;
    report->segments += r.segments;
    for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) report->nodes_by_reason[k] += r.nodes_by_reason[k];
    if (i < least.size()) add_bound(least[i], &r.least), add_bound(least[i], &report->least);
    report->max_px = std::max(report->max_px, r.max_px);
    sum += r.rms_px * r.rms_px * r.loop_length_px, total += r.loop_length_px;
    report->tolerance_px = std::max(report->tolerance_px, loop.tolerance_px);
    add_findings(loop, int(i), r, &report->findings);
    if (crosses_itself(o))
      report->findings.push_back({Finding::What::fallback, int(i), o.nodes.empty() ? Point{} : o.nodes[0].at, 0,
                                  "The outline crosses itself: the drawing is too narrow there for the tolerance."});
    r.judged = std::move(ref.points);
    report->outlines.push_back(std::move(r));
  }
  report->rms_px = total > 0 ? std::sqrt(sum / total) : 0;
  report->p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
}

}  // namespace batten
