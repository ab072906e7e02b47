#include "respace_ring.h"

#include <algorithm>

#include "minimise_segments.h"
#include "place_nodes.h"

namespace batten {

bool try_respaced_ring(const EditContext& c, DraftLoop* d) {
  const std::size_t n = d->size();
  if (n <= 2) return false;
  for (std::size_t i = 0; i < n; ++i)
    if (d->joints[i].corner || d->joints[i].reason != Reason::added || d->pieces[i].straight) return false;
  DraftLoop next;
  const double length = c.loop.even.length_px();
  for (std::size_t k = 0; k + 1 < n; ++k)
    next.joints.push_back(
        smooth_joint(c.loop, c.loop.even.wrap(d->joints[0].arc + length * double(k) / double(n - 1)), Reason::added));
  next.pieces.resize(n - 1);
  settle_angles(&next);
  for (std::size_t k = 0; k + 1 < n; ++k) fit_piece(c.loop, &next, k, true);
  for (const int power : {2, 6, 12, 24}) {
    if (c.stop.stop_requested() || !solve_joint(c.loop, &next, {}, {3, power, 12}, c.stop)) return false;
    const double worst = local_error(c.loop, next, 0, next.size()).max_px;
    if (worst <= c.loop.limit_px) {
      *d = std::move(next);
      return true;
    }
    if (worst > 3 * c.loop.limit_px) return false;
  }
  return false;
}

}  // namespace batten
