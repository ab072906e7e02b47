#include "minimise/corner_span.h"

#include <algorithm>

#include "fit/segment_data.h"

namespace batten {

namespace {
// Pinned nodes stay as corners do, and so do those that pinned straights end at.
bool stays(const DraftLoop& d, std::size_t i) {
  return d.nodes[i].corner || d.nodes[i].pin >= 0 || d.segments[i].pin >= 0 || d.segments[d.previous(i)].pin >= 0;
}
}  // namespace

bool begin_at_corner(DraftLoop* d) {
  auto first = d->nodes.begin();
  while (first != d->nodes.end() && !stays(*d, std::size_t(first - d->nodes.begin()))) ++first;
  if (first == d->nodes.end()) return false;
  const auto by = first - d->nodes.begin();
  std::rotate(d->nodes.begin(), first, d->nodes.end());
  std::rotate(d->segments.begin(), d->segments.begin() + by, d->segments.end());
  return true;
}

std::size_t segments_to_corner(const DraftLoop& d, std::size_t first) {
  std::size_t segments = 1;
  while (first + segments < d.size() && !stays(d, first + segments)) ++segments;
  return segments;
}

CornerSpan corner_span(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t segments) {
  CornerSpan s{first, segments, {}, {}, 0, segments == d.size()};
  const DraftNode &a = d.nodes[first], &b = d.nodes[d.next(first, segments)];
  s.length_px = s.closed ? loop.curve.length_px() : loop.curve.ahead(a.arc, b.arc);
  s.from = stretch_end(a, a.corner ? arm_at(loop, a, s.length_px, true).angle : start_angle(d, first));
  s.to =
      stretch_end(b, b.corner ? arm_at(loop, b, s.length_px, false).angle : end_angle(d, d.next(first, segments - 1)));
  return s;
}

void put_in_span(DraftLoop* d, const CornerSpan& span, const std::vector<DraftNode>& nodes) {
  const auto at = std::ptrdiff_t(span.first), count = std::ptrdiff_t(span.segments);
  d->nodes.erase(d->nodes.begin() + at + 1, d->nodes.begin() + at + count);
  d->segments.erase(d->segments.begin() + at, d->segments.begin() + at + count);
  d->nodes.insert(d->nodes.begin() + at + 1, nodes.begin(), nodes.end());
  d->segments.insert(d->segments.begin() + at, nodes.size() + 1, DraftSegment{});
  d->segments[span.first].start.angle_rad = span.from.angle;
  d->segments[span.first + nodes.size()].end.angle_rad = span.to.angle;
}

}  // namespace batten
