#include "base/nesting.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>
#include <tuple>

namespace batten {
namespace {

// Boxes by size and place. Level l holds those of sides up to 2^l, in squares of that side by their low corner: a box
// that holds a point lies in the square of the point or in one of the three before it. Ten thousand polygons are then
// asked about a few each, where all pairs would take minutes.
class BoxLevels {
 public:
  struct Entry {
    double area;
    std::size_t polygon;
  };

  void add(const PointBox& box, const Entry& entry) {
    const double side = std::max({box.high.x - box.low.x, box.high.y - box.low.y, smallest});
    const int level = int(std::ceil(std::log2(side)));
    cells_[level][square(box.low, level)].push_back(entry);
  }

  // Within a square the smallest comes first; of equal ones, the first polygon.
  void sort() {
    for (auto& [level, squares] : cells_)
      for (auto& [place, entries] : squares)
        std::sort(entries.begin(), entries.end(), [](const Entry& a, const Entry& b) {
          return std::tie(a.area, a.polygon) < std::tie(b.area, b.polygon);
        });
  }

  // The smallest entry over `area` that `holds` accepts and whose box may hold the point.
  template <class Holds>
  std::optional<std::size_t> smallest_over(double area, Point p, Holds holds) const {
    std::optional<Entry> best;
    for (const auto& [level, squares] : cells_) {
      const auto [x, y] = square(p, level);
      for (const Square& at : {Square{x, y}, Square{x - 1, y}, Square{x, y - 1}, Square{x - 1, y - 1}}) {
        const auto found = squares.find(at);
        if (found == squares.end()) continue;
        const std::vector<Entry>& entries = found->second;
        for (auto e = std::upper_bound(entries.begin(), entries.end(), area,
                                       [](double a, const Entry&entry) { return a < entry.area; });
             e != entries.end(); ++e) {
          if (best && std::tie(best->area, best->polygon) < std::tie(e->area, e->polygon)) break;
          if (!holds(e->polygon)) continue;
          best = *e;
          break;
        }
      }
    }
    return best ? std::optional(best->polygon) : std::nullopt;
  }

 private:
  using Square = std::pair<double, double>;  // whole numbers, of any size
  static constexpr double smallest = 1e-3;   // px: below that nothing is told apart
  static Square square(Point p, int level) {
    return {std::floor(std::ldexp(p.x, -level)), std::floor(std::ldexp(p.y, -level))};
  }
  std::map<int, std::map<Square, std::vector<Entry>>> cells_;
};

}  // namespace

std::vector<int> nesting(const std::vector<Polyline>& polygons) {
  std::vector<PointBox> boxes;
  std::vector<double> areas;
  BoxLevels levels;
  for (std::size_t i = 0; i < polygons.size(); ++i) {
    boxes.push_back(box_of(polygons[i])), areas.push_back(std::abs(signed_area_px2(polygons[i])));
    if (!polygons[i].empty()) levels.add(boxes[i], {areas[i], i});
  }
  levels.sort();
  std::vector<int> parent(polygons.size(), -1);
  for (std::size_t i = 0; i < polygons.size(); ++i) {
    if (polygons[i].empty()) continue;
    const auto holds = [&](std::size_t k) {
      return boxes[k].holds(boxes[i].low) && boxes[k].holds(boxes[i].high) && contains(polygons[k], polygons[i][0]);
    };
    if (const auto found = levels.smallest_over(areas[i], polygons[i][0], holds)) parent[i] = int(*found);
  }
  return parent;
}

}  // namespace batten
