#include "api/curve_stretches.h"

namespace batten {

std::vector<Outline> stretches_of(const Outline& o, const KnownCurve& known) {
  std::vector<std::size_t> cuts;  // nodes at which corners stand, in order
  for (std::size_t i = 0, k = 0; i < o.nodes.size() && k < known.corners.size(); ++i)
    if (o.nodes[i].at == known.corners[k].at) {
      if (o.closed || (i > 0 && i + 1 < o.nodes.size())) cuts.push_back(i);
      while (k < known.corners.size() && known.corners[k].at == o.nodes[i].at) ++k;
    }
  if (!o.closed) cuts.insert(cuts.begin(), 0), cuts.push_back(o.nodes.size() - 1);
  std::vector<Outline> out;
  const std::size_t count = o.closed ? cuts.size() : cuts.size() - 1;
  for (std::size_t k = 0; k < count; ++k) {
    Outline& stretch = out.emplace_back();
    stretch.closed = false, stretch.kind = Kind::line;
    const std::size_t from = cuts[k], to = cuts[(k + 1) % cuts.size()];
    for (std::size_t i = from;; i = (i + 1) % o.nodes.size()) {
      stretch.nodes.push_back(o.nodes[i]);
      if (i == to && stretch.nodes.size() > 1) break;
    }
  }
  return out;
}

Outline joined(const Outline& was, const std::vector<Outline>& stretches) {
  Outline o = was;
  o.nodes.clear();
  for (const Outline& stretch : stretches) {
    Node first = stretch.nodes.front();
    first.smooth = false, first.reason = Reason::corner;
    if (o.nodes.empty())
      o.nodes.push_back(first);
    else
      o.nodes.back().handle_after = first.handle_after, o.nodes.back().smooth = false;
    o.nodes.insert(o.nodes.end(), stretch.nodes.begin() + 1, stretch.nodes.end());
    o.nodes.back().reason = Reason::corner;
  }
  if (o.closed) {
    o.nodes.front().handle_before = o.nodes.back().handle_before;
    o.nodes.pop_back();
  }
  return o;
}

}  // namespace batten
