#include "fit/draft.h"

namespace batten {
namespace {
double chord_angle(const DraftLoop& d, std::size_t segment) {
  return angle_of(d.nodes[d.next(segment)].at - d.nodes[segment].at);
}
}  // namespace

bool is_line_end(const DraftLoop& d, std::size_t node) {
  return d.segments[node].way_back || d.segments[d.previous(node)].way_back;
}

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

bool touches_straight(const DraftLoop& d, std::size_t node) {
  return d.segments[node].straight || d.segments[d.previous(node)].straight;
}

void make_cubic(DraftLoop* d, std::size_t segment) {
  const double chord = distance(d->nodes[segment].at, d->nodes[d->next(segment)].at);
  d->segments[segment] = DraftSegment{};
  d->segments[segment].start.handle_px = d->segments[segment].end.handle_px = chord / 3;
}

void insert_node(DraftLoop* d, std::size_t segment, const DraftNode& node) {
  const auto at = std::ptrdiff_t(segment);
  d->nodes.insert(d->nodes.begin() + at + 1, node);
  d->segments.insert(d->segments.begin() + at, DraftSegment(d->segments[segment]));
  d->segments[segment].end.on_axis = d->segments[segment + 1].start.on_axis = false;
}

void remove_node(DraftLoop* d, std::size_t node) {
  DraftSegment& before = d->segments[d->previous(node)];
  before.end = d->segments[node].end;
  before.start.handle_px *= 1.5, before.end.handle_px *= 1.5;
  d->nodes.erase(d->nodes.begin() + std::ptrdiff_t(node));
  d->segments.erase(d->segments.begin() + std::ptrdiff_t(node));
}

}  // namespace batten
