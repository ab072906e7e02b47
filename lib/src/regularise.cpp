#include "regularise.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <optional>

#include "batten/measure.h"
#include "edit_draft.h"
#include "find_alignments.h"
#include "find_symmetry.h"
#include "mirror_loop.h"
#include "parallel.h"
#include "piece_data.h"
#include "reference_loop.h"
#include "straighten.h"

namespace batten {
namespace {

// Each turn undoes at least one edit of every outline that is off; an outline that is off for longer loses all of its.
constexpr int most_turns = 12;
// A higher norm shares a miss out more evenly and does not take it away: what is this many times over gives up an edit
// at once (a crowded sheet took 24 s of work instead of 38).
constexpr double mendable = 1.6;

Outline outline_of(const DraftLoop& d) {
  Outline o;
  for (std::size_t i = 0; i < d.size(); ++i)
    o.nodes.push_back(
        {cubic_of(d, d.previous(i))[2], d.joints[i].at, cubic_of(d, i)[1], !d.joints[i].corner, d.joints[i].reason});
  return o;
}

Deviation deviation_of(const SpacedLoop& loop, const DraftLoop& d) {
  const Outline o = outline_of(d);
  return measure(o, reference_loop(loop, o).points, 0.5);
}

// How far an outline lies off: off its corners by the fit's own measure of pieces, everywhere by the independent one.
struct Fit {
  double pieces_px = 0, all_px = 0;
  bool crosses = false;
};

// When asked to stop it returns soon, and what it returns is to be thrown away.
Fit fit_of(const SpacedLoop& loop, const DraftLoop& d, const std::stop_token& stop) {
  Fit out{local_error(loop, d, 0, d.size()).max_px, 0, false};
  if (!stop.stop_requested()) out.all_px = deviation_of(loop, d).max_px;
  if (!stop.stop_requested()) out.crosses = crosses_itself(outline_of(d));
  return out;
}

// What an edited outline may do: what it was held to, or what it did before. At a corner it is measured against two
// arms of a few px that are run on to their meeting point; that is known to sigma sqrt(8) (two lines of one independent
// point each, at a right angle), which comes on top, and a corner that was off moves by a hair when its sides do.
Fit allowed(const SpacedLoop& loop, const Fit& before) {
  const double held = stem_allowance_px(loop);
  return {std::max(held, before.pieces_px),
          std::max(held + std::sqrt(8) * loop.sigma_px, before.all_px + 0.1 * loop.limit_px), before.crosses};
}

bool within(const Fit& now, const Fit& allowed) {
  return now.pieces_px <= allowed.pieces_px && now.all_px <= allowed.all_px && (!now.crosses || allowed.crosses);
}

Point worst_place(const SpacedLoop& loop, const DraftLoop& d, const Fit& allowed) {
  PieceError worst;
  for (std::size_t i = 0; i < d.size(); ++i)
    if (const PieceError e = piece_error(loop, d, i); e.max_px > worst.max_px) worst = e;
  return worst.max_px > allowed.pieces_px ? loop.even.at(worst.worst_arc) : deviation_of(loop, d).worst;
}

std::size_t piece_at(const SpacedLoop& loop, const DraftLoop& d, double arc) {
  for (std::size_t i = 0; i < d.size(); ++i)
    if (loop.even.ahead(d.joints[i].arc, arc) <= loop.even.ahead(d.joints[i].arc, d.joints[d.next(i)].arc)) return i;
  return 0;
}

// How far the outline moved at its joints.
double moved_px(const Draft& before, const Draft& after, const std::vector<JointPlace>& joints) {
  double worst = 0;
  for (const JointPlace& j : joints) {
    const DraftLoop& was = before.loops[j.loop];
    const Point now = after.loops[j.loop].joints[j.joint].at;
    double nearest = 1e300;
    for (std::size_t i = 0; i < was.size(); ++i)
      nearest = std::min(nearest, distance(now, FootFinder(cubic_of(was, i)).foot(now).at));
    worst = std::max(worst, nearest);
  }
  return worst;
}

void straighten(const SpacedLoops& loops, const SheetAxes& axes, const Options& options, Progress& progress,
                Regularised* out) {
  std::vector<std::vector<Straightened>> found(loops.loops.size());
  const std::vector<char> ink_at_right = which_have_ink_at_right(loops);
  share_out(
      loops.loops.size(), options.threads,
      [&](std::size_t k) {  // loops know nothing of each other
        if (progress.stopped()) return;
        const SpacedLoop& loop = loops.loops[k];
        const EditContext edit{loop, options.extremes == Options::Extremes::required, progress.stop_token()};
        const auto holds = [&](const DraftLoop& before, const DraftLoop& after) {
          return within(fit_of(loop, after, edit.stop), allowed(loop, fit_of(loop, before, edit.stop)));
        };
        found[k] = straighten_loop({edit, axes.of_loop[k], ink_at_right[k] != 0, holds}, &out->draft.loops[k]);
      },
      [&](std::size_t done) {
        progress.advance(0.4 * double(done) / double(std::max<std::size_t>(1, loops.loops.size())));
      });
  for (std::size_t k = 0; k < found.size(); ++k)
    for (const Straightened& s : found[k]) {
      const DraftLoop& d = out->draft.loops[k];
      const std::size_t p = piece_at(loops.loops[k], d, s.middle_arc);
      out->edits.push_back(
          {s.upright ? Edit::Kind::upright : Edit::Kind::level, {{k, p}, {k, d.next(p)}}, s.moved_px, true});
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
  add(options.regularise.slants, [&] { return propose_slants(loops, draft, axes, index); });
  add(options.regularise.lines, [&] { return propose_lines(loops, draft, guides, groups, index); });
  add(options.regularise.widths, [&] { return propose_widths(loops, draft, groups, index); });
  add(options.regularise.overshoots, [&] { return propose_overshoots(loops, draft, groups, index); });
  add(options.symmetry, [&] { return propose_symmetry(loops, draft, index); });
  return out;
}

// An outline that could be its own mirror image, but whose halves have nodes of their own: one half and its image,
// solved as such, if that holds; the half with fewer nodes first.
void mirror_halves(const SpacedLoops& loops, const std::stop_token& stop, Draft* draft) {
  const ScalarIndex before(*draft);
  std::vector<char> matched(draft->loops.size(), 0);
  for (const Proposal& p : propose_symmetry(loops, *draft, before))
    for (const JointPlace& j : p.joints) matched[j.loop] = 1;
  for (std::size_t k = 0; k < draft->loops.size() && !stop.stop_requested(); ++k) {
    const SpacedLoop& loop = loops.loops[k];
    const DraftLoop& d = draft->loops[k];
    const std::optional<double> axis_x = matched[k] ? std::nullopt : mirror_axis_x(loop, stem_allowance_px(loop));
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
      for (const double power : {2.0, 6.0, 12.0})
        held = held || (!ties.empty() && solve_tied(alone, ties, {1}, {power}, stop, &next) &&
                        within(fit_of(loop, next.loops[0], stop), bound));
      if (!held) continue;
      draft->loops[k] = std::move(next.loops[0]);
      break;
    }
  }
}

// The proposals together, solved, and those undone one by one that an outline can't bear.
class Trial {
 public:
  Trial(const SpacedLoops& loops, const Draft& draft, std::vector<Proposal> proposals, const std::stop_token& stop)
      : loops_(loops), before_(draft), proposals_(std::move(proposals)), kept_(proposals_.size(), 1), stop_(stop) {
    for (std::size_t k = 0; k < draft.loops.size(); ++k)
      allowed_.push_back(touched(k) ? allowed(loops.loops[k], fit_of(loops.loops[k], draft.loops[k], stop)) : Fit{});
  }

