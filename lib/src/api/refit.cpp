// refit(): outlines that were there already, with fewer nodes.

#include "batten/refit.h"

#include <algorithm>
#include <cmath>

#include "api/check_outlines.h"
#include "api/curve_stretches.h"
#include "api/fit_loops.h"
#include "api/located.h"
#include "api/refit_bench.h"
#include "api/refit_pins.h"
#include "base/nesting.h"
#include "base/polyline.h"
#include "batten/measure.h"
#include "corners/curve_loop.h"
#include "judge/judge_outlines.h"
#include "judge/name_nodes.h"
#include "structure/pin_reach.h"

namespace batten {
namespace {

// Outlines are worked on in units of the tolerance, so that what the curve stages know in px (how short a straight or
// how flat an extreme is none) has the same proportion to the tolerance in an icon and on a poster. Scans are traced at
// a tolerance of 1 px.
constexpr double work_tolerance_px = 1;
// What is left is for the digits of the file and for places between samples.
constexpr double held_share = 0.97;
// Time and memory grow with the length; nobody refits a line of more than so many tolerances as one.
constexpr double longest_px = 1e5;
// Solving all nodes of an outline together takes more than their number in time. Letters have some twenty corners.
constexpr std::size_t most_corners = 60;
// Outlines are fitted so many at a time, which is what straightening looks at as one sheet.
constexpr std::size_t batch_loops = 200;
constexpr double batch_px = 2e5;

class Refit {
 public:
  // work_px: the tolerance on the bench, where that was decided already.
  Refit(std::span<const Outline> outlines, const Options& options, const Job& job, std::optional<double> work_px = {})
      : given_(outlines), options_(options), job_(job), is_part_(work_px.has_value()) {
    options_.output = Options::Output::both;
    options_.deskew = false;
    PointBox box;
    for (const Outline& o : outlines)
      for (const Node& n : o.nodes) box.add(n.at);
    work_px_ = work_px ? *work_px : work_tolerance_for(*options.tolerance_px);
    bench_ = {work_px_ / *options.tolerance_px, box.low};
    options_.tolerance_px = held_share * work_px_;
    options_.grid_px *= bench_.scale;
    pins_ = std::move(options_.pins), options_.pins.clear();
  }

  std::optional<Error> run() {
    prepare();
    if (auto error = fit_pinned()) return error;
    for (const std::size_t i : in_stretches_)
      if (auto error = fit_stretches(i)) return error;
    if (auto error = fit_samples()) return error;
    std::vector<std::size_t> batch;
    double px = 0, done = 0, all = 0;
    const auto is_whole = [&](std::size_t i) {
      const auto has = [i](const std::vector<std::size_t>& some) {
        return std::binary_search(some.begin(), some.end(), i);
      };
      return loops_[i] && !pinned_[i] && !has(in_stretches_) && !has(sampled_);
    };
    for (std::size_t i = 0; i < loops_.size(); ++i) all += is_whole(i) ? 1 : 0;
    for (std::size_t i = 0; i < loops_.size(); ++i) {
      if (is_whole(i)) {
        batch.push_back(i);
        px += length_px_[i];
      }
      const bool last = i + 1 == loops_.size();
      if (batch.empty() || (!last && batch.size() < batch_loops && px < batch_px)) continue;
      const double from = done / all, to = (done + double(batch.size())) / all;
      if (auto error = fit_batch(batch, from, to)) return error;
      done += double(batch.size()), px = 0;
      batch.clear();
    }
    if (job_.stop.stop_requested()) return Error{ErrorCode::cancelled, "The job was cancelled.", "refit"};
    return std::nullopt;
  }

  Refitted take() {
    Refitted out;
    Drawing& drawing = out.conversion.drawing;
    Report& report = out.conversion.report;
    std::vector<DistanceSample> samples;
    double squares = 0, total = 0;
    report.tolerance_px = work_px_ / bench_.scale;
    for (std::size_t i = 0; i < given_.size(); ++i) {
      if (now_[i].outcome != Refitting::Outcome::refitted) {
        fitted_[i] = given_[i];
        name_nodes(&fitted_[i]);
      }
      report_on(i, &report, &samples, &squares, &total);
      drawing.outlines.push_back(std::move(fitted_[i]));
    }
    report.rms_px = total > 0 ? std::sqrt(squares / total) : 0;
    report.p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
    report.edits = std::move(edits_);
    report.pins = std::move(kept_pins_.outcomes);
    report.findings = std::move(kept_pins_.findings);
    judge_tolerance(&report);
    out.outlines = std::move(now_);
    return out;
  }

