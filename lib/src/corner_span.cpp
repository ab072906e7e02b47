#include "corner_span.h"

#include <algorithm>

#include "piece_data.h"

namespace batten {

bool begin_at_corner(DraftLoop* d) {
  const auto first = std::find_if(d->joints.begin(), d->joints.end(), [](const Joint& j) { return j.corner; });
  if (first == d->joints.end()) return false;
  const auto by = first - d->joints.begin();
  std::rotate(d->joints.begin(), first, d->joints.end());
  std::rotate(d->pieces.begin(), d->pieces.begin() + by, d->pieces.end());
  return true;
}

std::size_t pieces_to_corner(const DraftLoop& d, std::size_t first) {
  std::size_t pieces = 1;
  while (first + pieces < d.size() && !d.joints[first + pieces].corner) ++pieces;
  return pieces;
}

CornerSpan corner_span(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t pieces) {
  CornerSpan s{first, pieces, {}, {}, 0, pieces == d.size()};
  const Joint &a = d.joints[first], &b = d.joints[(first + pieces) % d.size()];
  s.way_px = s.closed ? loop.even.length_px() : loop.even.ahead(a.arc, b.arc);
  s.from = stretch_end(a, arm_at(loop, a, s.way_px, true).angle);
  s.to = stretch_end(b, arm_at(loop, b, s.way_px, false).angle);
  return s;
}

void put_in_span(DraftLoop* d, const CornerSpan& span, const std::vector<Joint>& nodes) {
  const auto at = std::ptrdiff_t(span.first), count = std::ptrdiff_t(span.pieces);
  d->joints.erase(d->joints.begin() + at + 1, d->joints.begin() + at + count);
  d->pieces.erase(d->pieces.begin() + at, d->pieces.begin() + at + count);
  d->joints.insert(d->joints.begin() + at + 1, nodes.begin(), nodes.end());
  d->pieces.insert(d->pieces.begin() + at, nodes.size() + 1, Piece{});
  d->pieces[span.first].a0 = span.from.angle, d->pieces[span.first + nodes.size()].a1 = span.to.angle;
}

}  // namespace batten
