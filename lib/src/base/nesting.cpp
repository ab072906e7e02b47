#include "base/nesting.h"

namespace batten {
std::vector<int> nesting(const std::vector<Polyline>& polygons) {
  std::vector<PointBox> boxes;
  std::vector<double> areas;
  for (const auto& p : polygons) boxes.push_back(box_of(p)), areas.push_back(std::abs(signed_area_px2(p)));
  std::vector<int> parent(polygons.size(), -1);
  for (std::size_t i = 0; i < polygons.size(); ++i)
    for (std::size_t k = 0; k < polygons.size(); ++k) {
      if (i == k || polygons[i].empty() || polygons[k].empty() || areas[k] <= areas[i] ||
          !boxes[k].holds(boxes[i].low) || !boxes[k].holds(boxes[i].high))
        continue;
      if (parent[i] >= 0 && areas[k] >= areas[std::size_t(parent[i])]) continue;
      if (contains(polygons[k], polygons[i][0])) parent[i] = int(k);
    }
  return parent;
}

}  // namespace batten
