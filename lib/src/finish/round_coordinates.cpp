#include "finish/round_coordinates.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

namespace batten {
namespace {

using Whole = std::int64_t;

// k * step for a step such as 0.001 that has no exact binary form: the nearest number to the decimal one.
double multiple(Whole k, double step) {
  const double per_px = 1 / step;
  return std::abs(per_px - std::round(per_px)) < 1e-9 * per_px ? double(k) / std::round(per_px) : double(k) * step;
}

// Whole values of all scalars of one kind of coordinate: free ones rounded, tied ones from them; then free ones that
// others hang on move by one where that brings all of them nearer.
class WholeValues {
 public:
  WholeValues(const TiedScalars& tied, const std::vector<double>& in_steps) : tied_(tied), wanted_(in_steps) {
    users_.resize(wanted_.size());
    for (std::size_t s = 0; s < wanted_.size(); ++s)
      for (const auto& p : tied.parts[s]) users_[p.free].push_back(s);
    for (std::size_t s = 0; s < wanted_.size(); ++s) value_.push_back(std::llround(wanted_[s]));
    for (std::size_t s = 0; s < wanted_.size(); ++s)
      if (tied_.is_free(s)) renew(s);
    for (int round = 0; round < 4 && improve(); ++round) {
    }
  }
  Whole operator[](std::size_t scalar) const { return value_[scalar]; }

 private:
  Whole sum(std::size_t scalar) const {
    double v = 0;
    for (const auto& p : tied_.parts[scalar]) v += p.factor * double(value_[p.free]);
    return std::llround(v);
  }
  void renew(std::size_t free) {
    for (std::size_t s : users_[free])
      if (s != free) value_[s] = sum(s);
  }
  double cost(std::size_t free) const {
    double c = 0;
    for (std::size_t s : users_[free]) c += (double(value_[s]) - wanted_[s]) * (double(value_[s]) - wanted_[s]);
    return c;
  }
  bool improve() {
    bool changed = false;
    for (std::size_t s = 0; s < wanted_.size(); ++s) {
      if (!tied_.is_free(s) || users_[s].size() < 2) continue;
      for (Whole by : {-1, 1}) {
        const double before = cost(s);
        value_[s] += by, renew(s);
        if (cost(s) < before - 1e-9) {
          changed = true;
        } else {
          value_[s] -= by, renew(s);
        }
      }
    }
    return changed;
  }

