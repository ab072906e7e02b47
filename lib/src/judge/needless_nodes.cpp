#include "judge/needless_nodes.h"

#include <algorithm>
#include <limits>

#include "base/cubic.h"
#include "fit/fit_cubic.h"

namespace batten {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();

// Nodes that are kept, as a ring of indices; what lies between two of them is the outline as it was.
struct KeptNodes {
  const Outline& outline;
  std::vector<std::size_t> nodes{};
  std::vector<double> change_px{};  // of taking nodes[k] away; infinite where it must stay

  std::size_t before(std::size_t k) const { return k == 0 ? nodes.size() - 1 : k - 1; }
  std::size_t after(std::size_t k) const { return k + 1 == nodes.size() ? 0 : k + 1; }
};

bool may_go(const Node& node) { return node.smooth && node.reason == Reason::added; }

double change_without(const KeptNodes& kept, std::size_t k) {
  const Outline& o = kept.outline;
  const bool is_end = !o.closed && (kept.nodes[k] == 0 || kept.nodes[k] + 1 == o.nodes.size());
  if (is_end || !may_go(o.nodes[kept.nodes[k]]) || kept.nodes.size() < 3) return infinity;
  const std::size_t from = kept.nodes[kept.before(k)], to = kept.nodes[kept.after(k)], n = o.nodes.size();
  constexpr int each = 24;  // places a segment: a cubic bends three times at most
  std::vector<Point> points;
  bool straight = true;
  Cubic last{};
  for (std::size_t i = from; i != to; i = (i + 1) % n) {
    last = o.segment(i);
    straight = straight && o.is_straight(i);
    for (int j = points.empty() ? 0 : 1; j <= each; ++j) points.push_back(evaluate(last, double(j) / each));
  }
  const Point a = points.front(), chord = points.back() - a;
  if (straight) {
    double most = 0;
    for (const Point p : points) most = std::max(most, std::abs(cross(p - a, unit(chord))));
    return most;
  }
  CubicTask task{points};
  task.p0 = a, task.p3 = points.back();
  task.t0 = start_tangent(o.segment(from)), task.t3 = end_tangent(last);
  task.minimax = true;
  task.capped = false;
  return fit_cubic(task).max_px;
}

}  // namespace

std::vector<NeedlessNode> needless_nodes(const Outline& outline, double most_px) {
  std::vector<NeedlessNode> out;
  KeptNodes kept{outline};
  for (std::size_t i = 0; i < outline.nodes.size(); ++i) kept.nodes.push_back(i);
  for (std::size_t k = 0; k < kept.nodes.size(); ++k) kept.change_px.push_back(change_without(kept, k));
  while (!kept.nodes.empty()) {
    const auto least = std::min_element(kept.change_px.begin(), kept.change_px.end());
    if (!(*least <= most_px)) break;
    const auto k = least - kept.change_px.begin();
    out.push_back({kept.nodes[std::size_t(k)], *least});
    kept.nodes.erase(kept.nodes.begin() + k);
    kept.change_px.erase(least);
    const std::size_t after = std::size_t(k) % kept.nodes.size();
    for (const std::size_t i : {after, kept.before(after)}) kept.change_px[i] = change_without(kept, i);
  }
  return out;
}

}  // namespace batten
