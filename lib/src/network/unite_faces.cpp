#include "network/unite_faces.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <optional>
#include <set>

namespace batten {
namespace {

using Hull = std::vector<cv::Point2f>;

Hull hull_of(const Hull& points) {
  Hull out;
  if (points.size() < 3) return points;
  cv::convexHull(points, out);
  return out;
}

double area_of(const Hull& hull) { return hull.size() < 3 ? 0 : cv::contourArea(hull); }

struct FaceHull {
  double area_px2 = 0;  // positive inside, negative for the rim of a component
  Hull hull;
  std::set<int> neighbours;
};

class Unions {
 public:
  Unions(const LineNetwork& net, const Faces& faces, double width_px)
      : faces_(faces), width_px_(width_px), owner_(faces.next.size(), -1) {
    for (std::size_t i = 0; i < faces.cycles.size(); ++i) {
      FaceHull& face = faces_of_.emplace_back();
      const Polyline polygon = polygon_of(net, faces.cycles[i]);
      face.area_px2 = -signed_area_px2(polygon);
      Hull points;
      for (const Point p : polygon) points.emplace_back(float(p.x), float(p.y));
      face.hull = hull_of(points);
      for (const HalfEdge h : faces.cycles[i]) owner_[h] = int(i);
    }
    for (std::size_t h = 0; h < owner_.size(); ++h) {
      const int a = owner_[h], b = owner_[twin_of(HalfEdge(h))];
      if (a >= 0 && b >= 0 && a != b && faces_of_[a].area_px2 > 0 && faces_of_[b].area_px2 > 0)
        faces_of_[a].neighbours.insert(b);
    }
  }

  std::vector<Cycle> run() {
    constexpr std::size_t longest_border = 120;  // half-edges; such a face is a background, not a part of a shape
    for (std::size_t i = 0; i < faces_of_.size(); ++i)
      if (faces_of_[i].area_px2 >= 6 * width_px_ * width_px_ && faces_.cycles[i].size() <= longest_border)
        grow_from(int(i));
    return std::move(out_);
  }

 private:
  struct Step {
    double solidity;
    int face;
    Hull hull;
  };
  std::optional<Step> best_step(const std::set<int>& set, double area_px2, const Hull& hull, double solidity) const {
    std::set<int> beside;
    for (const int f : set) beside.insert(faces_of_[f].neighbours.begin(), faces_of_[f].neighbours.end());
    std::optional<Step> best;
    for (const int f : beside) {
      if (set.count(f)) continue;
      Hull both = hull;
      both.insert(both.end(), faces_of_[f].hull.begin(), faces_of_[f].hull.end());
      both = hull_of(both);
      const double s = (area_px2 + faces_of_[f].area_px2) / std::max(1., area_of(both));
      if (s > solidity + 0.002 && (!best || s > best->solidity)) best = Step{s, f, std::move(both)};
    }
    return best;
  }
  void grow_from(int first) {
    std::set<int> set{first};
    double area_px2 = faces_of_[first].area_px2;
    Hull hull = faces_of_[first].hull;
    double solidity = area_px2 / std::max(1., area_of(hull));
    constexpr int most_faces = 10;
    for (int step = 0; step < most_faces; ++step) {
      const auto best = best_step(set, area_px2, hull, solidity);
      if (!best) return;
      set.insert(best->face);
      area_px2 += faces_of_[best->face].area_px2, hull = best->hull, solidity = best->solidity;
      if (solidity >= 0.8 && done_.insert(set).second) add_borders(set);
    }
  }
  void add_borders(const std::set<int>& set) {
    const auto inside = [&](HalfEdge h) { return owner_[h] >= 0 && set.count(owner_[h]) > 0; };
    std::set<HalfEdge> left;
    for (const int f : set)
      for (const HalfEdge h : faces_.cycles[f])
        if (!inside(twin_of(h))) left.insert(h);
    while (!left.empty()) {
      const HalfEdge first = *left.begin();
      Cycle cycle;
      HalfEdge h = first;
      do {
        cycle.push_back(h);
        left.erase(h);
        h = faces_.next[h];
        while (inside(twin_of(h))) h = faces_.next[twin_of(h)];
      } while (h != first && left.count(h));
      if (h == first) out_.push_back(std::move(cycle));
    }
  }

  const Faces& faces_;
  double width_px_;
  std::vector<int> owner_;  // the face of each half-edge
  std::vector<FaceHull> faces_of_;
  std::set<std::set<int>> done_;
  std::vector<Cycle> out_;
};

}  // namespace

std::vector<Cycle> unite_faces(const LineNetwork& net, const Faces& faces, double width_px) {
  return Unions(net, faces, width_px).run();
}

}  // namespace batten
