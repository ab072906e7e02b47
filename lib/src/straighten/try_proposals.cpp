#include "straighten/try_proposals.h"

#include <algorithm>
#include <map>
#include <numeric>

#include "base/parallel.h"
#include "refine/edit_draft.h"
#include "straighten/edit_limits.h"

namespace batten {
namespace {

// Each turn undoes at least one edit of every outline that is off; an outline that is off for longer loses all of its.
constexpr int most_turns = 12;

// Outlines that proposals tie together, and those proposals.
struct Group {
  std::vector<std::size_t> loops, proposals;
  bool held = false;
  std::vector<DraftLoop> solved;  // one for each of `loops`
};

bool touches(const Proposal& p, std::size_t loop) {
  return std::any_of(p.nodes.begin(), p.nodes.end(), [&](const NodePlace& j) { return j.loop == loop; });
}

// kept: which proposals count. also: loops that make a group although no proposal touches them.
std::vector<Group> groups_of(const std::vector<Proposal>& proposals, const std::vector<char>& kept,
                             const std::vector<char>& also) {
  std::vector<std::size_t> parent(also.size());
  std::iota(parent.begin(), parent.end(), std::size_t{0});
  const auto root = [&](std::size_t k) {
    while (parent[k] != k) k = parent[k] = parent[parent[k]];
    return k;
  };
  std::vector<char> concerned = also;
  const auto counts = [&](std::size_t p) { return kept[p] && !proposals[p].nodes.empty(); };
  for (std::size_t p = 0; p < proposals.size(); ++p)
    if (counts(p))
      for (const NodePlace& j : proposals[p].nodes) {
        concerned[j.loop] = 1;
        parent[root(j.loop)] = root(proposals[p].nodes.front().loop);
      }
  std::map<std::size_t, Group> by_root;
  for (std::size_t k = 0; k < also.size(); ++k)
    if (concerned[k]) by_root[root(k)].loops.push_back(k);
  for (std::size_t p = 0; p < proposals.size(); ++p)
    if (counts(p)) by_root[root(proposals[p].nodes.front().loop)].proposals.push_back(p);
  std::vector<Group> out;
  for (auto& [k, group] : by_root) out.push_back(std::move(group));
  return out;
}

// Joints on either side that an edit may move.
constexpr std::size_t reach = 2;

void free_round(const DraftLoop& d, std::size_t node, std::vector<char>* freed) {
  const std::vector<char> near = Window::around(d, node, reach, reach).flags();
  for (std::size_t i = 0; i < near.size(); ++i) (*freed)[i] = (*freed)[i] || near[i];
}

// Joints round those whose directions were put on an axis.
std::vector<char> round_snapped(const DraftLoop& before, const DraftLoop& snapped) {
  std::vector<char> out(before.size(), 0);
  for (std::size_t i = 0; i < before.size(); ++i) {
    const DraftSegment &a = before.segments[i], &b = snapped.segments[i];
    if (before.nodes[i].angle_fixed != snapped.nodes[i].angle_fixed || a.start.on_axis != b.start.on_axis)
      free_round(before, i, &out);
    if (a.end.on_axis != b.end.on_axis) free_round(before, before.next(i), &out);
  }
  return out;
}

// Different groups may be worked on at once: each touches its own loops and proposals only.
class Trial {
 public:
  Trial(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals, int threads,
        const std::stop_token& stop)
      : loops_(loops),
        before_(before),
        proposals_(proposals),
        threads_(threads),
        stop_(stop),
        allowed_(before.loops.size()),
        norm_(before.loops.size(), 0),
        known_(before.loops.size(), 0),
        asked_(before.loops.size(), 0),
        bears_none_(before.loops.size(), 0) {
    out_.draft = before;
    out_.kept.assign(proposals.size(), 1);
  }

  Tried run(const std::vector<char>& edited, const std::function<void(double)>& after) {
    std::vector<Group> groups = groups_of(proposals_, out_.kept, std::vector<char>(edited.size(), 0));
    for (int turn = 0; turn < most_turns && !groups.empty() && !stop_.stop_requested(); ++turn) {
      for_all(
          &groups, [&](Group* g) { solve(g, turn + 2 >= most_turns); },
          [&](double share) { after(0.8 * (turn + share) / most_turns); });
      std::vector<char> open(proposals_.size(), 0);
      for (Group& g : groups)
        if (g.held)
          deliver(&g);
        else
          for (const std::size_t p : g.proposals) open[p] = out_.kept[p];
      groups = groups_of(proposals_, open, std::vector<char>(edited.size(), 0));
    }
    for (const Group& g : groups)
      for (const std::size_t p : g.proposals) out_.kept[p] = 0;
    before_snap_ = out_.draft;
    groups = groups_of(proposals_, out_.kept, edited);
    for_all(
        &groups, [&](Group* g) { snap(g); }, [&](double share) { after(0.8 + 0.2 * share); });
    for (Group& g : groups)
      if (g.held) deliver(&g);
    for (std::size_t p = 0; p < proposals_.size(); ++p)
      if (out_.kept[p]) out_.ties.insert(out_.ties.end(), proposals_[p].ties.begin(), proposals_[p].ties.end());
    return std::move(out_);
  }

