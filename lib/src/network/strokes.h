#pragma once
// Which edges run on through a junction as one stroke.

#include "network/line_network.h"

namespace batten {

/// For each half-edge that arrives at a node the one that leaves it as the same stroke, or no_half_edge: the best pairs
/// at each node by bend, at most 40 degrees, read from 0.8 to 4 line widths away. Both directions agree:
/// next[twin(next[h])] == twin(h). Where a line splits into two that bend alike by more than 20 degrees, such as at the
/// tip of a diamond, it may run on into one of them or end.
struct Strokes {
  std::vector<HalfEdge> next;
  HalfEdge after(HalfEdge h) const { return h < HalfEdge(next.size()) ? next[h] : no_half_edge; }
};
enum class AtForks { run_on, end };
Strokes find_strokes(const LineNetwork& net, double width_px, AtForks at_forks = AtForks::run_on);

/// The stroke that begins with a half-edge, followed through junctions for about far_px.
Polyline stroke_along(const LineNetwork& net, const Strokes& strokes, HalfEdge first, double far_px);

/// By how much a walk bends where one half-edge ends and another begins; 0: straight on.
double bend_deg(const LineNetwork& net, HalfEdge from, HalfEdge to, double width_px);

}  // namespace batten