 private:
  void prepare() {
    const std::size_t n = given_.size();
    loops_.resize(n), length_px_.resize(n), fitted_.resize(n), now_.resize(n), limit_px_.resize(n, work_px_);
    pinned_ = pinned_outlines(given_, pins_, bench_);
    for (std::size_t i = 0; i < n && !job_.stop.stop_requested(); ++i) {
      Refitting& now = now_[i];
      now.segments_before = now.segments_after = given_[i].segment_count();
      now.is_pinned = pinned_[i] != 0;
      const Outline o = placed(given_[i], [&](Point p) { return bench_.in(p); });
      if (!(longest_of(o) < 2 * longest_px * work_px_)) {
        now.outcome = Refitting::Outcome::too_large;
        continue;
      }
      if (!pinned_[i] && least_segments(o) >= now.segments_before) continue;
      std::optional<Loop> loop = loop_of_curve(o, work_px_);
      if (!loop) {
        now.outcome = Refitting::Outcome::no_length;
        continue;
      }
      // Noise of which one point in a hundred lies farther off than the tolerance cannot be fitted within it.
      constexpr double sigmas = 2.6;
      if (sigmas * loop->sigma_px > work_px_) {
        now.outcome = Refitting::Outcome::too_far;
        continue;
      }
      length_px_[i] = open_length_px(loop->points);
      loops_[i] = std::move(loop);
      if (pinned_[i]) continue;
      if (loops_[i]->known && loops_[i]->known->corners.size() > most_corners) in_stretches_.push_back(i);
      if (!loops_[i]->known && !is_part_) sampled_.push_back(i);
    }
  }
  static double longest_of(const Outline& o) {  // no curve is longer than its legs
    double px = 0;
    for (std::size_t k = 0; k < o.segment_count(); ++k) {
      const Cubic c = o.segment(k);
      px += distance(c[0], c[1]) + distance(c[1], c[2]) + distance(c[2], c[3]);
    }
    return px;
  }
  // Long outlines at fine tolerances would have more points than their curves need.
  double work_tolerance_for(double tolerance_px) const {
    constexpr double long_px = 2e4, least_px = 0.25;
    double most_px = long_px;
    for (const Outline& o : given_)
      if (const double px = longest_of(o) / tolerance_px * work_tolerance_px; px < 2 * longest_px)
        most_px = std::max(most_px, px);
    return std::clamp(work_tolerance_px * long_px / most_px, least_px, work_tolerance_px);
  }
  // What nobody can do with fewer: nothing to try.
  static std::size_t least_segments(const Outline& o) { return o.closed ? 2 : 1; }

  // They are fitted together, as fit() does it, and taken as they come out.
  std::optional<Error> fit_pinned() {
    if (pins_.empty()) return std::nullopt;
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < loops_.size(); ++i)
      if (pinned_[i] && loops_[i]) order.push_back(i);
    std::stable_partition(order.begin(), order.end(), [&](std::size_t i) { return !loops_[i]->open; });
    Loops loops;
    loops.origin = bench_.origin, loops.unit_px = 1 / bench_.scale;
    for (const std::size_t i : order) loops.loops.push_back(*loops_[i]);
    Options options = options_;
    options.pins = pins_;
    Result<Conversion> made = fit_loops(loops, LoopsFrom::caller, options, {{}, {}, job_.stop}, 0);
    if (!made) return made.error();
    for (std::size_t k = 0; k < order.size(); ++k) {
      limit_px_[order[k]] = std::max(work_px_, made->report.outlines[k].limit_px);
      take_up(order[k], made->drawing.outlines[k]);
    }
    keep_edits(made->report.edits, order);
    kept_pins_ = pins_in_document(made->report, order, now_, pins_, bench_);
    return std::nullopt;
  }

  std::optional<Error> fit_batch(const std::vector<std::size_t>& batch, double from, double to) {
    std::vector<std::size_t> order = batch;
    std::stable_partition(order.begin(), order.end(), [&](std::size_t i) { return !loops_[i]->open; });
    Job job;
    job.stop = job_.stop;
    if (job_.progress) job.progress = [&](Stage stage, double f) { job_.progress(stage, from + (to - from) * f); };
    Loops loops;
    for (const std::size_t i : order) loops.loops.push_back(*loops_[i]);
    const Result<Conversion> made = fit_loops(loops, LoopsFrom::caller, options_, job, 0);
    if (!made) return made.error();
    for (std::size_t k = 0; k < order.size(); ++k) take_up(order[k], made->drawing.outlines[k]);
    for (const std::size_t i : order)
      if (now_[i].outcome == Refitting::Outcome::too_far)
        if (auto error = try_alone(i)) return error;
    keep_edits(made->report.edits, order);
    return std::nullopt;
  }

