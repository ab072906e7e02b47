#include "straighten/fit_plainly.h"

#include <algorithm>

#include "fit/segment_data.h"
#include "fit/smooth_node.h"
#include "measure/find_tips.h"
#include "minimise/fit_segment.h"
#include "minimise/split_segment.h"

namespace batten {
namespace {

Outline drawn(const SpacedLoop& loop, const DraftLoop& d) {
  Outline o;
  o.closed = !loop.open();
  for (std::size_t i = 0; i < d.size(); ++i)
    o.nodes.push_back(
        {cubic_of(d, d.previous(i))[2], d.nodes[i].at, cubic_of(d, i)[1], !d.nodes[i].corner, d.nodes[i].reason});
  return o;
}

// Does a pin say that the node stays, or a straight that ends there?
bool is_pinned(const DraftLoop& d, std::size_t i) {
  return d.nodes[i].pin >= 0 || d.segments[i].pin >= 0 || d.segments[d.previous(i)].pin >= 0;
}

// The nodes that a plain fit begins with: corners that are kept, ends, pinned ones, and where there are too few, places
// between.
std::vector<DraftNode> first_nodes(const SpacedLoop& loop, const std::vector<char>& kept, const DraftLoop& d) {
  std::vector<DraftNode> out;
  for (std::size_t i = 0; i < d.size(); ++i) {
    DraftNode node = d.nodes[i];
    const bool end = is_line_end(d, i);
    if (!end && !(node.corner && kept[i]) && !is_pinned(d, i)) continue;
    node.zone_px = std::min(node.zone_px, loop.rounding_px);
    out.push_back(node);
  }
  if (loop.open() || out.size() > 2) return out;
  constexpr int places = 4;
  const double first = out.empty() ? 0 : out[0].arc, step = loop.curve.length_px() / places;
  const bool keeps = out.size() == 1;
  const bool stays = std::any_of(out.begin(), out.end(), [](const DraftNode& j) { return j.pin >= 0; });
  if (stays && out.size() == 2) return out;
  if (!keeps) out.clear();
  for (int k = keeps ? 1 : 0; k < places; ++k) {
    const double arc = loop.curve.wrap(first + k * step);
    if (!lies_in(loop.pins.bare, arc, loop.curve.length_px())) out.push_back(smooth_node(loop, arc, Reason::added));
  }
  return out;
}

}  // namespace

double strayed_px(const SpacedLoop& loop, const DraftLoop& d) {
  const std::vector<Point>& points = loop.curve.points;
  return find_tips(drawn(loop, d), std::span(points.data(), loop.curve.drawn_count()),
                   std::max(loop.limit_px, unseen_px), std::max(loop.band_px, unseen_px))
      .strayed_px;
}

DraftLoop fit_plainly(const SpacedLoop& loop, double allowed_px, const std::vector<char>& kept, const DraftLoop& d,
                      const std::stop_token& stop) {
  SpacedLoop wider = loop;
  wider.limit_px = allowed_px;
  DraftLoop next;
  next.nodes = first_nodes(loop, kept, d);
  if (next.size() < 2) return d;
  next.segments.assign(next.size(), DraftSegment{});
  if (loop.open()) next.segments.back() = DraftSegment::way_back_of_line();
  for (std::size_t i = 0; i < next.size(); ++i)
    for (std::size_t k = 0; k < d.size(); ++k)
      if (d.segments[k].pin >= 0 && d.nodes[k].arc == next.nodes[i].arc) next.segments[i] = d.segments[k];
  settle_angles(&next);
  fit_segments(wider, &next, Window::all(next));
  constexpr int most_rounds = 6;  // each at least halves what is over
  for (int round = 0; round < most_rounds; ++round)
    for (std::size_t i = 0; i < next.size() && !stop.stop_requested(); ++i)
      if (!next.segments[i].way_back && !next.segments[i].straight && stretch_px(wider, next, i) > 3 &&
          segment_error(wider, next, i).max_px > allowed_px)
        i += std::size_t(split_segment(wider, &next, i, stop)) - 1;
  return next;
}

}  // namespace batten
