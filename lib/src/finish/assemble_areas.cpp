#include "finish/assemble_areas.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>

#include "base/cubic.h"
#include "base/polyline.h"
#include "batten/measure.h"
#include "finish/cut_loops.h"

namespace batten {
namespace {

constexpr double same_place_px = 1e-6;   // ends of a junction are equal but for the last bits
constexpr double smooth_turn_deg = 0.1;  // ends that share their direction do so but for rounding

void reverse(std::vector<Node>* nodes) {
  std::reverse(nodes->begin(), nodes->end());
  for (Node& n : *nodes) std::swap(n.handle_before, n.handle_after);
}

std::vector<Node> nodes_of(const Drawing& of_loops, const Area::Part& part) {
  std::vector<Node> nodes = of_loops.outlines[std::size_t(part.loop)].nodes;
  if (part.reversed) reverse(&nodes);
  return nodes;
}

bool is_line(const Drawing& of_loops, const Area::Part& part) {
  return part.loop >= 0 && std::size_t(part.loop) < of_loops.outlines.size() &&
         !of_loops.outlines[std::size_t(part.loop)].closed &&
         of_loops.outlines[std::size_t(part.loop)].nodes.size() > 1;
}

bool closes(const Drawing& of_loops, const Area& area) {
  if (area.parts.empty()) return false;
  for (const Area::Part& part : area.parts)
    if (!is_line(of_loops, part)) return false;
  for (std::size_t i = 0; i < area.parts.size(); ++i) {
    const Area::Part &a = area.parts[i], &b = area.parts[(i + 1) % area.parts.size()];
    const Point end = nodes_of(of_loops, a).back().at, start = nodes_of(of_loops, b).front().at;
    if (std::hypot(end.x - start.x, end.y - start.y) > same_place_px) return false;
  }
  return true;
}

// What two lines make where one ends and the next begins.
Node joined(const Node& end, const Node& start, Point before, Point after) {
  Node n{end.handle_before, end.at, start.handle_after, false, Reason::corner};
  const bool straight_in = n.handle_before == n.at, straight_out = n.handle_after == n.at;
  const Point in = n.at - (straight_in ? before : n.handle_before),
              out = (straight_out ? after : n.handle_after) - n.at;
  n.smooth = std::abs(degrees(turn_between(in, out))) < smooth_turn_deg;
  if (n.smooth) n.reason = straight_in != straight_out ? Reason::straight_end : Reason::added;
  return n;
}

Outline outline_of(const Drawing& of_loops, const Area& area) {
  Outline out;
  out.kind = area.kind, out.face = area.face;
  double total = 0;
  std::vector<std::vector<Node>> lines;
  for (const Area::Part& part : area.parts) {
    const Outline& line = of_loops.outlines[std::size_t(part.loop)];
    lines.push_back(nodes_of(of_loops, part));
    const double weight = double(line.nodes.size());
    out.sigma_px = std::max(out.sigma_px, line.sigma_px);
    out.band_px += weight * line.band_px, total += weight;
  }
  out.band_px /= total;
  for (std::size_t i = 0; i < lines.size(); ++i) {
    const std::vector<Node>&line = lines[i], &last = lines[(i + lines.size() - 1) % lines.size()];
    out.nodes.push_back(joined(last.back(), line.front(), last[last.size() - 2].at, line[1].at));
    out.nodes.insert(out.nodes.end(), line.begin() + 1, line.end() - 1);
  }
  return out;
}

// Places of an outline that tell where it lies: middles of its segments, without those of the lines given.
std::vector<Point> telling_places(const Outline& o) {
  std::vector<Point> out;
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    for (const double t : {0.25, 0.5, 0.75}) out.push_back(evaluate(o.segment(i), t));
  return out;
}

bool shares(const std::vector<Area::Part>& parts, int loop) {
  return std::any_of(parts.begin(), parts.end(), [&](const Area::Part& p) { return p.loop == loop; });
}

Polyline polygon_of(const Outline& o) {
  constexpr int each = 24;
  Polyline out;
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    for (int k = 0; k < each; ++k) out.push_back(evaluate(o.segment(i), double(k) / each));
  return out;
}

class Nesting {
 public:
  Nesting(const Drawing& of_loops, const Assembly& assembly) : of_loops_(of_loops), assembly_(assembly) {
    for (const Outline& o : assembly.drawing.outlines) {
      polygons_.push_back(o.is_line() ? Polyline{} : polygon_of(o));
      boxes_.push_back(box_of(polygons_.back()));
      areas_.push_back(std::abs(batten::signed_area_px2(o)));
    }
  }

  std::vector<int> parents() const {
    std::vector<int> out(polygons_.size(), -1);
    for (std::size_t i = 0; i < out.size(); ++i)
      for (std::size_t k = 0; k < out.size() && !polygons_[i].empty(); ++k) {
        if (i == k || areas_[k] <= areas_[i] || !boxes_[k].holds(boxes_[i].low) || !boxes_[k].holds(boxes_[i].high))
          continue;
        if (out[i] >= 0 && areas_[k] >= areas_[std::size_t(out[i])]) continue;
        if (lies_in(i, k)) out[i] = int(k);
      }
    return out;
  }