  // Samples are worked on at a scale of their own, so that the curve stages see noise from one to the next no more than
  // they would see it in the points of a scan: half a px apart. Where that is too coarse for a corner, a whole px.
  std::optional<Error> fit_samples() {
    std::vector<std::size_t> left = sampled_;
    for (const double spacing_px : {0.5, 1.0})
      while (!left.empty()) {
        const double first_px = spacing_of(left[0]);
        constexpr double alike = 1.2;
        std::vector<std::size_t> group, others;
        for (const std::size_t i : left)
          (spacing_of(i) < alike * first_px && spacing_of(i) * alike > first_px ? group : others).push_back(i);
        if (auto error = fit_group(group, work_px_ * spacing_px / first_px)) return error;
        left = std::move(others);
        if (!left.empty()) continue;
        for (const std::size_t i : sampled_)
          if (now_[i].outcome == Refitting::Outcome::too_far) left.push_back(i);
        break;
      }
    return std::nullopt;
  }
  double spacing_of(std::size_t i) const { return length_px_[i] / double(now_[i].segments_before); }
  std::optional<Error> fit_group(const std::vector<std::size_t>& group, double work_px) {
    std::vector<Outline> outlines;
    for (const std::size_t i : group) outlines.push_back(placed(given_[i], [&](Point p) { return bench_.in(p); }));
    Options options = options_;
    options.tolerance_px = work_px_;
    const Job job{{}, {}, job_.stop};
    Refit parts(outlines, options, job, work_px);
    if (auto error = parts.run()) return error;
    const Refitted made = parts.take();
    for (std::size_t k = 0; k < group.size(); ++k) {
      if (made.outlines[k].outcome == Refitting::Outcome::refitted)
        take_up(group[k], made.conversion.drawing.outlines[k]);
      else
        now_[group[k]].outcome = made.outlines[k].outcome;
    }
    return std::nullopt;
  }

  // An outline of hundreds of corners: they stand, so that each stretch between two is a job of its own.
  std::optional<Error> fit_stretches(std::size_t i) {
    const Outline o = placed(given_[i], [&](Point p) { return bench_.in(p); });
    const std::vector<Outline> stretches = stretches_of(o, *loops_[i]->known);
    if (stretches.size() >= now_[i].segments_before) return std::nullopt;  // a corner at every node
    Options options = options_;
    options.tolerance_px = work_px_;
    options.straighten = {false, false, false, false, false};
    const Job job{{}, {}, job_.stop};
    Refit parts(stretches, options, job, work_px_);
    if (auto error = parts.run()) return error;
    take_up(i, joined(o, parts.take().conversion.drawing.outlines));
    return std::nullopt;
  }

  // What broke the tolerance may hold it alone: without the ties to others, and held to less.
  std::optional<Error> try_alone(std::size_t i) {
    for (const double share : {0.85, 0.6}) {
      Options options = options_;
      options.straighten = {false, false, false, false, false};
      options.tolerance_px = share * work_px_;
      Loops loops;
      loops.loops.push_back(*loops_[i]);
      const Result<Conversion> made = fit_loops(loops, LoopsFrom::caller, options, {{}, {}, job_.stop}, 0);
      if (!made) return made.error();
      take_up(i, made->drawing.outlines[0]);
      if (now_[i].outcome != Refitting::Outcome::too_far) break;
    }
    return std::nullopt;
  }

  void take_up(std::size_t i, Outline made) {
    Refitting& now = now_[i];
    if (!pinned_[i]) put_back_corners(*loops_[i], 0.05 * work_px_, &made);
    now.outcome = !pinned_[i] && made.segment_count() >= now.segments_before ? Refitting::Outcome::no_fewer
                  : is_good(i, made)                                         ? Refitting::Outcome::refitted
                                                                             : Refitting::Outcome::too_far;
    if (now.outcome != Refitting::Outcome::refitted) return;
    now.segments_after = made.segment_count();
    fitted_[i] = placed(made, [&](Point p) { return bench_.out(p); });
    fitted_[i].parent = -1;
    fitted_[i].kind = given_[i].kind;
  }
  bool is_good(std::size_t i, const Outline& made) const {
    const Deviation off = measure(made, loops_[i]->points, 0.25);
    // Pins may cost as much as is held of a straight that bends.
    if (!(off.max_px <= (pinned_[i] ? most_bent_limits * limit_px_[i] : work_px_))) return false;
    constexpr double flatness_px = 0.1;
    return !crosses_itself(made, flatness_px) ||
           crosses_itself(placed(given_[i], [&](Point p) { return bench_.in(p); }), flatness_px);
  }

