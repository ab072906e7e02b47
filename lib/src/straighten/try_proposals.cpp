#include "straighten/try_proposals.h"

#include <algorithm>
#include <map>
#include <numeric>
#include <optional>

#include "base/parallel.h"
#include "fit/keeps_pins.h"
#include "refine/edit_draft.h"
#include "straighten/edit_limits.h"

namespace batten {
namespace {

// Each turn undoes at least one edit of every outline that is off; an outline that is off for longer loses all of its.
constexpr int most_turns = 12;

// Outlines that proposals tie together, and those proposals.
struct TiedGroup {
  std::vector<std::size_t> loops, proposals;
  std::vector<DraftLoop> solved{};  // one for each of `loops` once they hold; none before
};

bool touches(const Proposal& p, std::size_t loop) {
  return std::any_of(p.nodes.begin(), p.nodes.end(), [&](const NodePlace& place) { return place.loop == loop; });
}

// kept: which proposals count. also: loops that make a group although no proposal touches them.
std::vector<TiedGroup> groups_of(const std::vector<Proposal>& proposals, const std::vector<char>& kept,
                                 const std::vector<char>& also) {
  std::vector<std::size_t> group(also.size());  // for each loop the loop that its group is named by
  std::iota(group.begin(), group.end(), std::size_t{0});
  std::vector<char> concerned = also;
  for (std::size_t p = 0; p < proposals.size(); ++p)
    for (const NodePlace& place : proposals[p].nodes) {
      if (!kept[p]) continue;
      concerned[place.loop] = 1;
      const std::size_t joined = group[place.loop], first = group[proposals[p].nodes.front().loop];
      std::replace(group.begin(), group.end(), joined, first);
    }
  std::map<std::size_t, TiedGroup> by_group;
  for (std::size_t k = 0; k < also.size(); ++k)
    if (concerned[k]) by_group[group[k]].loops.push_back(k);
  for (std::size_t p = 0; p < proposals.size(); ++p)
    if (kept[p] && !proposals[p].nodes.empty()) by_group[group[proposals[p].nodes.front().loop]].proposals.push_back(p);
  std::vector<TiedGroup> out;
  for (auto& [first, tied] : by_group) out.push_back(std::move(tied));
  return out;
}

// Frees the nodes that an edit at `node` may move.
void free_round(const DraftLoop& d, std::size_t node, std::vector<char>* freed) {
  constexpr std::size_t neighbour_count = 2;
  const std::vector<char> near = Window::around(d, node, neighbour_count, neighbour_count).flags();
  for (std::size_t i = 0; i < near.size(); ++i) (*freed)[i] = (*freed)[i] || near[i];
}

// Nodes round those whose directions were put on an axis.
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
        proposals_(proposals),
        threads_(threads),
        stop_(stop),
        from_(before),
        known_(before.loops.size()) {
    out_.draft = before;
    out_.kept.assign(proposals.size(), 1);
  }

  TriedProposals run(const std::vector<char>& edited, const std::function<void(double)>& after) {
    const std::vector<char> none(edited.size(), 0);
    std::vector<TiedGroup> groups = groups_of(proposals_, out_.kept, none);
    for (int turn = 0; turn < most_turns && !groups.empty() && !stop_.stop_requested(); ++turn) {
      for_all(
          &groups, [&](TiedGroup* g) { solve(g, turn + 2 >= most_turns); },
          [&](double share) { after(0.8 * (turn + share) / most_turns); });
      std::vector<char> open(proposals_.size(), 0);
      for (const TiedGroup& g : groups)
        if (g.solved.empty())
          for (const std::size_t p : g.proposals) open[p] = out_.kept[p];
      groups = groups_of(proposals_, open, none);
    }
    for (const TiedGroup& g : groups) undo_all(g);
    from_ = out_.draft;
    for (LoopLimits& limits : known_) limits.allowed.reset();
    groups = groups_of(proposals_, out_.kept, edited);
    for_all(
        &groups, [&](TiedGroup* g) { snap(g); }, [&](double share) { after(0.8 + 0.2 * share); });
    return std::move(out_);
  }

 private:
  // What is known of a loop, each worked out when it is first asked for.
  struct LoopLimits {
    std::optional<OutlineFit> allowed;
    std::optional<bool> bears_none;
    std::size_t power = 0;  // which of `powers` it needs, as far as known
  };

  // Works on each group, and delivers those that were solved.
  void for_all(std::vector<TiedGroup>* groups, const std::function<void(TiedGroup*)>& work,
               const std::function<void(double)>& after) {
    std::vector<double> sizes;
    for (const TiedGroup& g : *groups) {
      double& segments = sizes.emplace_back(0);
      for (const std::size_t k : g.loops) segments += double(from_.loops[k].size());
    }
    share_out_by_size(
        sizes, threads_,
        [&](std::size_t i) {
          if (!stop_.stop_requested()) work(&(*groups)[i]);
        },
        [&](std::size_t done) { after(double(done) / double(std::max<std::size_t>(1, sizes.size()))); });
    for (const TiedGroup& g : *groups)
      for (std::size_t i = 0; i < g.solved.size(); ++i) out_.draft.loops[g.loops[i]] = g.solved[i];
  }

  const OutlineFit& allowed_of(std::size_t k) {
    std::optional<OutlineFit>& allowed = known_[k].allowed;
    if (!allowed) allowed = allowed_after(loops_.loops[k], outline_fit(loops_.loops[k], from_.loops[k], stop_));
    return *allowed;
  }

  std::vector<Tie> ties_of(const TiedGroup& g) const {
    std::vector<Tie> out;
    for (const std::size_t p : g.proposals)
      if (out_.kept[p]) out.insert(out.end(), proposals_[p].ties.begin(), proposals_[p].ties.end());
    return out;
  }

