#include "minimise/corner_span.h"

#include <algorithm>

#include "fit/segment_data.h"

namespace batten {

bool begin_at_corner(DraftLoop* d) {
  const auto first = std::find_if(d->nodes.begin(), d->nodes.end(), [](const DraftNode& j) { return j.corner; });
  if (first == d->nodes.end()) return false;
  const auto by = first - d->nodes.begin();
  std::rotate(d->nodes.begin(), first, d->nodes.end());
  std::rotate(d->segments.begin(), d->segments.begin() + by, d->segments.end());
  return true;
}

std::size_t segments_to_corner(const DraftLoop& d, std::size_t first) {
  std::size_t segments = 1;
  while (first + segments < d.size() && !d.nodes[first + segments].corner) ++segments;
  return segments;
}

CornerSpan corner_span(const SpacedLoop& loop, const DraftLoop& d, std::size_t first, std::size_t segments) {
  CornerSpan s{first, segments, {}, {}, 0, segments == d.size()};
  const DraftNode &a = d.nodes[first], &b = d.nodes[d.next(first, segments)];
  s.length_px = s.closed ? loop.curve.length_px() : loop.curve.ahead(a.arc, b.arc);
  s.from = stretch_end(a, arm_at(loop, a, s.length_px, true).angle);
  s.to = stretch_end(b, arm_at(loop, b, s.length_px, false).angle);
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
