#include "straighten/straighten_drawing.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/parallel.h"
#include "fit/segment_data.h"
#include "refine/edit_draft.h"
#include "straighten/edit_limits.h"
#include "straighten/find_alignments.h"
#include "straighten/find_symmetry.h"
#include "straighten/mirror_loop.h"
#include "straighten/try_proposals.h"
#include "straighten/turn_straights.h"

namespace batten {
namespace {

std::size_t segment_at(const SpacedLoop& loop, const DraftLoop& d, double arc) {
  for (std::size_t i = 0; i < d.size(); ++i)
    if (loop.curve.ahead(d.nodes[i].arc, arc) <= loop.curve.ahead(d.nodes[i].arc, d.nodes[d.next(i)].arc)) return i;
  return 0;
}

// How far the outline moved at its nodes.
double moved_px(const Draft& before, const Draft& after, const std::vector<NodePlace>& nodes) {
  double worst = 0;
  for (const NodePlace& j : nodes) {
    const DraftLoop& was = before.loops[j.loop];
    const Point now = after.loops[j.loop].nodes[j.node].at;
    double nearest = 1e300;
    for (std::size_t i = 0; i < was.size(); ++i)
      nearest = std::min(nearest, distance(now, FootFinder(cubic_of(was, i)).foot(now).at));
    worst = std::max(worst, nearest);
  }
  return worst;
}

void turn_straights(const SpacedLoops& loops, const SheetAxes& axes, const Options& options, Progress& progress,
                    Straightened* out) {
  std::vector<std::vector<AxisStraight>> found(loops.loops.size());
  const std::vector<char> ink_at_right = which_have_ink_at_right(loops);
  share_out_by_size(
      lengths_of(loops), options.threads,
      [&](std::size_t k) {  // loops know nothing of each other
        if (progress.stopped()) return;
        const SpacedLoop& loop = loops.loops[k];
        const EditContext edit{loop, options.extremes == Options::Extremes::required, progress.stop_token()};
        std::optional<Fit> stands;  // how the outline lies as it is; what holds takes its place
        const auto holds = [&](const DraftLoop& before, const DraftLoop& after) {
          if (!stands) stands = fit_of(loop, before, edit.stop);
          const std::optional<Fit> now = fit_within(loop, after, allowed(loop, *stands), edit.stop);
          if (now) stands = now;
          return now.has_value();
        };
        found[k] = straighten_loop({edit, axes.of_loop[k], ink_at_right[k] != 0, holds}, &out->draft.loops[k]);
      },
      [&](std::size_t done) {
        progress.advance(0.4 * double(done) / double(std::max<std::size_t>(1, loops.loops.size())));
      });
  for (std::size_t k = 0; k < found.size(); ++k)
    for (const AxisStraight& s : found[k]) {
      const DraftLoop& d = out->draft.loops[k];
      const std::size_t p = segment_at(loops.loops[k], d, s.middle_arc);
      out->edits.push_back(
          {s.vertical ? Edit::Kind::vertical : Edit::Kind::level, {{k, p}, {k, d.next(p)}}, s.moved_px, true});
    }
}

std::vector<Proposal> proposals(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                const std::vector<Guide>& guides, const Options& options) {
  const ScalarIndex index(draft);
  const Grouping groups = group_loops(loops);
  std::vector<Proposal> out;
  const auto add = [&](bool wanted, auto&& make) {
    if (!wanted) return;
    for (Proposal& p : make()) out.push_back(std::move(p));
  };
  add(options.straighten.slants, [&] { return propose_slants(loops, draft, axes, index); });
  add(options.straighten.lines, [&] { return propose_lines(loops, draft, guides, groups, index); });
  add(options.straighten.widths, [&] { return propose_widths(loops, draft, groups, index); });
  add(options.straighten.overshoots, [&] { return propose_overshoots(loops, draft, groups, index); });
  add(options.symmetry, [&] { return propose_symmetry(loops, draft, index); });
  return out;
}

// An outline that could be its own mirror image, but whose halves have nodes of their own: one half and its image,
// solved as such, if that holds; the half with fewer nodes first.
void mirror_halves(const SpacedLoops& loops, const std::stop_token& stop, Draft* draft) {
  const ScalarIndex before(*draft);
  std::vector<char> matched(draft->loops.size(), 0);
  for (const Proposal& p : propose_symmetry(loops, *draft, before))
    for (const NodePlace& j : p.nodes) matched[j.loop] = 1;
  for (std::size_t k = 0; k < draft->loops.size() && !stop.stop_requested(); ++k) {
    const SpacedLoop& loop = loops.loops[k];
    const DraftLoop& d = draft->loops[k];
    const std::optional<double> axis_x = matched[k] ? std::nullopt : mirror_axis_x(loop, straight_tolerance_px(loop));
    if (!axis_x) continue;
    std::vector<DraftLoop> halves;
    for (const bool left : {true, false})
      if (auto half = mirrored_half(loop, d, *axis_x, left); half && half->size() <= d.size() + 1)
        halves.push_back(std::move(*half));
    if (halves.size() == 2 && halves[1].size() < halves[0].size()) std::swap(halves[0], halves[1]);
    const Fit bound = allowed(loop, fit_of(loop, d, stop));
    for (DraftLoop& half : halves) {
      const SpacedLoops alone{{loop}};
      Draft next{{std::move(half)}};
      std::vector<Tie> ties;
      for (const Proposal& p : propose_symmetry(alone, next, ScalarIndex(next)))
        ties.insert(ties.end(), p.ties.begin(), p.ties.end());
      bool held = false;
      for (const int power : norms)
        held = held || (!ties.empty() && solve_tied(alone, ties, all_joints(next), {double(power)}, stop, &next) &&
                        fit_within(loop, next.loops[0], bound, stop));
      if (!held) continue;
      draft->loops[k] = std::move(next.loops[0]);
      break;
    }
  }
}

}  // namespace

Result<Straightened> straighten_drawing(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                        const std::vector<Guide>& guides, const Options& options, Progress& progress) {
  Straightened out;
  out.draft = draft;
  if (options.straighten.axes) turn_straights(loops, axes, options, progress, &out);
  if (progress.stopped()) return progress.cancelled();
  if (options.symmetry) mirror_halves(loops, progress.stop_token(), &out.draft);
  const std::vector<Proposal> wanted = proposals(loops, out.draft, axes, guides, options);
  std::vector<char> edited(loops.loops.size(), 0);
  for (const DraftEdit& e : out.edits)
    for (const NodePlace& j : e.nodes) edited[j.loop] = 1;
  const Draft before = out.draft;
  Tried tried = try_proposals(loops, before, wanted, edited, options.threads, progress.stop_token(),
                              [&](double share) { progress.advance(0.4 + 0.6 * share); });
  if (progress.stopped()) return progress.cancelled();
  out.draft = std::move(tried.draft);
  out.ties = std::move(tried.ties);
  for (std::size_t p = 0; p < wanted.size(); ++p) {
    const Proposal& q = wanted[p];
    out.edits.push_back(
        {q.kind, q.nodes, tried.kept[p] ? moved_px(before, out.draft, q.nodes) : 0, tried.kept[p] != 0});
    if (tried.kept[p]) out.mirrored.insert(out.mirrored.end(), q.mirrored.begin(), q.mirrored.end());
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