 private:
  void for_all(std::vector<Group>* groups, const std::function<void(Group*)>& work,
               const std::function<void(double)>& after) {
    std::vector<double> sizes;
    for (const Group& g : *groups) {
      std::size_t segments = 0;
      for (const std::size_t k : g.loops) segments += before_.loops[k].size();
      sizes.push_back(double(segments));
    }
    share_out_by_size(
        sizes, threads_,
        [&](std::size_t i) {
          if (!stop_.stop_requested()) work(&(*groups)[i]);
        },
        [&](std::size_t done) { after(double(done) / double(std::max<std::size_t>(1, sizes.size()))); });
  }

  void deliver(Group* g) {
    for (std::size_t i = 0; i < g->loops.size(); ++i) out_.draft.loops[g->loops[i]] = std::move(g->solved[i]);
  }

  const Fit& allowed_of(std::size_t k) {
    if (!known_[k]) allowed_[k] = allowed(loops_.loops[k], fit_of(loops_.loops[k], before_.loops[k], stop_));
    known_[k] = 1;
    return allowed_[k];
  }

  std::vector<Tie> ties_of(const Group& g) const {
    std::vector<Tie> out;
    for (const std::size_t p : g.proposals)
      if (out_.kept[p]) out.insert(out.end(), proposals_[p].ties.begin(), proposals_[p].ties.end());
    return out;
  }

  // What a group's proposals may move: their nodes and those round them. The rest of an outline keeps the place it
  // has: solved anew in least squares it would lose what only higher norms had held.
  FreedJoints freed_by(const Group& g, const std::vector<std::size_t>& which) const {
    FreedJoints out(before_.loops.size());
    for (const std::size_t k : which) out[k].assign(before_.loops[k].size(), 0);
    for (const std::size_t p : g.proposals)
      for (const NodePlace& j : proposals_[p].nodes)
        if (!out[j.loop].empty()) free_round(before_.loops[j.loop], j.node, &out[j.loop]);
    return out;
  }

  // The loops of a group solved within *next; which of them lie too far off. Empty and false: no solution at all.
  bool attempt(const std::vector<std::size_t>& which, const std::vector<Tie>& ties, const FreedJoints& freed,
               const std::function<const Fit&(std::size_t)>& bound, Draft* next, std::vector<std::size_t>* off) {
    std::vector<double> power(next->loops.size(), norms[0]);
    for (const std::size_t k : which) power[k] = norms[norm_[k]];
    for (std::size_t n = 0; n < std::size(norms); ++n) {
      off->clear();
      if (!solve_tied(loops_, ties, freed, power, stop_, next) || stop_.stop_requested()) return false;
      std::vector<std::size_t> far;
      bool again = false;
      for (const std::size_t k : which) {
        const Fit now = fit_of(loops_.loops[k], next->loops[k], stop_);
        if (within(now, bound(k))) continue;
        off->push_back(k);
        if (far_off(now, bound(k))) far.push_back(k);
        if (norm_[k] + 1 < std::size(norms)) power[k] = norms[++norm_[k]], again = true;
      }
      if (off->empty()) return true;
      if (!far.empty()) {
        *off = std::move(far);
        return true;
      }
      if (!again) return true;
    }
    return true;
  }

  void solve(Group* g, bool last) {
    const auto bound = [&](std::size_t k) -> const Fit& { return allowed_of(k); };
    Draft next = before_;
    std::vector<std::size_t> off;
    if (!attempt(g->loops, ties_of(*g), freed_by(*g, g->loops), bound, &next, &off)) {
      for (const std::size_t p : g->proposals) out_.kept[p] = 0;
      return;
    }
    g->held = off.empty();
    if (g->held)
      for (const std::size_t k : g->loops) g->solved.push_back(std::move(next.loops[k]));
    for (const std::size_t k : off) undo(*g, next, k, last || bears_none(*g, k));
  }

