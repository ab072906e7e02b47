#include "network/close_gaps.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <optional>

#include "network/loose_ends.h"
#include "network/point_grid.h"

namespace batten {
namespace {

bool is_straight(const Polyline& stroke, double reach_px) {
  double length = 0;
  std::size_t i = 1;
  for (; i < stroke.size() && length < reach_px; ++i) length += distance(stroke[i - 1], stroke[i]);
  return distance(stroke.front(), stroke[i - 1]) > 0.93 * length;
}

struct Joint {
  double cost;
  std::size_t a, b;
  std::optional<Point> corner;
};

// How two ends may be joined, cheapest first; the cosines say how well each points at the other.
std::optional<Joint> joint_of(const LooseEnd& a, const LooseEnd& b, double w) {
  const Point gap = b.at - a.at;
  const double gap_px = norm(gap);
  const auto joint = [&](double cost, std::optional<Point> corner = {}) { return Joint{cost, 0, 0, corner}; };
  if (gap_px < 1e-6) return joint(0);
  const double least_px = std::min(a.length_px, b.length_px), most_px = std::max(a.length_px, b.length_px);
  if (a.edge == b.edge && a.length_px < 4 * gap_px) return {};
  const Point g = (1 / gap_px) * gap;
  const double cos_a = dot(a.out, g), cos_b = -dot(b.out, g), across = -dot(a.out, b.out);
  // A corner before anything that would cut it off.
  const double turn = cross(a.out, b.out);
  if (std::abs(turn) > 0.4 && least_px > 8 * w && is_straight(a.stroke, 20 * w) && is_straight(b.stroke, 20 * w)) {
    const double t = cross(gap, b.out) / turn, q = cross(gap, a.out) / turn;  // how far each runs on to where they meet
    if (std::min(t, q) > -1.5 * w && std::max(t, q) < 3.5 * w)
      return joint(std::abs(t) + std::abs(q) + w, a.at + t * a.out);
  }
  if (gap_px < 3.2 * w && least_px > 6 * w && cos_a > 0.4 && cos_b > 0.4) return joint(gap_px * (3 - cos_a - cos_b));
  // The wider the gap the better both must point at each other: within 41, 28 and 18 degrees.
  const double needed = gap_px < 4 * w ? 0.75 : gap_px < 7 * w ? 0.88 : 0.95;
  const double reach_px = std::min({4 * w + 0.15 * least_px, 10 * w, std::max(3 * w, 0.5 * least_px)});
  if (gap_px < reach_px && cos_a > needed && cos_b > needed && across > 0.8) return joint(gap_px * (3 - cos_a - cos_b));
  const double far_px = std::min({16 * w, 0.2 * most_px, 1.2 * least_px});
  if (gap_px < far_px && dot(a.far_out, g) > 0.97 && -dot(b.far_out, g) > 0.97 && -dot(a.far_out, b.far_out) > 0.97)
    return joint(gap_px * (4 - cos_a - cos_b));
  // Long straight lines that lie on one line to within 5 degrees: a side that is faint, or ran along a ruled line.
  if (gap_px < std::min(30 * w, 0.35 * least_px) && dot(a.far_out, g) > 0.996 && -dot(b.far_out, g) > 0.996)
    return joint(gap_px * (5 - cos_a - cos_b));
  if (gap_px < 1.3 * w && least_px > 5 * w) return joint(gap_px * 1.5);
  return {};
}

int join_ends(const std::vector<LooseEnd>& ends, double w, std::vector<char>* used, LineNetwork* net) {
  std::vector<Joint> joints;
  for (std::size_t a = 0; a < ends.size(); ++a)
    for (std::size_t b = a + 1; b < ends.size(); ++b) {
      if (std::abs(ends[a].at.x - ends[b].at.x) > 30 * w || std::abs(ends[a].at.y - ends[b].at.y) > 30 * w) continue;
      if (auto joint = joint_of(ends[a], ends[b], w)) joint->a = a, joint->b = b, joints.push_back(*joint);
    }
  std::stable_sort(joints.begin(), joints.end(), [](const Joint& p, const Joint& q) { return p.cost < q.cost; });
  int made = 0;
  for (const Joint& j : joints) {
    if ((*used)[j.a] || (*used)[j.b]) continue;
    (*used)[j.a] = (*used)[j.b] = 1;
    Polyline points{ends[j.a].at, ends[j.b].at};
    if (j.corner) points.insert(points.begin() + 1, *j.corner);
    net->add_edge(ends[j.a].node, ends[j.b].node, std::move(points), true);
    ++made;
  }
  return made;
}

struct Landing {
  std::size_t point;  // of the edge that the end lands on
  int node;           // the loose end
};

// The point of a line that an end stops short of: ahead of it, within 2.2 widths, and farther if a long straight line
// leads there.
std::optional<PointGrid::Entry> landing_of(const LooseEnd& end, const PointGrid& grid, const LineNetwork& net,
                                           double w) {
  const double reach_px = 2.2 * w + (is_straight(end.stroke, 1e9) ? std::min(0.06 * end.length_px, 4 * w) : 0);
  const std::size_t own_at = net.edges[end.edge].from == end.node ? 0 : net.edges[end.edge].points.size() - 1;
  std::optional<PointGrid::Entry> best;
  double best_cost = 1e300;
  grid.for_each_near(end.at, reach_px + 0.7 * w, [&](const PointGrid::Entry& e) {
    const double apart = std::abs(double(e.point) - double(own_at));
    if (e.edge == end.edge && (end.length_px < 30 * w || apart < 8 * w)) return;
    const Point gap = net.edges[e.edge].points[e.point] - end.at;
    const double gap_px = norm(gap), ahead = dot(gap, end.out) / std::max(gap_px, 1e-6);
    const bool lands = (gap_px < 2.2 * w && ahead > 0.8) || gap_px < 1.2 || (gap_px < reach_px && ahead > 0.94);
    const double cost = gap_px / std::max(ahead, 0.3);
    if (lands && cost < best_cost) best_cost = cost, best = e;
  });
  return best;
}

int land_ends(const std::vector<LooseEnd>& ends, double w, const std::vector<char>& used, LineNetwork* net) {
  const PointGrid grid(*net, 2.2 * w);
  std::map<int, std::vector<Landing>> landings;
  for (std::size_t i = 0; i < ends.size(); ++i) {
    if (used[i] || ends[i].length_px < 3 * w) continue;
    if (const auto found = landing_of(ends[i], grid, *net, w))
      landings[found->edge].push_back({found->point, ends[i].node});
  }
  int made = 0;
  for (auto& [first_edge, list] : landings) {
    int edge = first_edge;
    // From the end backwards, so that the points before keep their numbers.
    std::stable_sort(list.begin(), list.end(), [](const Landing& p, const Landing& q) { return p.point > q.point; });
    for (const Landing& landing : list) {
      const NetEdge& onto = net->edges[edge];
      const Point at = net->nodes[landing.node].at;
      int node;
      if (landing.point <= 1) {
        node = onto.from;
      } else if (landing.point + 2 >= onto.points.size()) {
        node = onto.to;
      } else {
        node = net->split(edge, landing.point);
        edge = int(net->edges.size()) - 2;  // the part before the cut
      }
      if (node != landing.node) net->add_edge(landing.node, node, {at, net->nodes[node].at}, true), ++made;
    }
  }
  return made;
}

}  // namespace

int close_gaps(double width_px, LineNetwork* net) {
  const std::vector<LooseEnd> ends = loose_ends(*net, width_px);
  std::vector<char> used(ends.size(), 0);
  int made = join_ends(ends, width_px, &used, net);
  made += land_ends(ends, width_px, used, net);
  net->join_pairs();
  return made;
}

}  // namespace batten
