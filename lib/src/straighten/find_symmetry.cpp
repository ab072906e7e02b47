#include <algorithm>
#include <cmath>
#include <optional>

#include "refine/edit_draft.h"
#include "straighten/propose_edits.h"

namespace batten {
namespace {

// Node i of one outline is mirrored by node partner(i) of the other, or of itself: walking round the one forwards meets
// the images of walking round the other backwards.
struct MirrorMatch {
  std::size_t sum = 0;  // partner(i) = (sum - i) mod size
  double axis_x = 0;
  double worst_px = 0;
};

std::size_t partner(const MirrorMatch& m, std::size_t size, std::size_t i) { return (m.sum + 2 * size - i) % size; }

bool same_kind(const DraftLoop& d, const DraftLoop& e, const MirrorMatch& m) {
  const std::size_t n = d.size();
  for (std::size_t i = 0; i < n; ++i) {
    const std::size_t k = partner(m, n, i);
    const DraftNode &a = d.nodes[i], &b = e.nodes[k];
    if (a.corner != b.corner || a.angle_fixed != b.angle_fixed) return false;
    // On the axis an outline runs level.
    if (&a == &b && !a.corner && !a.angle_fixed && !touches_straight(d, i)) return false;
    // Segment i runs from i to i + 1; its image from partner(i + 1) to partner(i).
    const DraftSegment &p = d.segments[i], &q = e.segments[partner(m, n, d.next(i))];
    if (p.straight != q.straight || p.level != q.level || p.vertical != q.vertical) return false;
    if (p.start.on_axis != q.end.on_axis || p.end.on_axis != q.start.on_axis) return false;
  }
  return true;
}

// d against the image of e, which may be d itself.
std::optional<MirrorMatch> match_of(const DraftLoop& d, const DraftLoop& e, double largest_px) {
  const std::size_t n = d.size();
  if (e.size() != n) return std::nullopt;
  double axis_x = 0;
  for (std::size_t i = 0; i < n; ++i) axis_x += (d.nodes[i].at.x + e.nodes[i].at.x) / (2 * double(n));
  std::optional<MirrorMatch> best;
  for (std::size_t sum = 0; sum < n; ++sum) {
    MirrorMatch m{sum, axis_x, 0};
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

// The proposal for one letter: its outlines one by one, the first of which tells the axis by its first pair of nodes.
class LetterMirror {
 public:
  explicit LetterMirror(const SheetView& sheet) : sheet_(sheet) { proposal_.kind = Edit::Kind::symmetry; }

  // False if the outline is no image of the other about the letter's axis.
  bool add(std::size_t loop, std::size_t other) {
    const DraftLoop &d = sheet_.draft.loops[loop], &e = sheet_.draft.loops[other];
    // Nodes of curves are less sure of their places than the curves: twice the slack.
    const SpacedLoop& located = sheet_.loops.loops[loop];
    const double most_px = 2 * slack_px(located, 0) + located.limit_px;
    const auto match = match_of(d, e, most_px);
    if (!match || (axis_x_ && std::abs(match->axis_x - *axis_x_) >= most_px)) return false;
    if (!axis_x_) {
      axis_x_ = match->axis_x;
      first_ = scalar(loop, Quantity::x, 0), second_ = scalar(other, Quantity::x, partner(*match, d.size(), 0));
    }
    for (std::size_t i = 0; i < d.size(); ++i) {
      tie_nodes(loop, other, i, partner(*match, d.size(), i));
      tie_segments(loop, other, i, partner(*match, d.size(), d.next(i)));
    }
    return true;
  }
  const Proposal& proposal() const { return proposal_; }

 private:
  std::size_t scalar(std::size_t loop, Quantity q, std::size_t i) const { return sheet_.index.of(loop, q, i); }
  void equal(std::size_t a, std::size_t b, double sign) { proposal_.ties.push_back({{{a, 1}, {b, -sign}}}); }

  // 2 axis = x + x'.
  void tie_nodes(std::size_t loop, std::size_t other, std::size_t i, std::size_t k) {
    const bool own = loop == other;
    proposal_.nodes.push_back({loop, i});
    if (!own) proposal_.nodes.push_back({other, k});
    if (own && i > k) return;
    const DraftLoop &d = sheet_.draft.loops[loop], &e = sheet_.draft.loops[other];
    proposal_.mirrored.push_back({{loop, i}, {other, k}});
    proposal_.ties.push_back(
        {{{scalar(loop, Quantity::x, i), 1}, {scalar(other, Quantity::x, k), 1}, {first_, -1}, {second_, -1}}});
    if (own && i == k) return;
    equal(scalar(loop, Quantity::y, i), scalar(other, Quantity::y, k), 1);
    // Mirrored and walked the other way: the direction of travel changes sign.
    if (!d.nodes[i].corner && !touches_straight(d, i) && !d.nodes[i].angle_fixed && !e.nodes[k].angle_fixed)
      equal(scalar(loop, Quantity::angle, i), scalar(other, Quantity::angle, k), -1);
  }

  void tie_segments(std::size_t loop, std::size_t other, std::size_t segment, std::size_t image) {
    const DraftLoop &d = sheet_.draft.loops[loop], &e = sheet_.draft.loops[other];
    const DraftSegment &p = d.segments[segment], &q = e.segments[image];
    const bool itself = loop == other && segment == image;
    if (p.straight || (loop == other && segment > image)) return;
    const auto tie_to_image = [&](Quantity own, Quantity images, double sign) {
      equal(scalar(loop, own, segment), scalar(other, images, image), sign);
    };
    tie_to_image(Quantity::h0, Quantity::h1, 1);
    if (!itself) tie_to_image(Quantity::h1, Quantity::h0, 1);
    if (d.nodes[segment].corner && !p.start.on_axis && !q.end.on_axis) tie_to_image(Quantity::a0, Quantity::a1, -1);
    if (!itself && d.nodes[d.next(segment)].corner && !p.end.on_axis && !q.start.on_axis)
      tie_to_image(Quantity::a1, Quantity::a0, -1);
  }

  const SheetView& sheet_;
  Proposal proposal_;
  std::optional<double> axis_x_;
  std::size_t first_ = 0, second_ = 0;  // scalars whose mean is the axis
};

}  // namespace

std::vector<Proposal> propose_symmetry(const SheetView& sheet) {
  const std::vector<std::size_t>& letter_of = sheet.groups.letter;
  std::vector<Proposal> out;
  for (std::size_t outer = 0; outer < letter_of.size(); ++outer) {
    if (letter_of[outer] != outer) continue;
    LetterMirror letter(sheet);
    bool all = letter.add(outer, outer);
    std::vector<char> done(letter_of.size(), 0);
    for (std::size_t k = 0; k < letter_of.size() && all; ++k) {
      if (k == outer || letter_of[k] != outer || done[k]) continue;
      all = letter.add(k, k);
      // A counter beside the axis has its image in another one.
      for (std::size_t other = k + 1; other < letter_of.size() && !all; ++other)
        if (letter_of[other] == outer && !done[other] && letter.add(k, other)) all = true, done[other] = 1;
    }
    if (all) out.push_back(letter.proposal());
  }
  return out;
}

}  // namespace batten