  // An outline that is off without any edit as well bears none: it was delivered with a fit that this solve can't
  // repeat.
  bool bears_none(const Group& g, std::size_t k) {
    if (asked_[k]) return bears_none_[k];
    Draft alone = before_;
    std::vector<std::size_t> off;
    const bool solved = attempt(
        {k}, {}, freed_by(g, {k}), [&](std::size_t) -> const Fit& { return allowed_of(k); }, &alone, &off);
    asked_[k] = 1;
    bears_none_[k] = !solved || !off.empty();
    return bears_none_[k];
  }

  // How far a proposal moved an outline; one beside the worst place counts more.
  double blame(const Proposal& proposal, const Draft& next, std::size_t loop, Point place) const {
    double most = 0;
    for (const NodePlace& j : proposal.nodes) {
      if (j.loop != loop) continue;
      const Point now = next.loops[loop].nodes[j.node].at;
      const double moved = distance(now, before_.loops[loop].nodes[j.node].at);
      most = std::max(most, moved / (1 + distance(now, place) / (2 * loops_.loops[loop].scale_px)));
    }
    return most;
  }

  // Of the edits of an outline that is off the one goes that is most to blame; of those about as much to blame the one
  // that a letterer would miss least.
  void undo(const Group& g, const Draft& next, std::size_t loop, bool all) {
    constexpr double about_as_much = 0.6;
    const Point place = worst_place(loops_.loops[loop], next.loops[loop], allowed_of(loop));
    double most = 0;
    for (const std::size_t p : g.proposals)
      if (out_.kept[p]) most = std::max(most, blame(proposals_[p], next, loop, place));
    std::size_t worst = proposals_.size();
    for (const std::size_t p : g.proposals) {
      if (!out_.kept[p] || !touches(proposals_[p], loop)) continue;
      if (all) out_.kept[p] = 0;
      if (blame(proposals_[p], next, loop, place) < about_as_much * most) continue;
      if (worst == proposals_.size() || proposals_[p].kind > proposals_[worst].kind) worst = p;
    }
    if (worst < proposals_.size()) out_.kept[worst] = 0;
  }

  // Handles that edits have brought near an axis are put on it, as refine_curves() does, with the ties held; not in an
  // outline that can't bear it.
  void snap(Group* g) {
    Draft wanted = before_snap_;
    std::vector<std::size_t> snapped;
    std::map<std::size_t, Fit> bounds;
    for (const std::size_t k : g->loops)
      if (snap_handles(&wanted.loops[k]) > 0) snapped.push_back(k);
    if (snapped.empty()) return;
    for (const std::size_t k : g->loops)
      bounds[k] = allowed(loops_.loops[k], fit_of(loops_.loops[k], before_snap_.loops[k], stop_));
    const std::vector<Tie> ties = ties_of(*g);
    constexpr int most_snaps = 3;  // turns; outlines that are off drop out together
    for (int turn = 0; turn < most_snaps && !snapped.empty() && !stop_.stop_requested(); ++turn) {
      Draft next = before_snap_;
      for (const std::size_t k : snapped) next.loops[k] = wanted.loops[k];
      std::vector<std::size_t> off;
      FreedJoints freed(before_.loops.size());
      for (const std::size_t k : g->loops) freed[k] = round_snapped(before_snap_.loops[k], next.loops[k]);
      if (!attempt(
              g->loops, ties, freed, [&](std::size_t k) -> const Fit& { return bounds.at(k); }, &next, &off))
        return;
      g->held = off.empty();
      if (g->held) {
        for (const std::size_t k : g->loops) g->solved.push_back(std::move(next.loops[k]));
        return;
      }
      if (std::erase_if(snapped, [&](std::size_t k) { return std::find(off.begin(), off.end(), k) != off.end(); }) == 0)
        return;
    }
  }

  const SpacedLoops& loops_;
  const Draft& before_;
  const std::vector<Proposal>& proposals_;
  int threads_;
  const std::stop_token& stop_;
  // One of each a loop, worked out when first asked for.
  std::vector<Fit> allowed_;
  std::vector<std::size_t> norm_;  // which of `norms` it needs, as far as known
  std::vector<char> known_, asked_, bears_none_;
  Draft before_snap_;
  Tried out_;
};

}  // namespace

Tried try_proposals(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals,
                    const std::vector<char>& edited, int threads, const std::stop_token& stop,
                    const std::function<void(double)>& after) {
  return Trial(loops, before, proposals, threads, stop).run(edited, after);
}

}  // namespace batten
