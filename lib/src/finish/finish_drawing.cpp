#include "finish/finish_drawing.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

#include "measure/line_sigma.h"
#include "straighten/axis_lines.h"

namespace batten {
namespace {

// Puts a handle exactly on the axis, not by way of a cosine of pi / 2.
void put_on_axis(Point at, bool level, Point* handle) { (level ? handle->y : handle->x) = level ? at.y : at.x; }

bool is_level(double angle) { return std::abs(std::cos(angle)) > 0.5; }

Node node_of(const DraftLoop& d, std::size_t i) {
  const DraftNode& drafted = d.nodes[i];
  const DraftSegment &before = d.segments[d.previous(i)], &after = d.segments[i];
  Node node{cubic_of(d, d.previous(i))[2], drafted.at, cubic_of(d, i)[1], !drafted.corner, drafted.reason};
  if (drafted.corner) {
    if (before.end.on_axis) put_on_axis(node.at, is_level(before.end.angle_rad), &node.handle_before);
    if (after.start.on_axis) put_on_axis(node.at, is_level(after.start.angle_rad), &node.handle_after);
    return node;
  }
  for (Point* handle : {&node.handle_before, &node.handle_after}) {
    if (drafted.angle_fixed) put_on_axis(node.at, is_level(drafted.angle), handle);
    // Handles beside a level or vertical straight lie exactly along it.
    for (const DraftSegment* beside : {&before, &after}) {
      if (beside->straight && beside->level) put_on_axis(node.at, true, handle);
      if (beside->straight && beside->vertical) put_on_axis(node.at, false, handle);
    }
  }
  return node;
}

bool is_extreme(const DraftNode& node) {
  return node.reason >= Reason::extreme_left && node.reason <= Reason::extreme_bottom;
}

// The nodes of an open line from its start to its end.
NodeOrder order_of_line(const DraftLoop& d) {
  NodeOrder order;
  std::size_t j = 0;
  while (!d.segments[d.previous(j)].way_back) ++j;
  for (std::size_t i = 0; i < d.size(); ++i) order.draft_node_of.push_back(d.next(j, i));
  return order;
}

// The node that a pin says the outline begins at.
std::optional<std::size_t> pinned_start(const SpacedLoop& loop, const DraftLoop& d) {
  for (std::size_t i = 0; i < d.size() && loop.pins.start >= 0; ++i)
    if (d.nodes[i].pin == loop.pins.start) return i;
  return std::nullopt;
}

// Somebody's outline begins where it did, or at the node nearest to there along it.
NodeOrder order_as_drawn(const SpacedLoop& loop, const DraftLoop& d) {
  NodeOrder order;
  std::size_t first = 0;
  const std::optional<std::size_t> pinned = pinned_start(loop, d);
  for (std::size_t i = 0; i < d.size(); ++i) {
    const auto off_px = [&](std::size_t k) {
      return std::abs(loop.curve.signed_arc_px(loop.drawn_from, d.nodes[k].arc));
    };
    if (off_px(i) < off_px(first)) first = i;
  }
  order.reversed = loop.is_drawn_back;
  std::size_t j = pinned.value_or(first);
  for (std::size_t i = 0; i < d.size(); ++i, j = order.reversed ? d.previous(j) : d.next(j))
    order.draft_node_of.push_back(j);
  return order;
}

// The lowest node of the kind that outlines begin at, the leftmost of those within a band width of it.
std::size_t start_node(const SpacedLoop& loop, const DraftLoop& d, Options::Start start) {
  const bool has_extreme = std::any_of(d.nodes.begin(), d.nodes.end(), is_extreme);
  const bool has_corner = std::any_of(d.nodes.begin(), d.nodes.end(), [](const auto& node) { return node.corner; });
  const bool at_extreme = has_extreme && (start == Options::Start::extreme || !has_corner);
  const auto fits = [&](const DraftNode& node) { return at_extreme ? is_extreme(node) : !has_corner || node.corner; };
  double lowest = -std::numeric_limits<double>::infinity();
  for (const DraftNode& node : d.nodes)
    if (fits(node)) lowest = std::max(lowest, node.at.y);
  const double slack_px = std::max(2.0, loop.band_px);
  std::size_t best = 0;
  double leftmost = std::numeric_limits<double>::infinity();
  for (std::size_t i = 0; i < d.size(); ++i) {
    const Point at = d.nodes[i].at;
    if (fits(d.nodes[i]) && at.y >= lowest - slack_px && at.x < leftmost) leftmost = at.x, best = i;
  }
  return best;
}

}  // namespace

std::vector<NodeOrder> node_orders(const SpacedLoops& spaced, const Draft& draft, const Options& options) {
  const std::vector<char> ink_at_right = which_have_ink_at_right(spaced);
  std::vector<NodeOrder> out;
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const DraftLoop& d = draft.loops[k];
    if (spaced.loops[k].open()) {
      out.push_back(order_of_line(d));
      continue;
    }
    if (spaced.loops[k].is_drawn) {
      out.push_back(order_as_drawn(spaced.loops[k], d));
      continue;
    }
    NodeOrder& order = out.emplace_back();
    // An outer outline that runs clockwise on screen has its ink at the right, and so have its counters the other way.
    order.reversed = (ink_at_right[k] != 0) != (options.direction == Options::Direction::clockwise);
    std::size_t j = pinned_start(spaced.loops[k], d).value_or(start_node(spaced.loops[k], d, options.start));
    for (std::size_t i = 0; i < d.size(); ++i, j = order.reversed ? d.previous(j) : d.next(j))
      order.draft_node_of.push_back(j);
  }
  return out;
}

Drawing finish_drawing(const SpacedLoops& spaced, const Draft& draft, const std::vector<Guide>& guides,
                       const Options& options) {
  Drawing out;
  out.guides = guides;
  const std::vector<int> parent = nesting_of(spaced);
  const std::vector<NodeOrder> orders = node_orders(spaced, draft, options);
  for (std::size_t k = 0; k < draft.loops.size(); ++k) {
    const SpacedLoop& loop = spaced.loops[k];
    Outline& outline = out.outlines.emplace_back();
    outline.parent = parent[k];
    outline.closed = !loop.open();
    outline.kind = loop.kind, outline.band_px = loop.band_px;
    outline.face = loop.face;
    for (const std::size_t i : orders[k].draft_node_of) {
      Node node = node_of(draft.loops[k], i);
      if (orders[k].reversed) std::swap(node.handle_before, node.handle_after);
      outline.nodes.push_back(node);
    }
    outline.sigma_px = line_sigma_px(loop, outline);
  }
  return out;
}

}  // namespace batten
