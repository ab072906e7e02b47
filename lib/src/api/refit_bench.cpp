#include "api/refit_bench.h"

namespace batten {
namespace {

void move_node(Node* n, Point to) {
  const Point by = to - n->at;
  n->at = to, n->handle_before = n->handle_before + by, n->handle_after = n->handle_after + by;
}

}  // namespace

void put_back_corners(const Loop& loop, double near_px, Outline* o) {
  if (!loop.known || o->nodes.empty()) return;
  for (Node& n : o->nodes) {
    if (n.smooth) continue;
    for (const KnownCurve::Corner& c : loop.known->corners)
      if (distance(c.at, n.at) < near_px) {
        move_node(&n, c.at);
        break;
      }
  }
  if (o->closed) {
    if (loop.known->starts_at_node) move_node(&o->nodes.front(), loop.points.front());
    return;
  }
  move_node(&o->nodes.front(), loop.points.front());
  move_node(&o->nodes.back(), loop.points.back());
}

}  // namespace batten