  const TiedScalars& tied_;
  std::vector<double> wanted_;
  std::vector<std::vector<std::size_t>> users_;
  std::vector<Whole> value_;
};

bool is_place(std::size_t scalar) {
  const auto q = Quantity(scalar % quantity_count);
  return q == Quantity::x || q == Quantity::y;
}

Point rounded(Point p, double step) {
  return {multiple(std::llround(p.x / step), step), multiple(std::llround(p.y / step), step)};
}

// Places of a handle within a step of where it should be; one that lies exactly on an axis stays there.
std::vector<Point> choices(Point handle, Point at, double step) {
  if (handle == at) return {at};
  const Point middle = rounded(handle, step);
  std::vector<Point> out;
  for (Whole dx : {0, -1, 1})
    for (Whole dy : {0, -1, 1}) {
      const Point p{multiple(std::llround(middle.x / step) + dx, step),
                    multiple(std::llround(middle.y / step) + dy, step)};
      if ((handle.x == at.x && p.x != at.x) || (handle.y == at.y && p.y != at.y) || p == at) continue;
      out.push_back(p);
    }
  if (out.empty()) out.push_back(middle);
  return out;
}

// Of all pairs of places near by the one that kinks least; a degree weighs as much as half a step of way.
void round_handles(const Outline& o, std::size_t i, double step, Node* n) {
  const std::size_t count = o.nodes.size();
  const Point in_way = o.is_straight((i + count - 1) % count) ? o.nodes[(i + count - 1) % count].at : n->handle_before;
  const Point out_way = o.is_straight(i) ? o.nodes[(i + 1) % count].at : n->handle_after;
  double best = std::numeric_limits<double>::infinity();
  Point in = n->handle_before, out = n->handle_after;
  for (Point p : choices(n->handle_before, n->at, step))
    for (Point q : choices(n->handle_after, n->at, step)) {
      const Point a = n->at - (n->handle_before == n->at ? in_way : p),
                  b = (n->handle_after == n->at ? out_way : q) - n->at;
      const double kink = n->smooth ? std::abs(degrees(turn_between(a, b))) : 0;
      const double off = (distance(p, n->handle_before) + distance(q, n->handle_after)) / step;
      if (kink + 2 * off < best) best = kink + 2 * off, in = p, out = q;
    }
  n->handle_before = in, n->handle_after = out;
}

}  // namespace

void round_coordinates(const Draft& draft, const std::vector<Tie>& ties,
                       const std::vector<std::pair<NodePlace, NodePlace>>& mirrored,
                       const std::vector<NodeOrder>& orders, double step, bool handles_too, Drawing* drawing) {
  const ScalarIndex index(draft);
  std::vector<Tie> places = ties_of_straights(draft, index);
  for (const Tie& t : ties)
    if (std::all_of(t.terms.begin(), t.terms.end(), [](const auto& term) { return is_place(term.first); }))
      places.push_back(t);
  const TiedScalars tied = tie(index.count(), places);
  std::vector<double> in_steps(index.count(), 0);
  for (std::size_t k = 0; k < draft.loops.size(); ++k)
    for (std::size_t j = 0; j < draft.loops[k].size(); ++j) {
      in_steps[index.of(k, Quantity::x, j)] = draft.loops[k].nodes[j].at.x / step;
      in_steps[index.of(k, Quantity::y, j)] = draft.loops[k].nodes[j].at.y / step;
    }
  const WholeValues whole(tied, in_steps);
  std::vector<std::vector<std::size_t>> node_of(draft.loops.size());
  for (std::size_t k = 0; k < orders.size(); ++k) {
    Outline& o = drawing->outlines[k];
    node_of[k].resize(o.nodes.size());
    for (std::size_t i = 0; i < o.nodes.size(); ++i) {
      Node& n = o.nodes[i];
      const std::size_t j = orders[k].draft_node_of[i];
      node_of[k][j] = i;
      const Point at{multiple(whole[index.of(k, Quantity::x, j)], step),
                     multiple(whole[index.of(k, Quantity::y, j)], step)};
      // An offset of nothing in x or y stays nothing.
      const auto moved = [&](Point h) {
        return Point{h.x == n.at.x ? at.x : at.x + (h.x - n.at.x), h.y == n.at.y ? at.y : at.y + (h.y - n.at.y)};
      };
      n.handle_before = moved(n.handle_before), n.handle_after = moved(n.handle_after);
      n.at = at;
    }
    if (handles_too)
      for (std::size_t i = 0; i < o.nodes.size(); ++i) round_handles(o, i, step, &o.nodes[i]);
  }
  for (const auto& [a, b] : mirrored) {
    Node& n = drawing->outlines[a.loop].nodes[node_of[a.loop][a.node]];
    Node& m = drawing->outlines[b.loop].nodes[node_of[b.loop][b.node]];
    n.handle_before = rounded(n.handle_before, step), n.handle_after = rounded(n.handle_after, step);
    // Twice the axis is a whole number of steps: what is mirrored is whole as well.
    const Whole twice = std::llround(n.at.x / step) + std::llround(m.at.x / step);
    const auto image = [&](Point p) { return Point{multiple(twice - std::llround(p.x / step), step), p.y}; };
    if (&n == &m) {
      if (n.handle_after == n.at && n.handle_before == n.at) continue;
      n.handle_before = image(n.handle_after);
    } else {
      m.handle_before = image(n.handle_after), m.handle_after = image(n.handle_before);
    }
  }
}

}  // namespace batten
