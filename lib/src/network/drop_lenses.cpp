#include "network/drop_lenses.h"

#include <algorithm>
#include <set>

#include "network/faces.h"
#include "network/mean_along.h"

namespace batten {
namespace {

// Two strokes of one line that part for a moment. Round cells are the loops of writing, as long as they leave a hole:
// where the middle lines lie closer than that, both belong to one band, however short the stretch is.
bool is_lens(double area_px2, double length_px, double width_px) {
  const double thickness_px = 2 * area_px2 / std::max(length_px, 1.);
  const double roundness = 4 * pi * area_px2 / std::max(length_px * length_px, 1.);  // 1 for a circle
  return thickness_px < (roundness < 0.35 ? 1.1 : 0.6) * width_px;
}

}  // namespace

void drop_lenses(const Plane<float>& ink, double width_px, LineNetwork* net) {
  for (int round = 0; round < 3; ++round) {
    std::set<int> gone;
    for (const Cycle& cycle : find_faces(*net, width_px).cycles) {
      if (cycle.size() > 6) continue;
      std::set<int> edges;
      double length_px = 0;
      bool touched = false;
      for (const HalfEdge h : cycle) {
        edges.insert(edge_of(h)), touched |= gone.count(edge_of(h)) > 0;
        if (!touched) length_px += net->length_px(edge_of(h));
      }
      if (touched || edges.size() < 2) continue;
      const double area_px2 = signed_area_px2(polygon_of(*net, cycle));
      // Borders of faces run anticlockwise; what runs the other way is the rim of everything that hangs together.
      if (area_px2 >= 0 && cycle.size() > 2) continue;
      if (!is_lens(std::abs(area_px2), length_px, width_px)) continue;
      int faintest = -1;
      double least = 1e300;
      for (const int e : edges) {
        const double share = cycle.size() == 2 ? 0 : -net->length_px(e) / length_px;
        const double weight = mean_along(ink, net->edges[e].points) + share;
        if (weight < least) least = weight, faintest = e;
      }
      net->remove_edge(faintest);
      gone.insert(faintest);
    }
    net->join_pairs();
    if (gone.empty()) break;
  }
}

}  // namespace batten
