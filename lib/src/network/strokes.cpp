#include "network/strokes.h"

#include <algorithm>
#include <set>

namespace batten {
namespace {

constexpr double largest_bend_deg = 40;

struct Pair {
  double bend_deg;
  std::size_t a, b;
};

// A line that splits evenly runs on into neither half: it ends at the tip that two sides of a shape make.
bool is_fork(const std::vector<Pair>& pairs, const Pair& pair) {
  constexpr double clear_bend_deg = 20, lead_deg = 15;
  if (pair.bend_deg < clear_bend_deg) return false;
  return std::any_of(pairs.begin(), pairs.end(), [&](const Pair& other) {
    const bool shares_one = (other.a == pair.a || other.b == pair.b || other.a == pair.b || other.b == pair.a);
    return &other != &pair && shares_one && !(other.a == pair.a && other.b == pair.b) &&
           std::abs(other.bend_deg - pair.bend_deg) < lead_deg;
  });
}

}  // namespace

Strokes find_strokes(const LineNetwork& net, double width_px, AtForks at_forks) {
  Strokes out;
  out.next.assign(2 * net.edges.size(), no_half_edge);
  for (std::size_t n = 0; n < net.nodes.size(); ++n) {
    const std::vector<HalfEdge> leaving = net.leaving(int(n));
    if (leaving.size() < 2) continue;
    std::vector<Point> ways;
    for (const HalfEdge h : leaving) ways.push_back(leaving_direction(net.along(h), 4 * width_px, 0.8 * width_px));
    std::vector<Pair> pairs;
    for (std::size_t a = 0; a < ways.size(); ++a)
      for (std::size_t b = 0; b < a; ++b)
        pairs.push_back({180 - std::abs(degrees(turn_between(ways[a], ways[b]))), a, b});
    std::stable_sort(pairs.begin(), pairs.end(), [](const Pair& p, const Pair& q) { return p.bend_deg < q.bend_deg; });
    std::vector<char> used(leaving.size(), 0);
    for (const Pair& p : pairs) {
      if (p.bend_deg > largest_bend_deg) break;
      if (used[p.a] || used[p.b] || (at_forks == AtForks::end && is_fork(pairs, p))) continue;
      used[p.a] = used[p.b] = 1;
      out.next[twin_of(leaving[p.a])] = leaving[p.b];
      out.next[twin_of(leaving[p.b])] = leaving[p.a];
    }
  }
  return out;
}

Polyline stroke_along(const LineNetwork& net, const Strokes& strokes, HalfEdge first, double far_px) {
  Polyline out = net.along(first);
  double length_px = open_length_px(out);
  std::set<int> seen{edge_of(first)};
  for (HalfEdge h = strokes.after(first); h != no_half_edge && length_px < far_px; h = strokes.after(h)) {
    if (!seen.insert(edge_of(h)).second) break;
    const Polyline more = net.along(h);
    out.insert(out.end(), more.begin() + 1, more.end());
    length_px += open_length_px(more);
  }
  return out;
}

double bend_deg(const LineNetwork& net, HalfEdge from, HalfEdge to, double width_px) {
  const auto way = [&](HalfEdge h) { return leaving_direction(net.along(h), 4 * width_px, 0.8 * width_px); };
  return 180 - std::abs(degrees(turn_between(way(twin_of(from)), way(to))));
}

}  // namespace batten
