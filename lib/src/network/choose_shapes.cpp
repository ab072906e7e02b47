#include "network/choose_shapes.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>
#include <set>

#include "network/find_connectors.h"
#include "network/unite_faces.h"

namespace batten {
namespace {

enum class Origin { face, walk, united };

struct Candidate {
  NetShape shape;
  Origin origin = Origin::face;
  PointBox box;
  std::set<int> edges;
  double length_px = 0, made_px = 0;  // of the border, and of closed gaps in it
  double thickness_px = 0;            // twice the area over the length
  double score = 0;                   // less is better
  double width_px() const { return box.high.x - box.low.x; }
  double height_px() const { return box.high.y - box.low.y; }
};

// Cycles of the rule "straight on where the stroke goes on, else turn": outlines that other lines cross or end at.
std::vector<Cycle> walks(const std::vector<HalfEdge>& turn, const std::vector<char>& is_bridge,
                         const Strokes& strokes) {
  std::vector<HalfEdge> follow(turn.size(), no_half_edge);
  for (std::size_t h = 0; h < turn.size(); ++h) {
    if (turn[h] == no_half_edge) continue;
    const HalfEdge on = strokes.after(HalfEdge(h));
    follow[h] = on != no_half_edge && !is_bridge[edge_of(on)] ? on : turn[h];
  }
  std::vector<Cycle> out;
  std::vector<int> walked(turn.size(), -1);
  for (std::size_t first = 0; first < turn.size(); ++first) {
    if (follow[first] == no_half_edge) continue;
    Cycle path;
    HalfEdge h = HalfEdge(first);
    for (; walked[h] < 0; h = follow[h]) walked[h] = int(first), path.push_back(h);
    if (walked[h] == int(first)) out.emplace_back(std::find(path.begin(), path.end(), h), path.end());
  }
  return out;
}

// The same walk with the other hand on the wall.
std::vector<HalfEdge> turned_other_way(const std::vector<HalfEdge>& next) {
  std::vector<HalfEdge> out(next.size(), no_half_edge);
  for (std::size_t h = 0; h < next.size(); ++h)
    if (next[h] != no_half_edge) out[twin_of(next[h])] = twin_of(HalfEdge(h));
  return out;
}

// At how many junctions the cycle turns off a stroke that runs on; where only tails leave it does not count.
// Neither do a border's own bends of less than 20 degrees: there two strokes run side by side, and either is the line.
int leaves_stroke(const LineNetwork& net, const Faces& faces, const Strokes& strokes, const Cycle& cycle, double w) {
  constexpr double least_bend_deg = 20;
  int out = 0;
  for (std::size_t i = 0; i < cycle.size(); ++i) {
    const HalfEdge h = cycle[i], g = cycle[(i + 1) % cycle.size()];
    int ways = 0;
    for (const HalfEdge leaving : net.leaving(net.target(h))) ways += !faces.is_bridge[edge_of(leaving)];
    if (ways == 2) continue;
    const HalfEdge on = strokes.after(h), back = strokes.after(twin_of(g));
    if ((on == no_half_edge || on == g) && (back == no_half_edge || back == twin_of(h))) continue;
    out += bend_deg(net, h, g, w) > least_bend_deg;
  }
  return out;
}

Candidate describe(const LineNetwork& net, const Faces& faces, const Strokes& strokes, Cycle cycle, double w) {
  Candidate out;
  const Polyline polygon = polygon_of(net, cycle);
  for (const HalfEdge h : cycle) {
    const double length_px = net.length_px(edge_of(h));
    out.length_px += length_px;
    if (net.edges[edge_of(h)].made) out.made_px += length_px;
    out.edges.insert(edge_of(h));
  }
  out.box = box_of(polygon);
  std::vector<cv::Point2f> points, hull;
  for (const Point p : polygon) points.emplace_back(float(p.x), float(p.y));
  cv::convexHull(points, hull);
  NetShape& shape = out.shape;
  shape.leaves_stroke = leaves_stroke(net, faces, strokes, cycle, w);
  shape.area_px2 = std::abs(signed_area_px2(polygon));
  shape.solidity = shape.area_px2 / std::max(1., hull.size() < 3 ? 0. : cv::contourArea(hull));
  shape.border = std::move(cycle);
  out.thickness_px = 2 * shape.area_px2 / std::max(1., out.length_px);
  out.score = shape.leaves_stroke + 3 * (1 - shape.solidity) + 4 * out.made_px / std::max(1., out.length_px);
  return out;
}

// The more often a border turns off its strokes the more convex it must be. A single ring may be small.
bool may_be_shape(const Candidate& c, double w) {
  const double side_px = std::min(c.width_px(), c.height_px());
  if (c.made_px >= 0.25 * c.length_px) return false;
  const NetShape& s = c.shape;
  if (s.leaves_stroke == 0 && s.border.size() == 1) return c.thickness_px > 1.2 * w && side_px > 3 * w;
  if (c.thickness_px <= 3 * w || side_px <= 7 * w) return false;
  if (s.leaves_stroke == 0) return true;
  if (s.leaves_stroke <= 2) return s.solidity > 0.85;
  if (s.leaves_stroke == 3 && c.origin != Origin::face) return s.solidity > 0.95;
  return s.leaves_stroke <= 4 && s.solidity > 0.95 && c.thickness_px > 12 * w;
}

double shared_share(const PointBox& a, const PointBox& b) {
  const double x = std::max(0., std::min(a.high.x, b.high.x) - std::max(a.low.x, b.low.x));
  const double y = std::max(0., std::min(a.high.y, b.high.y) - std::max(a.low.y, b.low.y));
  const auto area = [](const PointBox& q) { return (q.high.x - q.low.x) * (q.high.y - q.low.y); };
  return x * y / std::max(1e-9, area(a) + area(b) - x * y);
}

double shared_length_px(const LineNetwork& net, const Candidate& a, const Candidate& b) {
  double out = 0;
  for (const int e : a.edges)
    if (b.edges.count(e)) out += net.length_px(e);
  return out;
}

double farthest_side_px(const PointBox& a, const PointBox& b) {
  return std::max({std::abs(a.low.x - b.low.x), std::abs(a.low.y - b.low.y), std::abs(a.high.x - b.high.x),
                   std::abs(a.high.y - b.high.y)});
}

// Two readings of one shape: they share three quarters of their boxes. Where a side is well apart, as of a frame round
// all but a narrow part of which another frame runs, both are shapes, unless one turns off its strokes again and again.
bool is_same(const Candidate& c, const Candidate& better, double w) {
  if (shared_share(c.box, better.box) < 0.75) return false;
  return c.shape.leaves_stroke > 2 || farthest_side_px(c.box, better.box) < 8 * w;
}

// A small part of a shape that is kept is no shape of its own: it turns off a stroke and shares a quarter of its
// border.
bool is_part(const LineNetwork& net, const Candidate& c, const std::vector<Candidate>& all, double w) {
  if (c.shape.leaves_stroke == 0 || c.thickness_px >= 8 * w) return false;
  const Point middle = 0.5 * (c.box.low + c.box.high);
  return std::any_of(all.begin(), all.end(), [&](const Candidate& other) {
    const double times = other.shape.area_px2 / std::max(1., c.shape.area_px2);
    if (&other == &c || times <= 1.2 || times >= 8 || !other.box.holds(middle)) return false;
    return shared_length_px(net, c, other) > 0.25 * c.length_px;
  });
}

// A strip along a whole side of a frame, cut off by one line for a title, is no shape beside the frame. Where a strip
// of the same kind lies next to it, it is a row of a table.
bool is_title_strip(const LineNetwork& net, const Candidate& c, const std::vector<Candidate>& all) {
  if (c.shape.leaves_stroke == 0) return false;
  const bool upright = c.height_px() > c.width_px();
  const auto along = [&](const Candidate& k) { return upright ? k.height_px() : k.width_px(); };
  const auto across = [&](const Candidate& k) { return upright ? k.width_px() : k.height_px(); };
  const bool in_row = std::any_of(all.begin(), all.end(), [&](const Candidate& k) {
    return &k != &c && across(k) < 3 * across(c) && along(k) > 0.8 * along(c) && along(c) > 0.8 * along(k) &&
           shared_length_px(net, c, k) > 0.3 * c.length_px;
  });
  if (in_row) return false;
  return std::any_of(all.begin(), all.end(), [&](const Candidate& k) {
    return &k != &c && across(c) < across(k) / 8 && along(c) > 0.9 * along(k) &&
           shared_length_px(net, c, k) > 0.4 * c.length_px;
  });
}

// Shapes that touch are not one shape as well: a border that turns off its strokes, and within which better shapes that
// share that border leave hardly any room.
bool is_sum(const LineNetwork& net, const Candidate& c, const std::vector<Candidate>& better) {
  if (c.shape.leaves_stroke == 0) return false;
  double covered_px2 = 0;
  for (const Candidate& k : better)
    if (k.shape.area_px2 < c.shape.area_px2 && c.box.holds(0.5 * (k.box.low + k.box.high)) &&
        shared_length_px(net, c, k) > 0)
      covered_px2 += k.shape.area_px2;
  return covered_px2 > 0.8 * c.shape.area_px2;
}

std::vector<Candidate> candidates_of(const LineNetwork& net, const Faces& faces, const Strokes& strokes,
                                     double width_px, const std::stop_token& stop) {
  constexpr std::size_t longest_border = 300;  // half-edges
  std::vector<Candidate> out;
  std::set<std::set<int>> known;
  const auto add = [&](Origin origin, const std::vector<Cycle>& cycles) {
    for (const Cycle& cycle : cycles)
      for (Cycle& simple : simple_cycles(net, cycle)) {
        if (simple.size() > longest_border || stop.stop_requested()) continue;
        std::set<int> edges;
        for (const HalfEdge h : simple) edges.insert(edge_of(h));
        if (!known.insert(edges).second) continue;
        Candidate c = describe(net, faces, strokes, std::move(simple), width_px);
        c.origin = origin;
        out.push_back(std::move(c));
      }
  };
  add(Origin::face, faces.cycles);
  add(Origin::walk, walks(faces.next, faces.is_bridge, strokes));
  add(Origin::walk, walks(turned_other_way(faces.next), faces.is_bridge, strokes));
  add(Origin::united, unite_faces(net, faces, width_px));
  return out;
}

// Candidates once lines that lead from shape to shape are taken away, again and again: from shapes that turn off no
// stroke first, then from convex ones that turn off a single one.
std::vector<Candidate> good_candidates(LineNetwork net, Faces faces, Strokes strokes, double width_px,
                                       const std::stop_token& stop) {
  constexpr int most_rounds = 8;
  std::set<int> kept;  // edges of sure shapes
  for (int round = 0, most_left = 0;; ++round) {
    std::vector<Candidate> good = candidates_of(net, faces, strokes, width_px, stop);
    std::erase_if(good, [&](const Candidate& c) { return !may_be_shape(c, width_px); });
    std::vector<Cycle> connectors;
    for (; connectors.empty() && most_left <= 1; most_left += connectors.empty()) {
      std::vector<Cycle> sure;
      for (const Candidate& c : good)
        if (c.shape.leaves_stroke == 0 || (c.shape.leaves_stroke <= most_left && c.shape.solidity > 0.9)) {
          sure.push_back(c.shape.border);
          kept.insert(c.edges.begin(), c.edges.end());
        }
      connectors = find_connectors(net, strokes, sure, width_px);
      std::erase_if(connectors, [&](const Cycle& connector) {
        return std::all_of(connector.begin(), connector.end(), [&](HalfEdge h) { return kept.count(edge_of(h)) > 0; });
      });
    }
    if (connectors.empty() || round == most_rounds || stop.stop_requested()) return good;
    for (const Cycle& connector : connectors)
      for (const HalfEdge h : connector)
        if (const int e = edge_of(h); net.edges[e].alive && !kept.count(e)) net.remove_edge(e);
    faces = find_faces(net, width_px);
    strokes = find_strokes(net, width_px, AtForks::end);
  }
}

}  // namespace

std::vector<NetShape> choose_shapes(const LineNetwork& net, const Faces& faces, double width_px,
                                    const std::stop_token& stop) {
  const Strokes strokes = find_strokes(net, width_px, AtForks::end);
  std::vector<Candidate> good = good_candidates(net, faces, strokes, width_px, stop);
  std::stable_sort(good.begin(), good.end(), [](const Candidate& a, const Candidate& b) { return a.score < b.score; });
  std::vector<Candidate> kept;
  for (Candidate& c : good)
    if (std::none_of(kept.begin(), kept.end(), [&](const Candidate& k) { return is_same(c, k, width_px); }) &&
        !is_sum(net, c, kept))
      kept.push_back(std::move(c));
  std::vector<NetShape> out;
  for (const Candidate& c : kept)
    if (!is_part(net, c, kept, width_px) && !is_title_strip(net, c, kept)) out.push_back(c.shape);
  return out;
}

}  // namespace batten
