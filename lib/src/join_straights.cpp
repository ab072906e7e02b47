#include "join_straights.h"

#include <algorithm>

namespace batten {
namespace {

bool on_one_axis(const Piece& a, const Piece& b) {
  return a.straight && b.straight && on_axis(a) && a.upright == b.upright && a.level == b.level;
}

double length_px(const DraftLoop& d, std::size_t piece) {
  return distance(d.joints[piece].at, d.joints[d.next(piece)].at);
}

// How many joints lie between the straight and the next one on its axis: 1, 2 with a curve between them, 0: there is
// none.
std::size_t joints_between(const DraftLoop& d, std::size_t piece) {
  const auto smooth = [&](std::size_t i) { return !d.joints[i].corner && d.joints[i].reason != Reason::pinned; };
  const std::size_t middle = d.next(piece), after = d.next(middle);
  if (d.size() < 5 || !smooth(middle)) return 0;  // three pieces are left at least
  if (on_one_axis(d.pieces[piece], d.pieces[middle])) return 1;
  if (!smooth(after) || !on_one_axis(d.pieces[piece], d.pieces[after]) || d.pieces[middle].straight) return 0;
  return length_px(d, middle) <= std::max(length_px(d, piece), length_px(d, after)) ? 2 : 0;
}

bool try_join(const StraightenContext& context, std::size_t piece, DraftLoop* d, std::vector<Straightened>* edits) {
  const EditContext& c = context.edit;
  const std::size_t between = joints_between(*d, piece);
  if (between == 0) return false;
  DraftLoop next = *d;
  for (std::size_t k = 0; k < between; ++k) {
    const std::size_t joint = next.next(piece);
    remove_joint(&next, joint);
    if (joint < piece) --piece;
  }
  settle_angles(&next);
  if (!settle_within(c.loop, piece, 3, stem_allowance_px(c.loop), c.stop, &next) || !context.holds(*d, next))
    return false;
  edits->push_back({next.pieces[piece].upright, middle_arc(c.loop, next, piece), moved_px(*d, next, piece)});
  *d = std::move(next);
  return true;
}

}  // namespace

void join_straights(const StraightenContext& context, DraftLoop* d, std::vector<Straightened>* edits) {
  for (bool changed = true; changed && !context.edit.stop.stop_requested();) {
    changed = false;  // an edit renumbers the joints: each is looked at anew
    for (std::size_t i = 0; i < d->size() && !changed; ++i) changed = try_join(context, i, d, edits);
  }
}

}  // namespace batten
