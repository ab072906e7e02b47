#include "judge/judge_outlines.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "batten/measure.h"
#include "judge/sentence.h"

namespace batten {
namespace {

// A loop that crosses itself leaves the outline no choice.
std::string why_it_crosses(const SpacedLoop& loop) {
  Outline polygon;
  for (const Point p : loop.curve.points) polygon.nodes.push_back({p, p, p});
  return crosses_itself(polygon) ? "The outline crosses itself because the loop that it follows does: draw, or pass, a "
                                   "loop that does not cross itself."
                                 : "The outline crosses itself: part of the drawing is too narrow for the tolerance.";
}

void add_findings(const SpacedLoop& loop, int index, const OutlineReport& r, Point origin,
                  std::vector<Finding>* findings) {
  if (loop.tolerance_px < loop.limit_px - 1e-9)
    findings->push_back(
        {Finding::What::tolerance_below_uncertainty, index, r.worst, loop.sigma_px,
         sentence("The pencil line is too uncertain ({2} px) for a tolerance of {2} px: {2} px was used instead; "
                  "the largest deviation is {2} px.",
                  {loop.sigma_px, loop.tolerance_px, loop.limit_px, r.max_px})});
  if (r.max_px > loop.tolerance_px)
    findings->push_back({Finding::What::tolerance_exceeded, index, r.worst, r.max_px,
                         sentence("The outline is {2} px off the drawing at ({1}, {1}); the tolerance is {2} px.",
                                  {r.max_px, r.worst.x + origin.x, r.worst.y + origin.y, loop.tolerance_px})});
}

void add_bound(const LowerBound& one, LowerBound* all) {
  all->proven += one.proven, all->numerical += one.numerical;
  if (one.argument == LowerBound::Argument::degree) all->argument = one.argument;
}

}  // namespace

void judge_outlines(const SpacedLoops& loops, const Drawing& drawing, Report* report,
                    const std::vector<LowerBound>& least, const std::stop_token& stop) {
  double sum = 0, total = 0;
  std::vector<DistanceSample> samples;
  for (std::size_t i = 0; i < drawing.outlines.size() && !stop.stop_requested(); ++i) {
    const SpacedLoop& loop = loops.loops[i];
    const Outline& o = drawing.outlines[i];
    Reference ref = reference_loop(loop, o);
    const Deviation dev = measure(o, ref.points, 0.25, &samples);
    OutlineReport r;
    r.segments = o.segment_count();
    for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
    r.max_px = dev.max_px, r.rms_px = dev.rms_px, r.p95_px = dev.p95_px, r.worst = dev.worst;
    r.replaced_length_px = ref.replaced_px;
    r.loop_length_px = loop.curve.drawn_px();
    r.limit_px = loop.limit_px;
    report->segments += r.segments;
    for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) report->nodes_by_reason[k] += r.nodes_by_reason[k];
    if (i < least.size()) add_bound(least[i], &r.least), add_bound(least[i], &report->least);
    report->max_px = std::max(report->max_px, r.max_px);
    sum += r.rms_px * r.rms_px * r.loop_length_px, total += r.loop_length_px;
    report->tolerance_px = std::max(report->tolerance_px, loop.tolerance_px);
    add_findings(loop, int(i), r, loops.origin, &report->findings);
    if (stop.stop_requested()) return;
    if (const auto place = o.closed ? crossing_of(o) : std::nullopt)
      report->findings.push_back({Finding::What::crossing_outline, int(i), *place, 0, why_it_crosses(loop)});
    r.judged = std::move(ref.points);
    report->outlines.push_back(std::move(r));
  }
  report->rms_px = total > 0 ? std::sqrt(sum / total) : 0;
  report->p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
  if (drawing.outlines.empty())  // figures of nothing are no numbers
    report->max_px = report->rms_px = report->p95_px = std::numeric_limits<double>::infinity();
}

}  // namespace batten