  // What a group's proposals may move: their nodes and those round them. The rest of an outline keeps the place it
  // has: solved anew in least squares it would lose what only higher powers had held.
  FreedNodes freed_by(const TiedGroup& g, const std::vector<std::size_t>& which) const {
    FreedNodes out(from_.loops.size());
    for (const std::size_t k : which) out[k].assign(from_.loops[k].size(), 0);
    for (const std::size_t p : g.proposals)
      for (const NodePlace& place : proposals_[p].nodes)
        if (!out[place.loop].empty()) free_round(from_.loops[place.loop], place.node, &out[place.loop]);
    return out;
  }

  // Solves the loops `which` within *next and says which of them lie too far off: those that are beyond mending, if
  // there are any. Nothing: there is no solution at all.
  std::optional<std::vector<std::size_t>> attempt(const std::vector<std::size_t>& which, const std::vector<Tie>& ties,
                                                  const FreedNodes& freed, Draft* next) {
    std::vector<double> power(next->loops.size(), powers[0]);
    for (const std::size_t k : which) power[k] = powers[known_[k].power];
    std::vector<std::size_t> off, far;
    bool again = true;
    for (std::size_t n = 0; n < std::size(powers) && again && far.empty(); ++n) {
      if (!solve_tied(loops_, ties, freed, power, stop_, next) || stop_.stop_requested()) return std::nullopt;
      off.clear(), again = false;
      for (const std::size_t k : which) {
        const OutlineFit now = outline_fit(loops_.loops[k], next->loops[k], stop_);
        const bool spoils_pin = !keeps_pins(loops_.loops[k], from_.loops[k], next->loops[k]);
        if (is_within(now, allowed_of(k)) && !spoils_pin) continue;
        off.push_back(k);
        if (spoils_pin) continue;  // no power of the distance mends that
        if (is_far_off(now, allowed_of(k))) far.push_back(k);
        if (known_[k].power + 1 < std::size(powers)) power[k] = powers[++known_[k].power], again = true;
      }
    }
    return far.empty() ? off : far;
  }

  void keep(const Draft& solved, TiedGroup* g) const {
    for (const std::size_t k : g->loops) g->solved.push_back(solved.loops[k]);
  }

  void undo_all(const TiedGroup& g) {
    for (const std::size_t p : g.proposals) out_.kept[p] = 0;
  }

  void solve(TiedGroup* g, bool last) {
    Draft next = from_;
    const auto off = attempt(g->loops, ties_of(*g), freed_by(*g, g->loops), &next);
    if (!off) return undo_all(*g);
    if (off->empty()) return keep(next, g);
    for (const std::size_t k : *off) undo(*g, next, k, last || bears_none(*g, k));
  }

  // Is an outline too far off even without an edit? Then it can bear none: the solve does not repeat the fit that the
  // outline was delivered with.
  bool bears_none(const TiedGroup& g, std::size_t k) {
    std::optional<bool>& answer = known_[k].bears_none;
    if (!answer) {
      Draft alone = from_;
      const auto off = attempt({k}, {}, freed_by(g, {k}), &alone);
      answer = !off || !off->empty();
    }
    return *answer;
  }

  // How far a proposal moved an outline; one beside the worst place counts more.
  double blame(const Proposal& proposal, const Draft& next, std::size_t loop, Point place) const {
    double most = 0;
    for (const NodePlace& moved : proposal.nodes) {
      if (moved.loop != loop) continue;
      const Point now = next.loops[loop].nodes[moved.node].at;
      const double moved_px = distance(now, from_.loops[loop].nodes[moved.node].at);
      most = std::max(most, moved_px / (1 + distance(now, place) / (2 * loops_.loops[loop].scale_px)));
    }
    return most;
  }

  // Undoes the edit that is most to blame for an outline that is off; where several are about as much to blame, the one
  // that a letterer would miss least.
  void undo(const TiedGroup& g, const Draft& next, std::size_t loop, bool all) {
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
  void snap(TiedGroup* g) {
    Draft wanted = from_;
    std::vector<std::size_t> snapped;
    for (const std::size_t k : g->loops)
      if (snap_handles(&wanted.loops[k]) > 0) snapped.push_back(k);
    constexpr int most_snaps = 3;  // turns; outlines that are off drop out together
    for (int turn = 0; turn < most_snaps && !snapped.empty() && !stop_.stop_requested(); ++turn) {
      Draft next = from_;
      FreedNodes freed(from_.loops.size());
      for (const std::size_t k : snapped) next.loops[k] = wanted.loops[k];
      for (const std::size_t k : g->loops) freed[k] = round_snapped(from_.loops[k], next.loops[k]);
      const auto off = attempt(g->loops, ties_of(*g), freed, &next);
      if (!off) return;
      if (off->empty()) return keep(next, g);
      const auto is_off = [&](std::size_t k) { return std::find(off->begin(), off->end(), k) != off->end(); };
      if (std::erase_if(snapped, is_off) == 0) return;
    }
  }

  const SpacedLoops& loops_;
  const std::vector<Proposal>& proposals_;
  int threads_;
  const std::stop_token& stop_;
  Draft from_;  // what a solve starts from: the draft as it was given; for snapping, with the kept proposals
  std::vector<LoopLimits> known_;
  TriedProposals out_;
};

}  // namespace

TriedProposals try_proposals(const SpacedLoops& loops, const Draft& before, const std::vector<Proposal>& proposals,
                             const std::vector<char>& edited, int threads, const std::stop_token& stop,
                             const std::function<void(double)>& after) {
  return Trial(loops, before, proposals, threads, stop).run(edited, after);
}

}  // namespace batten
