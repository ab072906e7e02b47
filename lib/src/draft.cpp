#include "draft.h"

namespace batten {
namespace {
double chord_angle(const DraftLoop& d, std::size_t piece) {
  return angle_of(d.joints[d.next(piece)].at - d.joints[piece].at);
}
}  // namespace

double start_angle(const DraftLoop& d, std::size_t piece) {
  const Joint& j = d.joints[piece];
  if (d.pieces[piece].straight) return chord_angle(d, piece);
  if (j.corner) return d.pieces[piece].a0;
  const std::size_t before = d.previous(piece);
  return d.pieces[before].straight ? chord_angle(d, before) : j.angle;
}

double end_angle(const DraftLoop& d, std::size_t piece) {
  const std::size_t end = d.next(piece);
  const Joint& j = d.joints[end];
  if (d.pieces[piece].straight) return chord_angle(d, piece);
  if (j.corner) return d.pieces[piece].a1;
  return d.pieces[end].straight ? chord_angle(d, end) : j.angle;
}

Cubic cubic_of(const DraftLoop& d, std::size_t piece) {
  const Point p0 = d.joints[piece].at, p3 = d.joints[d.next(piece)].at;
  const Piece& q = d.pieces[piece];
  if (q.straight) return {p0, p0, p3, p3};
  return {p0, p0 + q.h0 * direction(start_angle(d, piece)), p3 - q.h1 * direction(end_angle(d, piece)), p3};
}

void settle_angles(DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    Joint& j = d->joints[i];
    const std::size_t before = d->previous(i);
    if (!j.corner) {
      if (d->pieces[i].straight) j.angle = chord_angle(*d, i);
      if (d->pieces[before].straight) j.angle = chord_angle(*d, before);
    }
  }
  for (std::size_t i = 0; i < d->size(); ++i) {
    d->pieces[i].a0 = start_angle(*d, i);
    d->pieces[i].a1 = end_angle(*d, i);
  }
}

}  // namespace batten