 private:
  // By most of the border that the two do not share.
  bool lies_in(std::size_t i, std::size_t k) const {
    int inside = 0, outside = 0;
    for (const Area::Part& part : assembly_.parts[i]) {
      if (shares(assembly_.parts[k], part.loop)) continue;
      for (const Point p : telling_places(of_loops_.outlines[std::size_t(part.loop)]))
        ++(contains(polygons_[k], p) ? inside : outside);
    }
    return inside > outside;
  }

  const Drawing& of_loops_;
  const Assembly& assembly_;
  std::vector<Polyline> polygons_;
  std::vector<PointBox> boxes_;
  std::vector<double> areas_;
};

bool is_extreme(const Node& n) { return n.reason >= Reason::extreme_left && n.reason <= Reason::extreme_bottom; }

// Where an outline starts, by the rule of node_orders().
std::size_t start_node(const Outline& o, Options::Start start) {
  const bool has_extreme = std::any_of(o.nodes.begin(), o.nodes.end(), is_extreme);
  const bool has_corner = std::any_of(o.nodes.begin(), o.nodes.end(), [](const Node& n) { return !n.smooth; });
  const bool at_extreme = has_extreme && (start == Options::Start::extreme || !has_corner);
  const auto fits = [&](const Node& n) { return at_extreme ? is_extreme(n) : !has_corner || !n.smooth; };
  double lowest = -std::numeric_limits<double>::infinity(), leftmost = std::numeric_limits<double>::infinity();
  for (const Node& n : o.nodes)
    if (fits(n)) lowest = std::max(lowest, n.at.y);
  std::size_t best = 0;
  for (std::size_t i = 0; i < o.nodes.size(); ++i)
    if (fits(o.nodes[i]) && o.nodes[i].at.y >= lowest - std::max(2.0, o.band_px) && o.nodes[i].at.x < leftmost)
      leftmost = o.nodes[i].at.x, best = i;
  return best;
}

// Turns an outline round where it runs the wrong way; says which node each node became.
std::vector<int> put_in_direction(bool clockwise, const Options& options, bool is_area, Outline* o) {
  const std::size_t n = o->nodes.size();
  std::vector<int> became(n);
  std::iota(became.begin(), became.end(), 0);
  const bool turns = (batten::signed_area_px2(*o) > 0) != clockwise;
  if (!turns && !is_area) return became;
  if (turns) {
    reverse(&o->nodes);
    std::reverse(became.begin(), became.end());
  }
  const std::size_t first = start_node(*o, options.start);
  std::rotate(o->nodes.begin(), o->nodes.begin() + std::ptrdiff_t(first), o->nodes.end());
  for (int& i : became) i = int((std::size_t(i) + n - first) % n);
  return became;
}

}  // namespace

Assembly assemble_areas(const Drawing& of_loops, const std::vector<Area>& areas, const Options& options) {
  Assembly out;
  out.drawing = of_loops;
  out.drawing.outlines.clear();
  out.outline_of.assign(of_loops.outlines.size(), -1);
  out.node_of.resize(of_loops.outlines.size());
  const auto deliver = [&](Outline outline, std::vector<Area::Part> parts) {
    for (const Area::Part& part : parts)
      if (int& became = out.outline_of[std::size_t(part.loop)]; became < 0) became = int(out.drawing.outlines.size());
    out.drawing.outlines.push_back(std::move(outline));
    out.parts.push_back(std::move(parts));
  };
  for (std::size_t k = 0; k < of_loops.outlines.size(); ++k)
    if (of_loops.outlines[k].closed) deliver(of_loops.outlines[k], {{int(k), false}});
  const std::size_t plain = out.drawing.outlines.size();
  for (const Area& area : areas) {
    if (!closes(of_loops, area)) continue;
    Outline outline = outline_of(of_loops, area);
    constexpr double longest_bands = 6;  // two lines that pass one another at a junction, each within its band
    if (crosses_itself(outline)) outline = without_small_loops(outline, longest_bands * std::max(2.0, outline.band_px));
    if (crosses_itself(outline))
      out.crossed.push_back(std::move(outline));
    else
      deliver(std::move(outline), area.parts);
  }
  const std::size_t closed = out.drawing.outlines.size();
  for (std::size_t k = 0; k < of_loops.outlines.size(); ++k)
    if (out.outline_of[k] < 0) deliver(of_loops.outlines[k], {{int(k), false}});
  const std::vector<int> parent = closed > plain ? Nesting(of_loops, out).parents() : std::vector<int>{};
  for (std::size_t i = 0; i < out.drawing.outlines.size(); ++i) {
    Outline& o = out.drawing.outlines[i];
    std::vector<int> became(o.nodes.size());
    std::iota(became.begin(), became.end(), 0);
    if (!parent.empty() && i < closed) {
      o.parent = parent[i];
      bool clockwise = options.direction == Options::Direction::clockwise;
      for (int p = parent[i]; p >= 0; p = parent[std::size_t(p)]) clockwise = !clockwise;
      became = put_in_direction(clockwise, options, i >= plain, &o);
    }
    if (i < plain || i >= closed) out.node_of[std::size_t(out.parts[i][0].loop)] = std::move(became);
  }
  return out;
}

}  // namespace batten
