#include "judge/advise_outlines.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "base/cubic.h"
#include "judge/name_nodes.h"
#include "judge/needless_nodes.h"
#include "judge/sentence.h"

namespace batten {
namespace {

using What = Finding::What;

// A place within a curve where it is level or vertical.
struct CurveTurn {
  double t, depth_px;  // how far it goes there beyond both neighbours: the turns before and after, or the ends
};

std::vector<CurveTurn> turns_of(const Cubic& c, bool in_x) {
  const auto v = [&](std::size_t i) { return in_x ? c[i].x : c[i].y; };
  // Derivative of the Bernstein form: a (1-t)^2 + 2 b t (1-t) + d t^2.
  const double a = v(1) - v(0), b = v(2) - v(1), d = v(3) - v(2);
  const double p = a - 2 * b + d, q = 2 * (b - a);
  std::vector<double> roots;
  if (std::abs(p) < 1e-12) {
    if (std::abs(q) > 1e-12) roots = {-a / q};
  } else if (const double disc = q * q - 4 * p * a; disc > 0) {
    const double s = -(q + std::copysign(std::sqrt(disc), q)) / 2;
    roots = {s / p};
    if (s != 0) roots.push_back(a / s);
    std::sort(roots.begin(), roots.end());
  }
  std::erase_if(roots, [](double t) { return !(t > 1e-6 && t < 1 - 1e-6); });
  std::vector<double> values{v(0)};
  for (const double t : roots) values.push_back(in_x ? evaluate(c, t).x : evaluate(c, t).y);
  values.push_back(v(3));
  std::vector<CurveTurn> out;
  for (std::size_t i = 0; i < roots.size(); ++i)
    out.push_back({roots[i], std::min(std::abs(values[i + 1] - values[i]), std::abs(values[i + 2] - values[i + 1]))});
  return out;
}

// How far the inner control points lie off the chord, px; infinite where they do not lie beside it.
double handles_off_chord_px(const Cubic& c) {
  const Point chord = c[3] - c[0];
  double off_px = 0;
  for (const Point h : {c[1], c[2]}) {
    const double along_px = dot(h - c[0], unit(chord));
    if (along_px < 0 || along_px > norm(chord)) return std::numeric_limits<double>::infinity();
    off_px = std::max(off_px, std::abs(cross(h - c[0], unit(chord))));
  }
  return off_px;
}

class Advice {
 public:
  Advice(const Outline& outline, int index, double tolerance_px)
      : outline_(outline), index_(index), tolerance_px_(tolerance_px) {}

  // A kink is not named again as a tilted extreme or a node that is not needed, and what is not needed is no straight.
  std::vector<Finding> run() {
    find_kinks();
    find_extremes();
    find_needless();
    find_straights();
    return std::move(findings_);
  }

 private:
  std::size_t next(std::size_t i) const { return (i + 1) % outline_.nodes.size(); }
  std::size_t before(std::size_t i) const { return i == 0 ? outline_.nodes.size() - 1 : i - 1; }
  void add(What what, Point place, double amount_px, std::string text) {
    findings_.push_back({what, index_, place, amount_px, std::move(text)});
  }

  // Lengths of the two handles of a node, the shorter first; a straight is its own handle.
  std::pair<double, double> handles_px(std::size_t i) const {
    const Node& n = outline_.nodes[i];
    const auto length_px = [&](Point handle, std::size_t neighbour) {
      return handle == n.at ? distance(n.at, outline_.nodes[neighbour].at) : distance(handle, n.at);
    };
    return std::minmax({length_px(n.handle_before, before(i)), length_px(n.handle_after, next(i))});
  }

  // Files round coordinates, and a short handle turns with it: a kink counts where the shorter handle's end is off by a
  // quarter of the tolerance, and from 0.7 degrees on, which is where an edge begins to catch the eye (common practice,
  // no source).
  void find_kinks() {
    constexpr double least_deg = 0.7, least_share = 0.25;
    for (std::size_t i = 0; i < outline_.nodes.size(); ++i) {
      if (!outline_.nodes[i].smooth) continue;
      const double turn_deg = turn_deg_at(outline_, i);
      const double off_px = handles_px(i).first * std::sin(radians(turn_deg));
      if (turn_deg < least_deg || off_px < least_share * tolerance_px_) continue;
      kinked_[i] = 1;
      add(What::kink, outline_.nodes[i].at, off_px,
          sentence("The handles of a smooth node are {1} degrees out of line: a kink.", {turn_deg}));
    }
  }

