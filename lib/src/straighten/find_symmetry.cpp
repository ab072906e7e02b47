#include "straighten/find_symmetry.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "straighten/axis_lines.h"

namespace batten {
namespace {

// DraftNode i of one outline is mirrored by node partner(i) of the other, or of itself: walking round the one way meets
// the images of walking round the other.
struct Match {
  std::size_t sum = 0;  // partner(i) = (sum - i) mod size
  double axis_x = 0;
  double worst_px = 0;
};

std::size_t partner(const Match& m, std::size_t size, std::size_t i) { return (m.sum + 2 * size - i) % size; }

bool beside_straight(const DraftLoop& d, std::size_t i) {
  return d.segments[i].straight || d.segments[d.previous(i)].straight;
}

bool same_kind(const DraftLoop& d, const DraftLoop& e, const Match& m) {
  const std::size_t n = d.size();
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t k = partner(m, n, i);
    const DraftNode &a = d.nodes[i], &b = e.nodes[k];
    if (a.corner != b.corner || a.angle_fixed != b.angle_fixed) return false;
    // On the axis an outline runs level.
    if (&a == &b && !a.corner && !a.angle_fixed && !beside_straight(d, i)) return false;
    // DraftSegment i runs from i to i + 1; its image from partner(i + 1) to partner(i).
    const DraftSegment &p = d.segments[i], &q = e.segments[partner(m, n, d.next(i))];
    if (p.straight != q.straight || p.level != q.level || p.vertical != q.vertical) return false;
    if (p.start.on_axis != q.end.on_axis || p.end.on_axis != q.start.on_axis) return false;
  }
  return true;
}

// d against the image of e, which may be d itself.
std::optional<Match> match_of(const DraftLoop& d, const DraftLoop& e, double largest_px) {
  const std::size_t n = d.size();
  if (e.size() != n) return std::nullopt;
  double axis_x = 0;
  for (std::size_t i = 0; i < n; ++i) axis_x += (d.nodes[i].at.x + e.nodes[i].at.x) / (2 * double(n));
  std::optional<Match> best;
  for (std::size_t sum = 0; sum < n; ++sum) {
    Match m{sum, axis_x, 0};
    for (std::size_t i = 0; i < n; ++i) {
      const Point a = d.nodes[i].at, b = e.nodes[partner(m, n, i)].at;
      // Half of what they miss each other by is what each has to move.
      m.worst_px = std::max(m.worst_px, 0.5 * distance({2 * m.axis_x - a.x, a.y}, b));
    }
    if (m.worst_px > largest_px || (best && m.worst_px >= best->worst_px) || !same_kind(d, e, m)) continue;
    best = m;
  }
  return best;
}

// What becomes of one letter: its outlines, the first of them tells the axis by its first pair.
class Letter {
 public:
  Letter(const SpacedLoops& loops, const Draft& draft, const ScalarIndex& index)
      : loops_(loops), draft_(draft), index_(index) {
    proposal_.kind = Edit::Kind::symmetry;
  }

  // False if the outline is no image of the other about the letter's axis.
  bool add(std::size_t loop, std::size_t other) {
    const DraftLoop &d = draft_.loops[loop], &e = draft_.loops[other];
    // Nodes of curves are less sure of their places than the curves: twice the slack.
    const double most = 2 * slack_px(loops_.loops[loop], 0) + loops_.loops[loop].limit_px;
    const auto m = match_of(d, e, most);
    if (!m || (axis_known_ && std::abs(m->axis_x - axis_x_) >= most)) return false;
    if (!axis_known_) {
      axis_known_ = true, axis_x_ = m->axis_x;
      first_ = index_.of(loop, Quantity::x, 0), second_ = index_.of(other, Quantity::x, partner(*m, d.size(), 0));
    }
    for (std::size_t i = 0; i < d.size(); ++i) {
      tie_joints(loop, other, i, partner(*m, d.size(), i));
      tie_segments(loop, other, i, partner(*m, d.size(), d.next(i)));
    }
    return true;
  }
  const Proposal& proposal() const { return proposal_; }

 private:
  void equal(std::size_t a, std::size_t b, double sign) { proposal_.ties.push_back({{{a, 1}, {b, -sign}}}); }

  // 2 axis = x + x'.
  void tie_joints(std::size_t loop, std::size_t other, std::size_t i, std::size_t k) {
    const bool own = loop == other;
    proposal_.nodes.push_back({loop, i});
    if (!own) proposal_.nodes.push_back({other, k});
    if (own && i > k) return;
    const DraftLoop &d = draft_.loops[loop], &e = draft_.loops[other];
    proposal_.mirrored.push_back({{loop, i}, {other, k}});
    proposal_.ties.push_back(
        {{{index_.of(loop, Quantity::x, i), 1}, {index_.of(other, Quantity::x, k), 1}, {first_, -1}, {second_, -1}}});
    if (own && i == k) return;
    equal(index_.of(loop, Quantity::y, i), index_.of(other, Quantity::y, k), 1);
    // Mirrored and walked the other way: the direction of travel changes sign.
    if (!d.nodes[i].corner && !beside_straight(d, i) && !d.nodes[i].angle_fixed && !e.nodes[k].angle_fixed)
      equal(index_.of(loop, Quantity::angle, i), index_.of(other, Quantity::angle, k), -1);
  }

  void tie_segments(std::size_t loop, std::size_t other, std::size_t segment, std::size_t image) {
    const DraftLoop &d = draft_.loops[loop], &e = draft_.loops[other];
    const DraftSegment &p = d.segments[segment], &q = e.segments[image];
    const bool itself = loop == other && segment == image;
    if (p.straight || (loop == other && segment > image)) return;
    const auto of = [&](Quantity quantity) { return index_.of(loop, quantity, segment); };
    const auto image_of = [&](Quantity quantity) { return index_.of(other, quantity, image); };
    equal(of(Quantity::h0), image_of(Quantity::h1), 1);
    if (!itself) equal(of(Quantity::h1), image_of(Quantity::h0), 1);
    if (d.nodes[segment].corner && !p.start.on_axis && !q.end.on_axis)
      equal(of(Quantity::a0), image_of(Quantity::a1), -1);
    if (!itself && d.nodes[d.next(segment)].corner && !p.end.on_axis && !q.start.on_axis)
      equal(of(Quantity::a1), image_of(Quantity::a0), -1);
  }

  const SpacedLoops& loops_;
  const Draft& draft_;
  const ScalarIndex& index_;
  Proposal proposal_;
  bool axis_known_ = false;
  double axis_x_ = 0;
  std::size_t first_ = 0, second_ = 0;  // scalars whose mean is the axis
};

}  // namespace

std::vector<Proposal> propose_symmetry(const SpacedLoops& loops, const Draft& draft, const ScalarIndex& index) {
  const Grouping groups = group_loops(loops);
  std::vector<Proposal> out;
  for (std::size_t outer = 0; outer < draft.loops.size(); ++outer) {
    if (groups.letter[outer] != outer) continue;
    Letter letter(loops, draft, index);
    bool all = letter.add(outer, outer);
    std::vector<char> done(draft.loops.size(), 0);
    for (std::size_t k = 0; k < draft.loops.size() && all; ++k) {
      if (k == outer || groups.letter[k] != outer || done[k]) continue;
      all = letter.add(k, k);
      // A counter beside the axis has its image in another one.
      for (std::size_t other = k + 1; other < draft.loops.size() && !all; ++other)
        if (groups.letter[other] == outer && !done[other] && letter.add(k, other)) all = true, done[other] = 1;
    }
    if (all) out.push_back(letter.proposal());
  }
  return out;
}

}  // namespace batten
