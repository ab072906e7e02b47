#include "refine/refine_curves.h"

#include <algorithm>
#include <array>

#include "base/parallel.h"
#include "fit/segment_data.h"
#include "refine/bend_straights.h"
#include "refine/edit_draft.h"
#include "refine/enforce_extremum.h"
#include "refine/flatten_extremes.h"
#include "refine/respace_nodes.h"
#include "refine/untangle.h"

namespace batten {
namespace {

constexpr int most_passes = 4;
// The share of the limit that is used before two halves become each other's image within the rest: a heart held to 0.95
// limits could not be mirrored.
constexpr double share_beside_symmetry = 0.85;
// Nodes solved for, times rounds, on one outline, before its edits end. Outlines of handwriting on real scans took up
// to 700; a polyline of 2 px white noise, whose every point is a corner, takes 7000 in 4 s.
constexpr long most_work = 10000;

bool ended(const EditContext& c) { return c.stop.stop_requested() || *c.work > most_work; }

// Tries an edit at every node or segment.
template <class Edit>
bool sweep(const EditContext& c, const DraftLoop& d, Edit&& edit) {
  bool changed = false;
  for (std::size_t i = 0; i < d.size() && !ended(c); ++i) changed |= edit(i);
  return changed;
}

// The same for an edit that takes away what it succeeds at, so that the next one has the same index.
template <class Edit>
bool sweep_away(const EditContext& c, const DraftLoop& d, Edit&& edit) {
  bool changed = false;
  for (std::size_t i = 0; i < d.size() && !ended(c);) {
    if (edit(i))
      changed = true;
    else
      ++i;
  }
  return changed;
}

// Solves the whole outline together; undone where that broke what held before.
void solve_whole(const EditContext& c, DraftLoop* d, int rounds) {
  const SolveStep how[] = {{{.rounds = rounds}}};
  const Window all = Window::all(*d);
  try_edit(c, {*d, all, all, {}, how, allowance::whole_outline}, d);
}

// What least squares or a direction put on an axis took over the limit gets its nodes back, unless the points may err
// as much.
void restore_tolerance(const EditContext& c, DraftLoop* d) {
  if (!limit_beyond_noise(c.loop) && !c.loop.held_finer()) return;
  for (int k = 0; k < most_passes && !ended(c); ++k) {
    bool changed = sweep(c, *d, [&](std::size_t i) { return repair_segment(c, d, i); });
    changed |= sweep(c, *d, [&](std::size_t i) { return try_divide(c, d, i); });
    if (!changed) return;
  }
}

bool may_delete(const EditContext& c, const DraftNode& j) {
  if (j.corner || j.reason == Reason::straight_end) return false;
  return j.reason == Reason::added || !c.extremes_required;
}

// Where an edit failed and nothing has moved since: trying it again would only cost time.
class FailedPlaces {
 public:
  // Tries the edit at i, unless it failed there before.
  template <class Edit>
  bool attempt(const DraftLoop& d, std::size_t i, Edit&& edit) {
    if (knows(d, i)) return false;
    if (edit()) return true;
    keys_.push_back(key_of(d, i));
    return false;
  }

 private:
  bool knows(const DraftLoop& d, std::size_t i) const {
    const Key key = key_of(d, i);
    return std::any_of(keys_.begin(), keys_.end(), [&](const Key& k) {
      return std::equal(k.begin(), k.end(), key.begin(),
                        [](double a, double b) { return std::abs(a - b) < unmoved_px; });
    });
  }
  static constexpr double unmoved_px = 0.5;
  // The nodes from i - 1 to i + 2, between which an edit works, and the handles of the segments between them.
  using Key = std::array<double, 10>;
  static Key key_of(const DraftLoop& d, std::size_t i) {
    Key key;
    std::size_t k = 0;
    for (std::size_t n = 0; n < 4; ++n) {
      const std::size_t j = d.next(d.previous(i), n);
      key[k++] = d.nodes[j].arc;
      if (n < 3) key[k++] = d.segments[j].start.handle_px, key[k++] = d.segments[j].end.handle_px;
    }
    return key;
  }
  std::vector<Key> keys_;
};

bool try_without(const EditContext& c, DraftLoop* d, std::size_t i) {
  return may_delete(c, d->nodes[i]) ? try_delete(c, d, i) : c.extremes_required && try_flatten(c, d, i);
}

// Nodes at extremes get a direction on the axis whatever it costs, and what follows puts that right; where nodes may
// lie anywhere an axis is one wish more, and yields to the tolerance.
bool snap(const EditContext& c, DraftLoop* d) {
  return c.extremes_required ? snap_handles(d) > 0 : snap_where_held(c, d);
}

void refine_loop(const EditContext& c, DraftLoop* d) {
  FailedPlaces not_enforced, not_deleted, not_bent;
  FailedSpans not_respaced;
  const auto smooth_corners = [&] {
    return sweep(c, *d, [&](std::size_t i) { return smooth_weak_corner(c, d, i, weakest_corner_deg); });
  };
  const auto merge_all_short = [&] { return sweep_away(c, *d, [&](std::size_t i) { return merge_short(c, d, i); }); };
  solve_whole(c, d, 4);
  for (int pass = 0; pass < most_passes && !ended(c); ++pass) {
    bool changed = smooth_corners();
    changed |= sweep(c, *d, [&](std::size_t i) {
      return d->segments[i].straight && not_bent.attempt(*d, i, [&] { return bend_straight(c, d, i); });
    });
    changed |= sweep(c, *d, [&](std::size_t i) { return repair_segment(c, d, i); });
    if (c.extremes_required)
      changed |= sweep(
          c, *d, [&](std::size_t i) { return not_enforced.attempt(*d, i, [&] { return enforce_extremum(c, d, i); }); });
    changed |= merge_all_short();
    changed |= sweep_away(c, *d, [&](std::size_t i) {
      return !d->nodes[i].corner && not_deleted.attempt(*d, i, [&] { return try_without(c, d, i); });
    });
    while (!c.extremes_required && try_respaced_ring(c, d)) changed = true;
    if (!c.extremes_required) changed |= try_respaced_spans(c, d, &not_respaced);
    changed |= snap(c, d);
    if (!changed) break;
    solve_whole(c, d, 2);
  }
  for (int k = 0; k < most_passes; ++k) {
    bool changed = smooth_corners();
    changed |= merge_all_short();
    changed |= snap(c, d);
    if (!changed) break;
    solve_joint(c.loop, d, {}, {.rounds = 1, .iterations = 6}, c.stop);
  }
  restore_tolerance(c, d);
  if (untangle(c, d)) snap(c, d);
}

}  // namespace

Result<Draft> refine_curves(const SpacedLoops& loops, const Draft& draft, const Options& options, Progress& progress) {
  Draft out = draft;
  share_out_by_size(
      lengths_of(loops), options.threads,
      [&](std::size_t k) {  // loops know nothing of each other
        if (progress.stopped()) return;
        long work = 0;
        EditContext c{loops.loops[k], options.extremes == Options::Extremes::required, progress.stop_token()};
        c.work = &work;
        if (options.symmetry) c.minimax_share = share_beside_symmetry;
        refine_loop(c, &out.loops[k]);
        out.loops[k].cut_short = work > most_work;
      },
      [&](std::size_t done) { progress.advance(double(done) / double(std::max<std::size_t>(1, out.loops.size()))); });
  if (progress.stopped()) return progress.cancelled();
  return out;
}

}  // namespace batten