  Draft run() {
    for (int turn = 0; turn < most_turns; ++turn) {
      Draft next = before_;
      const std::vector<Tie> held = ties();
      const std::vector<char> moving = used();
      // Least squares first; where that misses by little, a higher norm shares the deviation out more evenly.
      std::vector<double> power(next.loops.size(), 2);
      std::vector<std::size_t> off;
      for (double higher : {6.0, 12.0, 0.0}) {
        if (!solve_tied(loops_, held, moving, power, stop_, &next) || stop_.stop_requested()) return nothing();
        off.clear();
        std::vector<std::size_t> hopeless;
        for (std::size_t k = 0; k < next.loops.size(); ++k) {
          if (!moving[k]) continue;
          const Fit now = fit_of(loops_.loops[k], next.loops[k], stop_);
          if (within(now, allowed_[k])) continue;
          off.push_back(k), power[k] = higher;
          if (now.all_px > mendable * allowed_[k].all_px || now.pieces_px > mendable * allowed_[k].pieces_px)
            hopeless.push_back(k);
        }
        if (off.empty()) return next;
        if (!hopeless.empty()) {
          off = hopeless;
          break;
        }
      }
      for (std::size_t k : off) undo(next, k, turn + 2 == most_turns);
    }
    return nothing();
  }
  std::vector<Tie> ties() const {
    std::vector<Tie> out;
    for (std::size_t p = 0; p < proposals_.size(); ++p)
      if (kept_[p]) out.insert(out.end(), proposals_[p].ties.begin(), proposals_[p].ties.end());
    return out;
  }
  bool kept(std::size_t p) const { return kept_[p]; }

