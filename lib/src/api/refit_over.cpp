// refit() over a scan: outlines that were there already, where the scan has them.

#include <algorithm>
#include <cmath>
#include <optional>

#include "api/check_outlines.h"
#include "api/fit_loops.h"
#include "api/follow_scan.h"
#include "api/located.h"
#include "batten/measure.h"
#include "batten/refit.h"
#include "corners/space_loops.h"
#include "judge/judge_outlines.h"
#include "judge/pinned_regions.h"
#include "measure/chain.h"

namespace batten {
namespace {

constexpr const char* on_nothing =
    "No line was drawn along all of this outline, within three of its widths (at least 12 px): it was refitted without "
    "the scan.";
constexpr double nowhere_px = 9e8;  // beyond every sheet, and still a place
constexpr const char* crossed =
    "On the line that was drawn this outline would cross itself: it was refitted without the scan.";

std::vector<Point> points_along(const Outline& o) {
  constexpr double step_px = 0.5;
  std::vector<Point> out;
  for (std::size_t i = 0; i < o.segment_count(); ++i) append_segment(o, i, steps_of(o, i, step_px), &out);
  if (!o.closed && !o.nodes.empty()) out.push_back(o.nodes.back().at);
  return out;
}

class RefitOver {
 public:
  RefitOver(std::span<const Outline> outlines, const Underlay& scan, const Options& options, const Job& job)
      : given_(outlines), data_(scan.lines.data()), options_(options), job_(job) {
    options_.output = Options::Output::both;
    options_.deskew = false;
    const double tolerance_px = options_.tolerance_px.value_or(finest_auto_tolerance_px);
    lines_ = follow_scan(given_, data_.loops, tolerance_px, job.stop);
    for (const std::size_t i : scan.left_alone)
      if (i < lines_.size()) lines_[i].reset(), left_alone_.push_back(i);
    std::sort(left_alone_.begin(), left_alone_.end());
    Drawing& drawing = out_.conversion.drawing;
    drawing.outlines.resize(given_.size()), report().outlines.resize(given_.size()),
        out_.outlines.resize(given_.size());
    drawing.width_px = data_.width_px, drawing.height_px = data_.height_px, drawing.dpi = data_.dpi;
    drawing.guides = data_.loops.guides;
    report().findings = data_.findings;
    report().pins.resize(options_.pins.size());
    share_pins();
    report().tolerance_px = tolerance_px;
  }

  std::optional<Error> run() {
    if (auto error = place()) return error;
    if (auto error = refit_others()) return error;
    if (job_.stop.stop_requested()) return Error{ErrorCode::cancelled, "The job was cancelled.", "refit"};
    add_up();
    return std::nullopt;
  }
  Refitted take() { return std::move(out_); }

 private:
  Report& report() { return out_.conversion.report; }

  // Pins about outlines that no line of the scan places go to these.
  void share_pins() {
    Drawing drawing;
    drawing.outlines.assign(given_.begin(), given_.end());
    for (const Pin& pin : options_.pins) {
      const bool apart = !is_about_scan(pin.kind) && std::all_of(pin.places.begin(), pin.places.end(), [&](Point p) {
        const int near = nearest_outline(drawing, p);
        return near >= 0 && !lines_[std::size_t(near)];
      });
      is_apart_.push_back(apart);
    }
  }
  // The list with its numbers: the others stand where no outline is.
  std::vector<Pin> pins_for(bool apart) const {
    std::vector<Pin> out = options_.pins;
    for (std::size_t p = 0; p < out.size(); ++p)
      if (is_apart_[p] != char(apart)) out[p] = {.kind = Pin::Kind::no_node, .places = {{nowhere_px, nowhere_px}}};
    return out;
  }
  void take_pins(const Report& part, const std::vector<std::size_t>& order, bool apart) {
    for (std::size_t p = 0; p < part.pins.size(); ++p) {
      if (is_apart_[p] != char(apart)) continue;
      PinOutcome& pin = report().pins[p] = part.pins[p];
      if (pin.outline >= 0) pin.outline = int(order[std::size_t(pin.outline)]);
    }
  }

  // Those that follow a line of the scan, as one sheet.
  std::optional<Error> place() {
    std::vector<std::size_t> order;
    for (std::size_t i = 0; i < lines_.size(); ++i)
      if (lines_[i]) order.push_back(i);
    if (order.empty()) {
      is_apart_.assign(is_apart_.size(), 1);
      return std::nullopt;
    }
    std::stable_partition(order.begin(), order.end(), [&](std::size_t i) { return !lines_[i]->open; });
    std::vector<int> at(lines_.size(), -1);
    for (std::size_t k = 0; k < order.size(); ++k) at[order[k]] = int(k);
    Loops loops;
    for (const std::size_t i : order) {
      Loop& loop = loops.loops.emplace_back(*lines_[i]);
      for (LineEnd* end : {&loop.start, &loop.end})
        if (end->on_loop >= 0) end->on_loop = at[std::size_t(end->on_loop)];
    }
    loops.guides = data_.loops.guides, loops.ink = data_.loops.ink, loops.ink_noise = data_.loops.ink_noise;
    Options options = options_;
    options.pins = pins_for(false);
    Result<Conversion> made = fit_loops(loops, LoopsFrom::caller, options, {job_.progress, {}, job_.stop}, 0);
    if (!made) return made.error();
    report().known_px = made->report.known_px;
    report().hold_tolerance = made->report.hold_tolerance;
    if (!options_.tolerance_px) report().tolerance_px = made->report.tolerance_px;
    for (std::size_t k = 0; k < order.size(); ++k)
      take_up(order[k], made->drawing.outlines[k], std::move(made->report.outlines[k]));
    take_notes(made->report, order);
    take_pins(made->report, order, false);
    return std::nullopt;
  }

