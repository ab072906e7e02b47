#include "finish/round_coordinates.h"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <limits>

#include "refine/joint_scalars.h"

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
      for (const auto& p : tied.parts(s)) users_[p.free].push_back(s);
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
    for (const auto& p : tied_.sums.at(scalar)) v += p.factor * double(value_[p.free]);
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

bool is_coordinate(std::size_t scalar) {
  const Quantity q = ScalarIndex::quantity_of(scalar);
  return q == Quantity::x || q == Quantity::y;
}

Point rounded(Point p, double step) {
  return {multiple(std::llround(p.x / step), step), multiple(std::llround(p.y / step), step)};
}

// Multiples within a step of where a handle should be; one that lies exactly on an axis stays there.
std::vector<Point> choices(Point handle, Point at, double step) {
  if (handle == at) return {at};
  const Whole x = std::llround(handle.x / step), y = std::llround(handle.y / step);
  std::vector<Point> out;
  for (const Whole dx : {0, -1, 1})
    for (const Whole dy : {0, -1, 1}) {
      const Point p{multiple(x + dx, step), multiple(y + dy, step)};
      if ((handle.x == at.x && p.x != at.x) || (handle.y == at.y && p.y != at.y) || p == at) continue;
      out.push_back(p);
    }
  if (out.empty()) out.push_back(rounded(handle, step));
  return out;
}

// Puts both handles on the pair of multiples near by that kinks least; a degree weighs as much as half a step.
void round_handles(const Outline& o, std::size_t i, double step, Node* n) {
  const std::size_t before = i == 0 ? o.nodes.size() - 1 : i - 1;
  // Where a retracted handle points: along its straight, if it has one.
  const Point retracted_before = o.is_straight(before) ? o.nodes[before].at : n->handle_before;
  const Point retracted_after = o.is_straight(i) ? o.nodes[(i + 1) % o.nodes.size()].at : n->handle_after;
  const Node wanted = *n;
  double least = std::numeric_limits<double>::infinity();
  for (const Point p : choices(wanted.handle_before, n->at, step))
    for (const Point q : choices(wanted.handle_after, n->at, step)) {
      const Point arriving = n->at - (wanted.handle_before == n->at ? retracted_before : p);
      const Point leaving = (wanted.handle_after == n->at ? retracted_after : q) - n->at;
      const double kink_deg = n->smooth ? std::abs(degrees(turn_between(arriving, leaving))) : 0;
      const double off_steps = (distance(p, wanted.handle_before) + distance(q, wanted.handle_after)) / step;
      if (kink_deg + 2 * off_steps < least) least = kink_deg + 2 * off_steps, n->handle_before = p, n->handle_after = q;
    }
}

// Mirrored nodes and their handles: twice the axis is a whole number of steps, so that what is mirrored is whole too.
void mirror_handles(double step, Node* node, Node* image) {
  const Whole twice = std::llround(node->at.x / step) + std::llround(image->at.x / step);
  const auto image_of = [&](Point p) { return Point{multiple(twice - std::llround(p.x / step), step), p.y}; };
  node->handle_before = rounded(node->handle_before, step), node->handle_after = rounded(node->handle_after, step);
  if (node != image) {
    image->handle_before = image_of(node->handle_after), image->handle_after = image_of(node->handle_before);
  } else if (node->handle_after != node->at || node->handle_before != node->at) {
    node->handle_before = image_of(node->handle_after);
  }
}

}  // namespace

void round_coordinates(const Draft& draft, const std::vector<Tie>& ties,
                       const std::vector<std::pair<NodePlace, NodePlace>>& mirrored,
                       const std::vector<NodeOrder>& orders, double step, bool handles_too, Drawing* drawing) {
  const ScalarIndex index(draft);
  std::vector<Tie> places = ties_of_straights(draft, index);
  for (const Tie& t : ties)
    if (std::all_of(t.terms.begin(), t.terms.end(), [](const auto& term) { return is_coordinate(term.first); }))
      places.push_back(t);
  const TiedScalars tied = eliminate(places);
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
  for (const auto& [a, b] : mirrored)
    mirror_handles(step, &drawing->outlines[a.loop].nodes[node_of[a.loop][a.node]],
                   &drawing->outlines[b.loop].nodes[node_of[b.loop][b.node]]);
}

}  // namespace batten