 private:
  static bool touches(const Proposal& p, std::size_t loop) {
    return std::any_of(p.joints.begin(), p.joints.end(), [&](const JointPlace& j) { return j.loop == loop; });
  }
  bool touched(std::size_t loop) const {
    for (std::size_t p = 0; p < proposals_.size(); ++p)
      if (kept_[p] && touches(proposals_[p], loop)) return true;
    return false;
  }
  std::vector<char> used() const {
    std::vector<char> out;
    for (std::size_t k = 0; k < before_.loops.size(); ++k) out.push_back(touched(k));
    return out;
  }

  Draft nothing() {
    std::fill(kept_.begin(), kept_.end(), 0);
    return before_;
  }
  // How far a proposal moved an outline; one beside the worst place counts more.
  double blame(const Proposal& proposal, const Draft& next, std::size_t loop, Point place) const {
    double most = 0;
    for (const JointPlace& j : proposal.joints) {
      if (j.loop != loop) continue;
      const Point now = next.loops[loop].joints[j.joint].at;
      const double moved = distance(now, before_.loops[loop].joints[j.joint].at);
      most = std::max(most, moved / (1 + distance(now, place) / (2 * loops_.loops[loop].scale_px)));
    }
    return most;
  }

  // Of the edits of an outline that is off the one goes that is most to blame; of those about as much to blame the one
  // that a letterer would miss least.
  void undo(const Draft& next, std::size_t loop, bool all) {
    constexpr double about_as_much = 0.6;
    const Point place = worst_place(loops_.loops[loop], next.loops[loop], allowed_[loop]);
    double most = 0;
    for (const Proposal& p : proposals_)
      if (const std::size_t i = std::size_t(&p - proposals_.data()); kept_[i])
        most = std::max(most, blame(p, next, loop, place));
    std::size_t worst = proposals_.size();
    for (std::size_t p = 0; p < proposals_.size(); ++p) {
      if (!kept_[p] || !touches(proposals_[p], loop)) continue;
      if (all) kept_[p] = 0;
      if (blame(proposals_[p], next, loop, place) < about_as_much * most) continue;
      if (worst == proposals_.size() || proposals_[p].kind > proposals_[worst].kind) worst = p;
    }
    if (worst < proposals_.size()) kept_[worst] = 0;
  }