  void take_up(std::size_t i, const Outline& made, OutlineReport figures) {
    constexpr double flatness_px = 0.1;
    if (crosses_itself(made, flatness_px) && !crosses_itself(given_[i], flatness_px)) {
      lines_[i].reset(), crossed_.push_back(i);
      return;
    }
    Refitting& now = out_.outlines[i];
    now.outcome = Refitting::Outcome::refitted;
    now.over_scan = true;
    now.segments_before = given_[i].segment_count(), now.segments_after = made.segment_count();
    now.change_px = measure(made, points_along(given_[i])).max_px;
    now.scan_before = measure(given_[i], figures.judged);
    now.scan_after = {figures.max_px, figures.rms_px, figures.p95_px, figures.worst};
    out_.conversion.drawing.outlines[i] = made;
    out_.conversion.drawing.outlines[i].parent = -1;
    report().outlines[i] = std::move(figures);
  }

  // Findings and edits, which count the outlines of their part.
  void take_notes(const Report& part, const std::vector<std::size_t>& order) {
    const auto is_here = [&](int outline) {
      return outline < 0 || (std::size_t(outline) < order.size() &&
                             out_.outlines[order[std::size_t(outline)]].outcome == Refitting::Outcome::refitted);
    };
    for (Finding f : part.findings) {
      if (!is_here(f.outline) || f.place.x > 0.5 * nowhere_px) continue;
      if (f.outline >= 0) f.outline = int(order[std::size_t(f.outline)]);
      report().findings.push_back(std::move(f));
    }
    for (Edit e : part.edits) {
      if (!std::all_of(e.nodes.begin(), e.nodes.end(), [&](const Edit::Where& w) { return is_here(w.outline); }))
        continue;
      for (Edit::Where& w : e.nodes) w.outline = int(order[std::size_t(w.outline)]);
      report().edits.push_back(std::move(e));
    }
  }

  std::optional<Error> refit_others() {
    std::vector<std::size_t> order;
    std::vector<Outline> outlines;
    for (std::size_t i = 0; i < given_.size(); ++i)
      if (!lines_[i]) order.push_back(i), outlines.push_back(given_[i]);
    if (order.empty()) return std::nullopt;
    Options options = options_;
    options.tolerance_px = options_.tolerance_px.value_or(finest_auto_tolerance_px);
    options.pins = pins_for(true);
    // Without a line of its own nothing that a pin says of the scan can show.
    for (Pin& pin : options.pins)
      if (is_about_scan(pin.kind)) pin = {.kind = Pin::Kind::no_node, .places = {{nowhere_px, nowhere_px}}};
    if (std::none_of(is_apart_.begin(), is_apart_.end(), [](char apart) { return apart != 0; })) options.pins.clear();
    Result<Refitted> made = refit(outlines, options, {{}, {}, job_.stop, job_.threads});
    if (!made) return made.error();
    for (std::size_t k = 0; k < order.size(); ++k) {
      const std::size_t i = order[k];
      out_.outlines[i] = made->outlines[k];
      out_.conversion.drawing.outlines[i] = std::move(made->conversion.drawing.outlines[k]);
      report().outlines[i] = std::move(made->conversion.report.outlines[k]);
      if (std::binary_search(left_alone_.begin(), left_alone_.end(), i) || given_[i].nodes.empty()) continue;
      const bool has_line = std::binary_search(crossed_.begin(), crossed_.end(), i);
      report().findings.push_back(
          {Finding::What::not_drawn, int(i), given_[i].nodes[0].at, 0, has_line ? crossed : on_nothing});
    }
    take_notes(made->conversion.report, order);
    take_pins(made->conversion.report, order, true);
    return std::nullopt;
  }

  void add_up() {
    Report& all = report();
    double squares = 0, total = 0;
    std::vector<DistanceSample> samples;
    for (std::size_t i = 0; i < given_.size(); ++i) {
      const OutlineReport& r = all.outlines[i];
      all.segments += r.segments;
      for (std::size_t k = 0; k < r.nodes_by_reason.size(); ++k) all.nodes_by_reason[k] += r.nodes_by_reason[k];
      if (out_.outlines[i].outcome != Refitting::Outcome::refitted) continue;
      measure(out_.conversion.drawing.outlines[i], r.judged, 0.25, &samples);
      all.max_px = std::max(all.max_px, r.max_px);
      squares += r.rms_px * r.rms_px * r.loop_length_px, total += r.loop_length_px;
    }
    all.rms_px = total > 0 ? std::sqrt(squares / total) : 0;
    all.p95_px = total > 0 ? percentile95_px(std::move(samples)) : 0;
    judge_tolerance(&all);
  }

  std::span<const Outline> given_;
  const Located::Data& data_;
  Options options_;
  const Job& job_;
  std::vector<std::optional<Loop>> lines_;  // that the outlines follow
  std::vector<std::size_t> left_alone_, crossed_;
  std::vector<char> is_apart_;  // of each pin: it is about outlines that no line places
  Refitted out_;
};

}  // namespace

Result<Refitted> refit(std::span<const Outline> outlines, const Underlay& scan, const Options& options,
                       const Job& job) {
  return guarded<Refitted>(options, job, [&](const Options& o) -> Result<Refitted> {
    if (auto error = check_outlines(outlines)) return *error;
    RefitOver work(outlines, scan, o, job);
    if (auto error = work.run()) return *error;
    return work.take();
  });
}

}  // namespace batten