  // An extreme beside a node whose handles nearly lie on the axis is that node's, tilted; any other has no node.
  void judge_turn(std::size_t segment, const CurveTurn& turn, bool in_x) {
    constexpr double tilted_deg = 6, least_deg = 0.2;
    const Cubic c = outline_.segment(segment);
    const bool at_end = turn.t > 0.5;
    const std::size_t i = at_end ? next(segment) : segment;
    const Node& node = outline_.nodes[i];
    const Point tangent = at_end ? end_tangent(c) : start_tangent(c);
    const double across = std::abs(in_x ? tangent.x : tangent.y), along = std::abs(in_x ? tangent.y : tangent.x);
    const double off_deg = degrees(std::atan2(across, along));
    if (node.smooth && off_deg < tilted_deg && turn.depth_px <= tolerance_px_) {
      if (kinked_[i] || tilted_[i] || off_deg < least_deg || node.reason == Reason::straight_end) return;
      tilted_[i] = 1;
      add(What::handle_off_axis, node.at, handles_px(i).second * std::sin(radians(off_deg)),
          sentence(in_x ? "The handles of an extreme are {1} degrees off vertical."
                        : "The handles of an extreme are {1} degrees off level.",
                   {off_deg}));
    } else if (turn.depth_px > 0.5 * tolerance_px_) {  // a shallower one can't be seen
      add(What::extreme_without_node, evaluate(c, turn.t), turn.depth_px,
          sentence(in_x ? "The curve has no node at its leftmost or rightmost place: it goes {1} px beyond its nodes."
                        : "The curve has no node at its highest or lowest place: it goes {1} px beyond its nodes.",
                   {turn.depth_px}));
    }
  }

  void find_extremes() {
    for (std::size_t i = 0; i < outline_.segment_count(); ++i) {
      if (outline_.is_straight(i)) continue;
      for (const bool in_x : {true, false})
        for (const CurveTurn& turn : turns_of(outline_.segment(i), in_x)) judge_turn(i, turn, in_x);
    }
  }

  void find_needless() {
    for (const NeedlessNode& n : needless_nodes(outline_, 0.25 * tolerance_px_)) {
      if (kinked_[n.node]) continue;
      needless_[n.node] = 1;
      add(What::needless_node, outline_.nodes[n.node].at, n.change_px,
          sentence("This node is not needed: without it the outline would change by {2} px.", {n.change_px}));
    }
  }

  void find_straights() {
    for (std::size_t i = 0; i < outline_.segment_count(); ++i) {
      const Cubic c = outline_.segment(i);
      const Point chord = c[3] - c[0], middle = 0.5 * (c[0] + c[3]);
      // With both handles on the chord to within what a file rounds, they do not bend it.
      const double off_px = handles_off_chord_px(c);
      const bool disguised =
          !outline_.is_straight(i) && norm(chord) >= 2 * tolerance_px_ && off_px <= 0.1 * tolerance_px_;
      const bool passing = needless_[i] || needless_[next(i)];  // a segment of a longer curve
      // A cubic with both handles as far off its chord bulges by three quarters of that.
      if (disguised && !passing)
        add(What::straight_with_handles, middle, 0.75 * off_px,
            sentence("A straight of {0} px has handles that do not bend it: remove them.", {norm(chord)}));
      if (!outline_.is_straight(i) && !disguised) continue;
      const auto [lean_px, run_px] = std::minmax({std::abs(chord.x), std::abs(chord.y)});
      constexpr double least_px = 0.01;  // what a file with two decimals rounds
      if (lean_px < least_px || lean_px > tolerance_px_ || run_px < 20 * tolerance_px_) continue;
      add(What::nearly_on_axis, middle, lean_px,
          sentence(std::abs(chord.x) < std::abs(chord.y) ? "A nearly vertical straight leans by {2} px over {0} px."
                                                         : "A nearly level straight slopes by {2} px over {0} px.",
                   {lean_px, run_px}));
    }
  }

  const Outline& outline_;
  int index_;
  double tolerance_px_;
  std::vector<Finding> findings_;
  std::vector<char> kinked_ = std::vector<char>(outline_.nodes.size(), 0), tilted_ = kinked_, needless_ = kinked_;
};

}  // namespace

std::vector<Finding> advise_outline(const Outline& outline, int index, double tolerance_px) {
  if (outline.nodes.size() < 2) return {};
  return Advice(outline, index, tolerance_px).run();
}

}  // namespace batten
