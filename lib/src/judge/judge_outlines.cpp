#include "judge/judge_outlines.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>

#include "base/parallel.h"
#include "batten/measure.h"
#include "judge/sentence.h"
#include "measure/find_tips.h"
#include "measure/line_sigma.h"
#include "measure/reference_loop.h"

namespace batten {
namespace {

// A loop that crosses itself leaves the outline no choice.
std::string why_it_crosses(const SpacedLoop& loop) {
  return crosses_itself(loop) ? "The outline crosses itself because the loop that it follows does: draw, or pass, a "
                                "loop that does not cross itself."
                              : "The outline crosses itself: part of the drawing is too narrow for the tolerance.";
}

std::string too_far(double off_px, Point at, double tolerance_px) {
  return sentence("The outline is {2} px off the drawing at ({1}, {1}); the tolerance is {2} px.",
                  {off_px, at.x, at.y, tolerance_px});
}

std::string too_uncertain(double sigma_px, double tolerance_px) {
  return sentence(
      "The drawn line is known to {2} px only, one standard deviation: the outline is likely to lie off what was meant "
      "by more than the tolerance of {2} px somewhere.",
      {sigma_px, tolerance_px});
}

std::string widened(double tolerance_px, double limit_px) {
  return sentence("The drawn line wavers by more than the tolerance of {2} px: {2} px was held instead.",
                  {tolerance_px, limit_px});
}

double sigma_px_of(const OutlineReport& r) { return r.known_px / known_sigmas; }

// Is the outline off what was meant, and not only off its line? Where the two are apart either may be wrong, and
// outlines are the smoother. Of 660 outlines by which the margin was chosen (six simulated hands, another simulation)
// 97 % of those warned of lay off the truth with 1.5 deviations, 91 % without; what other letters show stands in
// README.
bool lies_off(const OutlineReport& r) { return r.max_px > r.tolerance_px + 1.5 * sigma_px_of(r); }

// Is the outline likely to lie off somewhere? Errors are about normal and alike over correlation_px. Where half a
// stretch or more was expected beyond the tolerance 93 % of those 660 outlines did, since corners add to it; but a
// tolerance of over 2.25 deviations hangs on how the tail of the errors runs, which nobody knows.
bool is_too_uncertain(const OutlineReport& r) {
  constexpr double most_sigmas = 2.25, least_stretches = 0.5;
  const double sigma_px = sigma_px_of(r);
  if (!(sigma_px > 0) || r.tolerance_px >= most_sigmas * sigma_px) return false;
  const double beyond = std::erfc(r.tolerance_px / sigma_px / std::sqrt(2.));  // share of a normal distribution
  return beyond * r.loop_length_px / std::max(r.correlation_px, 1e-9) >= least_stretches;
}

bool is_widened(const OutlineReport& r) { return r.limit_px > r.tolerance_px + 1e-9; }

void add_findings(int index, const OutlineReport& r, Point origin, std::vector<Finding>* findings) {
  if (is_widened(r))
    findings->push_back(
        {Finding::What::tolerance_widened, index, r.worst, r.limit_px, widened(r.tolerance_px, r.limit_px)});
  if (is_too_uncertain(r))
    findings->push_back({Finding::What::tolerance_below_uncertainty, index, r.worst, sigma_px_of(r),
                         too_uncertain(sigma_px_of(r), r.tolerance_px)});
  if (lies_off(r))
    findings->push_back({Finding::What::tolerance_exceeded, index, r.worst, r.max_px,
                         too_far(r.max_px, r.worst + origin, r.tolerance_px)});
}

std::vector<Point> located_points(const SpacedLoop& loop) {
  const std::vector<Point>& points = loop.curve.points;
  return {points.begin(), points.begin() + std::ptrdiff_t(loop.curve.drawn_count())};
}

void add_bound(const LowerBound& one, LowerBound* all) {
  all->proven += one.proven, all->numerical += one.numerical;
  if (one.argument == LowerBound::Argument::degree) all->argument = one.argument;
}

}  // namespace

void name_tips(const Outline& outline, double band_px, OutlineReport* r) {
  TipsFound found = find_tips(outline, r->located, std::max(r->limit_px, unseen_px), std::max(unseen_px, band_px));
  r->tips = std::move(found.tips), r->strayed_px = found.strayed_px;
}

void judge_tolerance(OutlineReport* r) {
  // What is nearer than that counts as no tip, though rounded corners reach as far: it is in max_px, against the sides.
  const bool all_stated = r->strayed_px <= std::max(r->limit_px, unseen_px);
  r->within_tolerance = r->max_px <= r->tolerance_px && all_stated;
}

void judge_tolerance(Report* r) {
  r->within_tolerance =
      !r->outlines.empty() &&
      std::all_of(r->outlines.begin(), r->outlines.end(), [](const OutlineReport& o) { return o.within_tolerance; }) &&
      std::none_of(r->findings.begin(), r->findings.end(), [](const Finding& f) {
        return f.what == Finding::What::left_out || f.what == Finding::What::no_outline;
      });
}

namespace {

// What is measured of one outline, which depends on no other.
struct Judged {
  OutlineReport report;
  std::vector<DistanceSample> samples;
  std::optional<Point> crossing;
};

// Where the outline stands for the line, its distances are next to nothing. They are no measurement, either way, and
// must not make the others look smaller.
void leave_out_hidden(double hidden_px, Judged* j) {
  std::vector<DistanceSample>& all = j->samples;
  if (!(hidden_px > 0) || all.size() < 2) return;
  std::stable_sort(all.begin(), all.end(), [](const auto& a, const auto& b) { return a.distance_px < b.distance_px; });
  double left_out = 0, sum = 0, total = 0;
  std::size_t first = 0;
  while (first + 1 < all.size() && left_out < 2 * hidden_px) left_out += all[first++].weight_px;
  all.erase(all.begin(), all.begin() + std::ptrdiff_t(first));
  for (const DistanceSample& s : all) sum += s.weight_px * s.distance_px * s.distance_px, total += s.weight_px;
  if (total > 0) j->report.rms_px = std::sqrt(sum / total), j->report.p95_px = percentile95_px(all);
}

Judged judged(const SpacedLoop& loop, const Outline& o) {
  Judged out;
  OutlineReport& r = out.report;
  Reference ref = reference_loop(loop, o, true);
  const Deviation dev = measure(o, ref.points, 0.25, &out.samples);
  r.segments = o.segment_count();
  for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
  r.max_px = dev.max_px, r.rms_px = dev.rms_px, r.p95_px = dev.p95_px, r.worst = dev.worst;
  leave_out_hidden(ref.hidden_px, &out);
  r.replaced_length_px = ref.replaced_px;
  r.loop_length_px = loop.curve.drawn_px();
  r.limit_px = loop.limit_px, r.known_px = known_sigmas * line_sigma_px(loop, o);
  r.tolerance_px = loop.tolerance_px, r.correlation_px = loop.correlation_px;
  if (o.closed) out.crossing = crossing_of(o);
  r.judged = std::move(ref.points), r.hidden = std::move(ref.hidden);
  r.located = located_points(loop);
  name_tips(o, loop.band_px, &r);
  judge_tolerance(&r);
  return out;
}

}  // namespace

void judge_outlines(const SpacedLoops& loops, const Drawing& drawing, Report* report,
                    const std::vector<LowerBound>& least, int threads, const std::stop_token& stop) {
  std::vector<Judged> all(drawing.outlines.size());
  std::vector<double> lengths_px;
  for (std::size_t i = 0; i < all.size(); ++i) lengths_px.push_back(loops.loops[i].curve.drawn_px());
  share_out_by_size(
      lengths_px, threads,
      [&](std::size_t i) {
        if (!stop.stop_requested()) all[i] = judged(loops.loops[i], drawing.outlines[i]);
      },
      [](std::size_t) {});
  if (stop.stop_requested()) return;
  double sum = 0, total = 0;
  std::vector<DistanceSample> samples;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const SpacedLoop& loop = loops.loops[i];
    OutlineReport& r = all[i].report;
    samples.insert(samples.end(), all[i].samples.begin(), all[i].samples.end());
    report->segments += r.segments;
    for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) report->nodes_by_reason[k] += r.nodes_by_reason[k];
    if (i < least.size()) add_bound(least[i], &r.least), add_bound(least[i], &report->least);
    report->max_px = std::max(report->max_px, r.max_px);
    sum += r.rms_px * r.rms_px * r.loop_length_px, total += r.loop_length_px;
    report->tolerance_px = std::max(report->tolerance_px, loop.tolerance_px);
    report->known_px = std::max(report->known_px, r.known_px);
    add_findings(int(i), r, loops.origin, &report->findings);
    if (all[i].crossing)
      report->findings.push_back({Finding::What::crossing_outline, int(i), *all[i].crossing, 0, why_it_crosses(loop)});
    report->outlines.push_back(std::move(r));
    all[i] = {};
  }
  report->rms_px = total > 0 ? std::sqrt(sum / total) : 0;
  report->p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
  if (drawing.outlines.empty())  // figures of nothing are no numbers
    report->max_px = report->rms_px = report->p95_px = std::numeric_limits<double>::infinity();
}

void widen_tolerance(double tolerance_px, Report* report) {
  report->tolerance_px = tolerance_px, report->least = {};
  for (OutlineReport& r : report->outlines) {
    r.limit_px = std::max(r.limit_px, tolerance_px), r.tolerance_px = tolerance_px, r.least = {};
    judge_tolerance(&r);
  }
  judge_tolerance(report);
  std::erase_if(report->findings, [&](Finding& f) {
    if (f.what == Finding::What::tolerance_exceeded) {
      f.text = too_far(f.amount_px, f.place, tolerance_px);
      return !lies_off(report->outlines[std::size_t(f.outline)]);
    }
    if (f.what == Finding::What::tolerance_widened) {
      f.text = widened(tolerance_px, f.amount_px);
      return !is_widened(report->outlines[std::size_t(f.outline)]);
    }
    if (f.what != Finding::What::tolerance_below_uncertainty) return false;
    f.text = too_uncertain(f.amount_px, tolerance_px);
    return !is_too_uncertain(report->outlines[std::size_t(f.outline)]);
  });
}

}  // namespace batten