  const SpacedLoops& loops_;
  const Draft& before_;
  std::vector<Proposal> proposals_;
  std::vector<char> kept_;
  std::vector<Fit> allowed_;
  const std::stop_token& stop_;
};

// Handles that edits have brought near an axis are put on it, as refine_curves() does, with the ties held; not in an
// outline that can't bear it. moving: the outlines that were edited.
void snap_again(const SpacedLoops& loops, const std::vector<Tie>& ties, const std::vector<char>& moving,
                const std::stop_token& stop, Draft* draft) {
  const std::size_t count = draft->loops.size();
  std::vector<char> snapped(count, 0);
  Draft wanted = *draft;
  for (std::size_t k = 0; k < count; ++k)
    if (moving[k] && snap_handles(&wanted.loops[k]) > 0) snapped[k] = 1;
  const auto any = [&] { return std::count(snapped.begin(), snapped.end(), 1) > 0; };
  const auto held = [&](const Draft& next, std::size_t k) {
    return within(fit_of(loops.loops[k], next.loops[k], stop),
                  allowed(loops.loops[k], fit_of(loops.loops[k], draft->loops[k], stop)));
  };
  constexpr int most_snaps = 3;  // turns; outlines that are off drop out together
  for (int turn = 0; turn < most_snaps && any(); ++turn) {
    Draft next = *draft;
    for (std::size_t k = 0; k < count; ++k)
      if (snapped[k]) next.loops[k] = wanted.loops[k];
    std::vector<double> power(count, 2);
    std::vector<std::size_t> off;
    for (const double higher : {6.0, 12.0, 0.0}) {
      if (!solve_tied(loops, ties, moving, power, stop, &next) || stop.stop_requested()) return;
      off.clear();
      for (std::size_t k = 0; k < count; ++k)
        if (moving[k] && !held(next, k)) off.push_back(k), power[k] = higher;
      if (off.empty()) return void(*draft = std::move(next));
    }
    for (const std::size_t k : off) snapped[k] = 0;
  }
}

// Outlines that proposals tie together, and those proposals. Groups know nothing of each other.
struct Group {
  std::vector<char> loops;  // one flag a loop
  std::vector<std::size_t> proposals;
  Draft draft;  // of its loops; the others are as they were
  std::vector<Tie> ties;
  std::vector<char> kept;  // one flag a proposal of the group
};

std::vector<Group> groups_of(const std::vector<Proposal>& proposals, const std::vector<char>& edited) {
  std::vector<std::size_t> parent(edited.size());
  std::iota(parent.begin(), parent.end(), std::size_t{0});
  const auto root = [&](std::size_t k) {
    while (parent[k] != k) k = parent[k] = parent[parent[k]];
    return k;
  };
  std::vector<char> concerned = edited;
  for (const Proposal& p : proposals)
    for (const JointPlace& j : p.joints) {
      concerned[j.loop] = 1;
      parent[root(j.loop)] = root(p.joints.front().loop);
    }
  std::map<std::size_t, Group> by_root;
  for (std::size_t k = 0; k < edited.size(); ++k) {
    if (!concerned[k]) continue;
    Group& g = by_root[root(k)];
    g.loops.resize(edited.size(), 0);
    g.loops[k] = 1;
  }
  for (std::size_t p = 0; p < proposals.size(); ++p)
    if (!proposals[p].joints.empty()) by_root[root(proposals[p].joints.front().loop)].proposals.push_back(p);
  std::vector<Group> out;
  for (auto& [k, group] : by_root) out.push_back(std::move(group));
  return out;
}

void solve_group(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals,
                 const std::stop_token& stop, Group* g) {
  std::vector<Proposal> own;
  for (const std::size_t p : g->proposals) own.push_back(proposals[p]);
  g->kept.assign(own.size(), 0);
  g->draft = before;
  if (!own.empty()) {
    Trial trial(loops, before, std::move(own), stop);
    g->draft = trial.run();
    g->ties = trial.ties();
    for (std::size_t p = 0; p < g->kept.size(); ++p) g->kept[p] = trial.kept(p);
  }
  snap_again(loops, g->ties, g->loops, stop, &g->draft);
}

}  // namespace

Result<Regularised> regularise(const SpacedLoops& loops, const Draft& draft, const SheetAxes& axes,
                               const std::vector<Guide>& guides, const Options& options, Progress& progress) {
  Regularised out;
  out.draft = draft;
  if (options.regularise.axes) straighten(loops, axes, options, progress, &out);
  if (progress.stopped()) return progress.cancelled();
  if (options.symmetry) mirror_halves(loops, progress.stop_token(), &out.draft);
  const std::vector<Proposal> wanted = proposals(loops, out.draft, axes, guides, options);
  std::vector<char> edited(loops.loops.size(), 0);
  for (const DraftEdit& e : out.edits)
    for (const JointPlace& j : e.joints) edited[j.loop] = 1;
  std::vector<Group> groups = groups_of(wanted, edited);
  const Draft before = out.draft;
  share_out(
      groups.size(), options.threads,
      [&](std::size_t g) {
        if (!progress.stopped()) solve_group(loops, before, wanted, progress.stop_token(), &groups[g]);
      },
      [&](std::size_t done) {
        progress.advance(0.4 + 0.6 * double(done) / double(std::max<std::size_t>(1, groups.size())));
      });
  if (progress.stopped()) return progress.cancelled();
  std::vector<char> kept(wanted.size(), 0);
  for (Group& g : groups) {
    for (std::size_t k = 0; k < g.loops.size(); ++k)
      if (g.loops[k]) out.draft.loops[k] = std::move(g.draft.loops[k]);
    out.ties.insert(out.ties.end(), g.ties.begin(), g.ties.end());
    for (std::size_t p = 0; p < g.proposals.size(); ++p) kept[g.proposals[p]] = g.kept[p];
  }
  for (std::size_t p = 0; p < wanted.size(); ++p) {
    const Proposal& q = wanted[p];
    out.edits.push_back({q.kind, q.joints, kept[p] ? moved_px(before, out.draft, q.joints) : 0, kept[p] != 0});
    if (kept[p]) out.mirrored.insert(out.mirrored.end(), q.mirrored.begin(), q.mirrored.end());
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
