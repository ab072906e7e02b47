#include "network/line_paths.h"

#include <algorithm>
#include <map>
#include <set>

#include "network/clean_network.h"

namespace batten {
namespace {

class Maker {
 public:
  Maker(const LineMask& mask, const Network& network)
      : mask_(mask), network_(network), net_(network.lines), depth_(line_depth(mask.lines)) {}

  LinePaths run() {
    std::vector<std::vector<int>> users(net_.edges.size());  // shapes by edge
    for (std::size_t s = 0; s < network_.shapes.size(); ++s)
      for (const HalfEdge h : network_.shapes[s].border) users[edge_of(h)].push_back(int(s));
    for (const NetShape& shape : network_.shapes) {
      const bool shares = std::any_of(shape.border.begin(), shape.border.end(),
                                      [&](HalfEdge h) { return users[edge_of(h)].size() > 1; });
      if (shares)
        add_area(shape.border, users);
      else
        add_path(shape.border, true);
    }
    std::vector<char> used(net_.edges.size(), 0);
    for (std::size_t e = 0; e < users.size(); ++e) used[e] = !users[e].empty();
    add_strokes(&used);
    return std::move(out_);
  }

 private:
  // The border falls into runs of edges that the same shapes use. A run that another shape has added already is taken
  // over, the other way round.
  void add_area(const Cycle& border, const std::vector<std::vector<int>>& users) {
    const auto same = [&](HalfEdge a, HalfEdge b) { return users[edge_of(a)] == users[edge_of(b)]; };
    std::size_t first = 0;
    while (same(border[first], border[(first + border.size() - 1) % border.size()])) {
      if (++first == border.size()) return add_path(border, true);  // all of it is shared with one other shape
    }
    PathArea area;
    for (std::size_t done = 0; done < border.size();) {
      Cycle run;
      do run.push_back(border[(first + done++) % border.size()]);
      while (done < border.size() && same(run.back(), border[(first + done) % border.size()]));
      std::set<int> key;
      for (const HalfEdge h : run) key.insert(edge_of(h));
      const auto known = shared_.find(key);
      if (known != shared_.end()) {
        area.parts.push_back({known->second.path, known->second.first != run.front()});
        continue;
      }
      add_path(run, false);
      shared_[key] = {int(out_.paths.size()) - 1, run.front()};
      area.parts.push_back({int(out_.paths.size()) - 1, false});
    }
    out_.areas.push_back(std::move(area));
  }

  // Longest edges first: the strokes that carry the drawing take their continuations before short ones do.
  void add_strokes(std::vector<char>* used) {
    std::vector<int> order = net_.living();
    std::stable_sort(order.begin(), order.end(), [&](int a, int b) { return net_.length_px(a) > net_.length_px(b); });
    for (const int e : order) {
      if ((*used)[e]) continue;
      (*used)[e] = 1;
      Cycle path{2 * e};
      for (const bool back : {false, true})
        for (;;) {
          const HalfEdge on = network_.strokes.after(back ? twin_of(path.front()) : path.back());
          if (on == no_half_edge || (*used)[edge_of(on)]) break;
          (*used)[edge_of(on)] = 1;
          path.insert(back ? path.begin() : path.end(), back ? twin_of(on) : on);
        }
      const bool ring =
          net_.source(path.front()) == net_.target(path.back()) && network_.strokes.after(path.back()) == path.front();
      add_path(path, ring);
    }
  }

  void add_path(const Cycle& cycle, bool closed) {
    LinePath path;
    path.closed = closed;
    path.first = cycle.front(), path.last = cycle.back();
    double width = 0;
    std::size_t count = 0;
    for (std::size_t i = 0; i < cycle.size(); ++i) {
      const Polyline part = net_.along(cycle[i]);
      const double length_px = open_length_px(part);
      const bool meets_before = net_.degree(net_.source(cycle[i])) > 2;
      const bool meets_after = net_.degree(net_.target(cycle[i])) > 2;
      const bool made = net_.edges[edge_of(cycle[i])].made;
      double arc = 0;
      for (std::size_t k = 0; k < part.size(); ++k) {
        if (k > 0) arc += distance(part[k - 1], part[k]);
        width += depth_at(depth_, part[k]), ++count;
        if (k == 0 && i > 0) continue;  // the last point of the part before
        const bool near = (meets_before && arc < mask_.width_px) || (meets_after && length_px - arc < mask_.width_px);
        path.points.push_back(to_scan(mask_, part[k]));
        path.sure.push_back(!near && !made);
      }
      if (i + 1 < cycle.size() || closed)
        if (meets_after) path.inner_nodes.push_back(net_.target(cycle[i]));
    }
    if (closed) path.points.pop_back(), path.sure.pop_back();
    if (!closed) {
      path.start_node = net_.source(cycle.front()), path.end_node = net_.target(cycle.back());
      path.start_free = net_.degree(path.start_node) == 1, path.end_free = net_.degree(path.end_node) == 1;
    }
    // The distance to paper, from pixel to pixel, is half a pixel more than half the width.
    const double mean_px = 2 * width / double(std::max<std::size_t>(1, count)) - 1;
    path.width_px = std::clamp(mean_px, 0.5 * mask_.width_px, 2 * mask_.width_px) / mask_.scale;
    out_.paths.push_back(std::move(path));
  }

  struct Known {
    int path;
    HalfEdge first;
  };
  const LineMask& mask_;
  const Network& network_;
  const LineNetwork& net_;
  LineDepth depth_;
  std::map<std::set<int>, Known> shared_;
  LinePaths out_;
};

}  // namespace

LinePaths line_paths(const LineMask& mask, const Network& network) { return Maker(mask, network).run(); }

int drop_paths(const std::vector<char>& marked, LinePaths* paths) {
  std::vector<int> number(paths->paths.size(), -1);
  std::vector<LinePath> kept;
  for (std::size_t i = 0; i < paths->paths.size(); ++i) {
    if (marked[i]) continue;
    number[i] = int(kept.size());
    kept.push_back(std::move(paths->paths[i]));
  }
  const int gone = int(paths->paths.size() - kept.size());
  paths->paths = std::move(kept);
  for (PathArea& area : paths->areas)
    for (PathArea::Part& part : area.parts) part.path = number[std::size_t(part.path)];
  return gone;
}

}  // namespace batten
