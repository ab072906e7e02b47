#include "straighten/straighten_drawing.h"

#include <algorithm>
#include <optional>
#include <utility>

#include "base/parallel.h"
#include "fit/keeps_pins.h"
#include "fit/segment_data.h"
#include "refine/edit_draft.h"
#include "straighten/edit_limits.h"
#include "straighten/level_lines.h"
#include "straighten/mirror_loop.h"
#include "straighten/propose_edits.h"
#include "straighten/turn_straights.h"
#include "structure/join_ends.h"

namespace batten {
namespace {

std::size_t segment_at(const SpacedLoop& loop, const DraftLoop& d, double arc) {
  for (std::size_t i = 0; i < d.size(); ++i)
    if (loop.curve.ahead(d.nodes[i].arc, arc) <= loop.curve.ahead(d.nodes[i].arc, d.nodes[d.next(i)].arc)) return i;
  return 0;
}

// How far the outline moved at some of its nodes, at most.
double moved_px(const Draft& before, const Draft& after, const std::vector<NodePlace>& nodes) {
  double worst = 0;
  for (const NodePlace& place : nodes)
    worst = std::max(worst, distance_px(before.loops[place.loop], after.loops[place.loop].nodes[place.node].at));
  return worst;
}

// Flags the loops that nodes belong to.
template <class Edits>
std::vector<char> loops_touched(const Edits& edits, std::size_t loop_count) {
  std::vector<char> out(loop_count, 0);
  for (const auto& edit : edits)
    for (const NodePlace& place : edit.nodes) out[place.loop] = 1;
  return out;
}

// Puts straights on their axes and says, for each loop, what was done.
std::vector<std::vector<AxisEdit>> turn_straights(const SpacedLoops& loops, const SheetAxes& axes,
                                                  const Options& options, Progress& progress, Draft* draft) {
  std::vector<std::vector<AxisEdit>> found(loops.loops.size());
  const std::vector<char> ink_at_right = which_have_ink_at_right(loops);
  share_out_by_size(
      lengths_of(loops), options.threads,
      [&](std::size_t k) {  // loops know nothing of each other
        if (progress.stopped()) return;
        const SpacedLoop& loop = loops.loops[k];
        const EditContext edit{loop, options.extremes == Options::Extremes::required, progress.stop_token()};
        std::optional<OutlineFit> stands;  // how the outline lies as it is; what holds takes its place
        const auto holds = [&](const DraftLoop& before, const DraftLoop& after) {
          if (!keeps_pins(loop, before, after)) return false;
          if (!stands) stands = outline_fit(loop, before, edit.stop);
          const auto now = outline_fit_within(loop, after, allowed_after(loop, *stands), edit.stop);
          if (now) stands = now;
          return now.has_value();
        };
        LoopStraightening done = straighten_loop({edit, axes.of_loop[k], ink_at_right[k] != 0, holds}, draft->loops[k]);
        draft->loops[k] = std::move(done.draft), found[k] = std::move(done.edits);
      },
      [&](std::size_t done) {
        progress.advance(0.4 * double(done) / double(std::max<std::size_t>(1, loops.loops.size())));
      });
  return found;
}

// The same as edits of the draft. A straight that is none any more lay in a half that gave way to its mirror image.
std::vector<DraftEdit> edits_of(const std::vector<std::vector<AxisEdit>>& found, const SpacedLoops& loops,
                                const Draft& draft) {
  std::vector<DraftEdit> out;
  for (std::size_t k = 0; k < found.size(); ++k)
    for (const AxisEdit& e : found[k]) {
      const DraftLoop& d = draft.loops[k];
      const std::size_t i = segment_at(loops.loops[k], d, e.middle_arc);
      const bool kept = d.segments[i].straight && (e.vertical ? d.segments[i].vertical : d.segments[i].level);
      out.push_back({e.vertical ? Edit::Kind::vertical : Edit::Kind::level,
                     {{k, i}, {k, d.next(i)}},
                     kept ? e.moved_px : 0,
                     kept});
    }
  return out;
}

std::vector<Proposal> proposals(const SheetView& sheet, const SheetAxes& axes, const std::vector<Guide>& guides,
                                const Options& options) {
  std::vector<Proposal> out;
  const auto add = [&](std::vector<Proposal> more) {
    for (Proposal& p : more) out.push_back(std::move(p));
  };
  if (options.straighten.slants) add(propose_slants(sheet, axes));
  if (options.straighten.lines) add(propose_lines(sheet, guides));
  if (options.straighten.widths) add(propose_widths(sheet));
  if (options.straighten.overshoots) add(propose_overshoots(sheet));
  if (options.symmetry) add(propose_symmetry(sheet));
  return out;
}

// The half's own mirror ties solved, if the outline bears that.
std::optional<DraftLoop> solved_half(const SpacedLoop& loop, DraftLoop half, const OutlineFit& allowed,
                                     const std::stop_token& stop) {
  const SpacedLoops alone{{loop}};
  Draft next{{std::move(half)}};
  std::vector<Tie> ties;
  for (const Proposal& p : propose_symmetry(SheetView{alone, next}))
    ties.insert(ties.end(), p.ties.begin(), p.ties.end());
  if (ties.empty()) return std::nullopt;
  for (const int power : powers)
    if (solve_tied(alone, ties, all_nodes(next), {double(power)}, stop, &next) &&
        outline_fit_within(loop, next.loops[0], allowed, stop))
      return std::move(next.loops[0]);
  return std::nullopt;
}

// An outline that could be its own mirror image, but whose halves have nodes of their own: one half and its image,
// solved as such, if that holds; the half with fewer nodes first.
void mirror_halves(const SpacedLoops& loops, const std::stop_token& stop, Draft* draft) {
  const std::vector<char> matched = loops_touched(propose_symmetry(SheetView{loops, *draft}), draft->loops.size());
  for (std::size_t k = 0; k < draft->loops.size() && !stop.stop_requested(); ++k) {
    const SpacedLoop& loop = loops.loops[k];
    DraftLoop& d = draft->loops[k];
    const std::optional<double> axis_x = matched[k] ? std::nullopt : mirror_axis_x(loop, straight_tolerance_px(loop));
    if (!axis_x) continue;
    std::vector<DraftLoop> halves;
    for (const bool left : {true, false})
      if (auto half = mirrored_half(loop, d, *axis_x, left); half && half->size() <= d.size() + 1)
        halves.push_back(std::move(*half));
    std::stable_sort(halves.begin(), halves.end(), [](const auto& a, const auto& b) { return a.size() < b.size(); });
    const OutlineFit allowed = allowed_after(loop, outline_fit(loop, d, stop));
    std::optional<DraftLoop> solved;
    for (std::size_t i = 0; i < halves.size() && !solved; ++i) solved = solved_half(loop, halves[i], allowed, stop);
    if (solved && keeps_pins(loop, d, *solved)) d = std::move(*solved);
  }
}

Result<Straightened> straighten_outlines(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                         const std::vector<Guide>& guides, const Options& options, Progress& progress) {
  Straightened out;
  out.draft = draft;
  std::vector<std::vector<AxisEdit>> turned;
  if (options.straighten.axes) turned = turn_straights(loops, axes, options, progress, &out.draft);
  if (progress.stopped()) return progress.cancelled();
  if (options.symmetry) mirror_halves(loops, progress.stop_token(), &out.draft);
  out.edits = edits_of(turned, loops, out.draft);
  const Draft before = out.draft;
  const std::vector<Proposal> wanted = proposals(SheetView{loops, before}, axes, guides, options);
  TriedProposals tried =
      try_proposals(loops, before, wanted, loops_touched(out.edits, loops.loops.size()), options.threads,
                    progress.stop_token(), [&](double share) { progress.advance(0.4 + 0.6 * share); });
  if (progress.stopped()) return progress.cancelled();
  out.draft = std::move(tried.draft);
  for (std::size_t p = 0; p < wanted.size(); ++p) {
    const auto& [kind, ties, nodes, mirrored] = wanted[p];
    const bool kept = tried.kept[p] != 0;
    out.edits.push_back({kind, nodes, kept ? moved_px(before, out.draft, nodes) : 0, kept});
    if (!kept) continue;
    out.ties.insert(out.ties.end(), ties.begin(), ties.end());
    out.mirrored.insert(out.mirrored.end(), mirrored.begin(), mirrored.end());
  }
  progress.advance(1);
  return out;
}

// Ends of a junction stay at one place while coordinates are rounded.
void tie_junctions(const SpacedLoops& loops, const Draft& draft, std::vector<Tie>* ties) {
  const ScalarIndex index(draft);
  for (const auto& ends : junctions_of(loops))
    for (std::size_t e = 1; e < ends.size(); ++e)
      for (const Quantity q : {Quantity::x, Quantity::y}) {
        const auto scalar = [&](const LineEndPlace& end) {
          return index.of(end.loop, q, node_at(draft.loops[end.loop], end.at_end));
        };
        ties->push_back({{{scalar(ends[0]), 1}, {scalar(ends[e]), -1}}});
      }
}

}  // namespace

Result<Straightened> straighten_drawing(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                                        const std::vector<Guide>& guides, const Options& options, Progress& progress) {
  const auto first_line = std::find_if(loops.loops.begin(), loops.loops.end(), [](const auto& l) { return l.open(); });
  const auto closed = first_line - loops.loops.begin();
  if (first_line == loops.loops.end()) return straighten_outlines(loops, draft, axes, guides, options, progress);
  // Letters have feet, stems and counters; lines have none. Outlines come first, so that scalars keep their numbers.
  const SpacedLoops outlines{{loops.loops.begin(), first_line}};
  const Draft of_outlines{{draft.loops.begin(), draft.loops.begin() + closed}};
  SheetAxes axes_of_outlines = axes;
  axes_of_outlines.of_loop.resize(std::size_t(closed));
  auto out = straighten_outlines(outlines, of_outlines, axes_of_outlines, guides, options, progress);
  if (!out) return out.error();
  out->draft.loops.insert(out->draft.loops.end(), draft.loops.begin() + closed, draft.loops.end());
  if (options.straighten.axes) {
    LevelledLines levelled = level_lines(loops, out->draft, axes, progress.stop_token());
    for (std::size_t k = 0; k < loops.loops.size(); ++k)  // ends of junctions stay together, so all or none
      if (!keeps_pins(loops.loops[k], out->draft.loops[k], levelled.draft.loops[k])) levelled = {out->draft, {}};
    out->draft = std::move(levelled.draft);
    for (const LevelledStraight& s : levelled.straights)
      out->edits.push_back({s.vertical ? Edit::Kind::vertical : Edit::Kind::level,
                            {{s.loop, s.segment}, {s.loop, out->draft.loops[s.loop].next(s.segment)}},
                            s.moved_px,
                            true});
  }
  if (progress.stopped()) return progress.cancelled();
  tie_junctions(loops, out->draft, &out->ties);
  return out;
}

}  // namespace batten
