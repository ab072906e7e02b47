#include "network/loose_ends.h"

#include <algorithm>

#include "network/strokes.h"

namespace batten {

std::vector<LooseEnd> loose_ends(const LineNetwork& net, double width_px) {
  const Strokes strokes = find_strokes(net, width_px);
  std::vector<LooseEnd> out;
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    const std::vector<HalfEdge> leaving = net.leaving(int(n));
    if (leaving.size() != 1) continue;
    LooseEnd end;
    end.node = int(n), end.edge = edge_of(leaving.front()), end.at = net.nodes[n].at;
    end.stroke = stroke_along(net, strokes, leaving.front(), 90 * width_px);
    end.length_px = open_length_px(end.stroke);
    if (end.length_px <= 1.5 * width_px) continue;
    end.out = -1 * leaving_direction(end.stroke, 3 * width_px);
    const double far_px = std::clamp(0.25 * end.length_px, 3 * width_px, 14 * width_px);
    end.far_out = -1 * leaving_direction(end.stroke, far_px);
    out.push_back(std::move(end));
  }
  return out;
}

}  // namespace batten
