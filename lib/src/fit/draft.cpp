#include "fit/draft.h"

namespace batten {
namespace {
double chord_angle(const DraftLoop& d, std::size_t segment) {
  return angle_of(d.nodes[d.next(segment)].at - d.nodes[segment].at);
}
}  // namespace

double start_angle(const DraftLoop& d, std::size_t segment) {
  const DraftNode& j = d.nodes[segment];
  if (d.segments[segment].straight) return chord_angle(d, segment);
  if (j.corner) return d.segments[segment].start.angle_rad;
  const std::size_t before = d.previous(segment);
  return d.segments[before].straight ? chord_angle(d, before) : j.angle;
}

double end_angle(const DraftLoop& d, std::size_t segment) {
  const std::size_t end = d.next(segment);
  const DraftNode& j = d.nodes[end];
  if (d.segments[segment].straight) return chord_angle(d, segment);
  if (j.corner) return d.segments[segment].end.angle_rad;
  return d.segments[end].straight ? chord_angle(d, end) : j.angle;
}

Cubic cubic_of(const DraftLoop& d, std::size_t segment) {
  const Point p0 = d.nodes[segment].at, p3 = d.nodes[d.next(segment)].at;
  const DraftSegment& q = d.segments[segment];
  if (q.straight) return {p0, p0, p3, p3};
  return {p0, p0 + q.start.handle_px * direction(start_angle(d, segment)),
          p3 - q.end.handle_px * direction(end_angle(d, segment)), p3};
}

void settle_angles(DraftLoop* d) {
  for (std::size_t i = 0; i < d->size(); ++i) {
    DraftNode& j = d->nodes[i];
    const std::size_t before = d->previous(i);
    if (!j.corner) {
      if (d->segments[i].straight) j.angle = chord_angle(*d, i);
      if (d->segments[before].straight) j.angle = chord_angle(*d, before);
    }
  }
  for (std::size_t i = 0; i < d->size(); ++i) {
    d->segments[i].start.angle_rad = start_angle(*d, i);
    d->segments[i].end.angle_rad = end_angle(*d, i);
  }
}

}  // namespace batten
