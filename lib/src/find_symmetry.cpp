#include "find_symmetry.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "axis_lines.h"
#include "place_nodes.h"

namespace batten {
namespace {

// The joint that mirrors joint i is partner(i): walking round the one way meets the images of walking round the other.
struct Match {
  std::size_t sum = 0;  // partner(i) = (sum - i) mod size
  double axis_x = 0;
  double worst_px = 0;
};

std::size_t partner(const Match& m, std::size_t size, std::size_t i) { return (m.sum + 2 * size - i) % size; }

bool same_kind(const DraftLoop& d, const Match& m) {
  const std::size_t n = d.size();
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t k = partner(m, n, i);
    const Joint &a = d.joints[i], &b = d.joints[k];
    if (a.corner != b.corner || a.angle_fixed != b.angle_fixed) return false;
    const bool beside_straight = d.pieces[i].straight || d.pieces[d.previous(i)].straight;
    if (i == k && !a.corner && !a.angle_fixed && !beside_straight) return false;  // on the axis the outline runs level
    // Piece i runs from i to i + 1; its image from partner(i + 1) to partner(i).
    const Piece &p = d.pieces[i], &q = d.pieces[partner(m, n, d.next(i))];
    if (p.straight != q.straight || p.level != q.level || p.upright != q.upright) return false;
    if (p.fixed0 != q.fixed1 || p.fixed1 != q.fixed0) return false;
  }
  return true;
}

std::optional<Match> match_of(const DraftLoop& d, double largest_px) {
  const std::size_t n = d.size();
  std::optional<Match> best;
  for (std::size_t sum = 0; sum < n; ++sum) {
    Match m{sum, 0, 0};
    for (std::size_t i = 0; i < n; ++i) m.axis_x += d.joints[i].at.x / double(n);
    for (std::size_t i = 0; i < n; ++i) {
      const Point a = d.joints[i].at, b = d.joints[partner(m, n, i)].at;
      // Half of what they miss each other by is what each has to move.
      m.worst_px = std::max(m.worst_px, 0.5 * distance({2 * m.axis_x - a.x, a.y}, b));
    }
    if (m.worst_px > largest_px || (best && m.worst_px >= best->worst_px) || !same_kind(d, m)) continue;
    best = m;
  }
  return best;
}

// 2 axis = x + x'. The reference is the first pair of the letter.
void add_loop(const DraftLoop& d, std::size_t loop, const Match& m, const ScalarIndex& index,
              const std::pair<std::size_t, std::size_t>& reference, Proposal* out) {
  const std::size_t n = d.size();
  const auto of = [&](Quantity q, std::size_t i) { return index.of(loop, q, i); };
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t k = partner(m, n, i), piece = i, image = partner(m, n, d.next(i));
    out->joints.push_back({loop, i});
    if (i <= k) {
      out->mirrored.push_back({{loop, i}, {loop, k}});
      out->ties.push_back(
          {{{of(Quantity::x, i), 1}, {of(Quantity::x, k), 1}, {reference.first, -1}, {reference.second, -1}}});
      if (i != k) out->ties.push_back({{{of(Quantity::y, i), 1}, {of(Quantity::y, k), -1}}});
      const Joint &a = d.joints[i], &b = d.joints[k];
      const bool beside_straight = d.pieces[i].straight || d.pieces[d.previous(i)].straight;
      // Mirrored and walked the other way: the direction of travel changes sign.
      if (!a.corner && !beside_straight && !a.angle_fixed && !b.angle_fixed && i != k)
        out->ties.push_back({{{of(Quantity::angle, i), 1}, {of(Quantity::angle, k), 1}}});
    }
    const Piece &p = d.pieces[piece], &q = d.pieces[image];
    if (p.straight || piece > image) continue;
    out->ties.push_back({{{of(Quantity::h0, piece), 1}, {of(Quantity::h1, image), -1}}});
    if (piece != image) out->ties.push_back({{{of(Quantity::h1, piece), 1}, {of(Quantity::h0, image), -1}}});
    if (d.joints[piece].corner && !p.fixed0 && !q.fixed1)
      out->ties.push_back({{{of(Quantity::a0, piece), 1}, {of(Quantity::a1, image), 1}}});
    if (piece != image && d.joints[d.next(piece)].corner && !p.fixed1 && !q.fixed0)
      out->ties.push_back({{{of(Quantity::a1, piece), 1}, {of(Quantity::a0, image), 1}}});
  }
}

}  // namespace

std::vector<Proposal> propose_symmetry(const SpacedLoops& loops, const Draft& draft, const ScalarIndex& index) {
  const Grouping groups = group_loops(loops);
  std::vector<Proposal> out;
  for (std::size_t letter = 0; letter < draft.loops.size(); ++letter) {
    if (groups.letter[letter] != letter) continue;
    Proposal p;
    p.kind = Edit::Kind::symmetry;
    std::optional<std::pair<std::size_t, std::size_t>> reference;
    double axis = 0;
    bool all = true;
    for (std::size_t k = 0; k < draft.loops.size() && all; ++k) {
      if (groups.letter[k] != letter) continue;
      // Nodes of curves are less sure of their places than the curves: twice the slack.
      const double most = 2 * slack_px(loops.loops[k], 0) + loops.loops[k].limit_px;
      const auto m = match_of(draft.loops[k], most);
      all = m && (!reference || std::abs(m->axis_x - axis) < most);
      if (!all) break;
      if (!reference)
        reference = {index.of(k, Quantity::x, 0), index.of(k, Quantity::x, partner(*m, draft.loops[k].size(), 0))},
        axis = m->axis_x;
      add_loop(draft.loops[k], k, *m, index, *reference, &p);
    }
    if (all && reference) out.push_back(std::move(p));
  }
  return out;
}

}  // namespace batten