  void keep_edits(const std::vector<Edit>& edits, const std::vector<std::size_t>& order) {
    for (const Edit& e : edits) {
      Edit edit = e;
      edit.moved_px /= bench_.scale;
      bool holds = true;
      for (Edit::Where& w : edit.nodes) {
        w.outline = int(order[std::size_t(w.outline)]);
        holds = holds && now_[std::size_t(w.outline)].outcome == Refitting::Outcome::refitted &&
                std::size_t(w.node) < fitted_[std::size_t(w.outline)].nodes.size();
      }
      if (holds) edits_.push_back(std::move(edit));
    }
  }

  void report_on(std::size_t i, Report* report, std::vector<DistanceSample>* samples, double* squares, double* total) {
    const Outline& o = fitted_[i];
    OutlineReport r;
    r.segments = o.segment_count();
    for (const Node& n : o.nodes) ++r.nodes_by_reason[std::size_t(n.reason)];
    r.tolerance_px = report->tolerance_px;
    r.limit_px = std::max(report->tolerance_px, limit_px_[i] / bench_.scale);
    if (now_[i].outcome == Refitting::Outcome::refitted) {
      for (const Point p : loops_[i]->points) r.judged.push_back(bench_.out(p));
      r.loop_length_px = length_px_[i] / bench_.scale;
      const Deviation off = measure(o, r.judged, 0.25 / bench_.scale, samples);
      r.max_px = now_[i].change_px = off.max_px, r.rms_px = off.rms_px, r.p95_px = off.p95_px, r.worst = off.worst;
      *squares += r.rms_px * r.rms_px * r.loop_length_px, *total += r.loop_length_px;
      report->max_px = std::max(report->max_px, r.max_px);
    }
    judge_tolerance(&r);  // what was left as it was does not lie off itself
    report->segments += r.segments;
    for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) report->nodes_by_reason[k] += r.nodes_by_reason[k];
    report->outlines.push_back(std::move(r));
  }

  std::span<const Outline> given_;
  Options options_;
  const Job& job_;
  bool is_part_;        // of another
  double work_px_ = 1;  // the tolerance on the bench
  RefitBench bench_;
  std::vector<std::optional<Loop>> loops_;  // on the bench
  std::vector<double> length_px_;
  std::vector<std::size_t> in_stretches_;  // those of many corners, in order
  std::vector<std::size_t> sampled_;       // those that are samples with noise, in order
  std::vector<Outline> fitted_;            // in the document
  std::vector<Refitting> now_;
  std::vector<Edit> edits_;
  std::vector<Pin> pins_;         // in the document
  std::vector<char> pinned_;      // outlines that they are about
  std::vector<double> limit_px_;  // of each outline, on the bench
  KeptPins kept_pins_;
};

}  // namespace

const char* name_of(Refitting::Outcome outcome) {
  switch (outcome) {
    case Refitting::Outcome::refitted:
      return "refitted";
    case Refitting::Outcome::no_fewer:
      return "as few as can be";
    case Refitting::Outcome::too_far:
      return "farther off than the tolerance";
    case Refitting::Outcome::too_large:
      return "too large";
    case Refitting::Outcome::no_length:
      return "no length";
  }
  return "";
}

Result<Refitted> refit(std::span<const Outline> outlines, const Options& options, const Job& job) {
  for (std::size_t p = 0; p < options.pins.size(); ++p)
    if (is_about_scan(options.pins[p].kind) && options.pins[p].kind != Pin::Kind::tolerance)
      return Error{ErrorCode::bad_option,
                   "Pin " + std::to_string(p + 1) + " (" + name_of(options.pins[p].kind) +
                       ") is about a scan, and paths have none: refit over a scan, or leave the pin out.",
                   "pins " + std::to_string(p + 1)};
  if (!options.tolerance_px)
    return Error{ErrorCode::bad_option, "A refit needs a tolerance: no pencil line is there to choose one by.",
                 "tolerance_px"};
  return guarded<Refitted>(options, job, [&](const Options& o) -> Result<Refitted> {
    if (auto error = check_outlines(outlines)) return *error;
    Refit work(outlines, o, job);
    if (auto error = work.run()) return *error;
    return work.take();
  });
}

}  // namespace batten
