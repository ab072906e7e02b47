#include "judge/advise_outlines.h"

#include <algorithm>
#include <cstdio>

#include "base/cubic.h"
#include "fit/fit_cubic.h"
#include "judge/name_nodes.h"
#include "judge/needless_nodes.h"

namespace batten {
namespace {

using What = Finding::What;

std::string sentence(const char* format, double a, double b = 0) {
  char text[200];
  std::snprintf(text, sizeof text, format, a, b);
  return text;
}

struct Advice {
  const Outline& outline;
  int index;
  double tolerance_px;
  std::vector<Finding> findings{};
  std::vector<char> kinked{}, tilted{}, needless{};  // of each node

  std::size_t next(std::size_t i) const { return (i + 1) % outline.nodes.size(); }
  std::size_t before(std::size_t i) const { return i == 0 ? outline.nodes.size() - 1 : i - 1; }
  void add(What what, Point place, double amount_px, std::string text) {
    findings.push_back({what, index, place, amount_px, std::move(text)});
  }
};

double handle_px(const Outline& o, std::size_t node, bool out) {
  const Point h = (out ? o.nodes[node].handle_after : o.nodes[node].handle_before) - o.nodes[node].at;
  if (norm(h) > 0) return norm(h);
  const Cubic c = o.segment(out ? node : node == 0 ? o.nodes.size() - 1 : node - 1);
  return distance(c[0], c[3]);  // a straight, which is its own handle
}

// Files round coordinates, and a short handle turns with it: a kink counts where the shorter handle's end is off by a
// quarter of the tolerance, and from 0.7 degrees on, which is where an edge begins to catch the eye (common practice,
// no source).
void find_kinks(Advice& a) {
  constexpr double least_deg = 0.7, least_share = 0.25;
  for (std::size_t i = 0; i < a.outline.nodes.size(); ++i) {
    if (!a.outline.nodes[i].smooth) continue;
    const double turn_deg = turn_deg_at(a.outline, i);
    const double off_px =
        std::min(handle_px(a.outline, i, false), handle_px(a.outline, i, true)) * std::sin(radians(turn_deg));
    if (turn_deg < least_deg || off_px < least_share * a.tolerance_px) continue;
    a.kinked[i] = 1;
    a.add(What::kink, a.outline.nodes[i].at, off_px,
          sentence("The handles of a smooth node are %.1f degrees out of line: a kink.", turn_deg));
  }
}

// Parameters where the curve is level or vertical in one coordinate, with how far it goes there beyond both neighbours.
struct Turn {
  double t, depth_px;
};
std::vector<Turn> turns(const Cubic& c, bool in_x) {
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
  std::vector<Turn> out;
  for (std::size_t i = 0; i < roots.size(); ++i)
    out.push_back({roots[i], std::min(std::abs(values[i + 1] - values[i]), std::abs(values[i + 2] - values[i + 1]))});
  return out;
}

// Degrees between a direction and the axis that an extreme in x (vertical) or y (level) has.
double off_axis_deg(Point direction, bool in_x) {
  return degrees(std::atan2(std::abs(in_x ? direction.x : direction.y), std::abs(in_x ? direction.y : direction.x)));
}

// An extreme beside a node whose handles nearly lie on the axis is that node's, tilted; any other has no node.
void judge_turn(Advice& a, std::size_t segment, const Turn& turn, bool in_x) {
  constexpr double tilted_deg = 6, least_deg = 0.2;
  const Cubic c = a.outline.segment(segment);
  const bool at_end = turn.t > 0.5;
  const std::size_t node = at_end ? a.next(segment) : segment;
  const double off_deg = off_axis_deg(at_end ? end_tangent(c) : start_tangent(c), in_x);
  const Node& n = a.outline.nodes[node];
  if (n.smooth && off_deg < tilted_deg && turn.depth_px <= a.tolerance_px) {
    if (a.kinked[node] || a.tilted[node] || off_deg < least_deg || n.reason == Reason::straight_end) return;
    a.tilted[node] = 1;
    const double off_px =
        std::max(handle_px(a.outline, node, false), handle_px(a.outline, node, true)) * std::sin(radians(off_deg));
    a.add(What::handle_off_axis, n.at, off_px,
          sentence(in_x ? "The handles of an extreme are %.1f degrees off vertical."
                        : "The handles of an extreme are %.1f degrees off level.",
                   off_deg));
    return;
  }
  if (turn.depth_px <= 0.5 * a.tolerance_px) return;  // shallower than can be seen
  a.add(What::extreme_without_node, evaluate(c, turn.t), turn.depth_px,
        sentence(in_x ? "The curve has no node at its leftmost or rightmost place: it goes %.1f px beyond its nodes."
                      : "The curve has no node at its highest or lowest place: it goes %.1f px beyond its nodes.",
                 turn.depth_px));
}

void find_extremes(Advice& a) {
  for (std::size_t i = 0; i < a.outline.segment_count(); ++i) {
    if (a.outline.is_straight(i)) continue;
    for (const bool in_x : {true, false})
      for (const Turn& turn : turns(a.outline.segment(i), in_x)) judge_turn(a, i, turn, in_x);
  }
}

void find_needless(Advice& a) {
  for (const NeedlessNode& n : needless_nodes(a.outline, 0.25 * a.tolerance_px)) {
    if (a.kinked[n.node]) continue;
    a.needless[n.node] = 1;
    a.add(What::needless_node, a.outline.nodes[n.node].at, n.change_px,
          sentence("This node could go: the outline would change by %.2f px.", n.change_px));
  }
}

// Both handles on the chord to within what a file rounds: the handles bend nothing.
bool straight_in_disguise(const Cubic& c, double tolerance_px) {
  const Point chord = c[3] - c[0];
  const double size = norm(chord), most_px = 0.1 * tolerance_px;
  if (size < 2 * tolerance_px) return false;
  for (const Point h : {c[1], c[2]}) {
    const double along = dot(h - c[0], chord) / size;
    if (std::abs(cross(h - c[0], chord)) / size > most_px || along < 0 || along > size) return false;
  }
  return true;
}

void find_straights(Advice& a) {
  for (std::size_t i = 0; i < a.outline.segment_count(); ++i) {
    const Cubic c = a.outline.segment(i);
    const bool disguised = !a.outline.is_straight(i) && straight_in_disguise(c, a.tolerance_px);
    const bool passing = a.needless[i] || a.needless[a.next(i)];  // a segment of a longer curve
    if (disguised && !passing) {
      const double bulge =
          std::max(std::abs(cross(c[1] - c[0], unit(c[3] - c[0]))), std::abs(cross(c[2] - c[0], unit(c[3] - c[0]))));
      a.add(What::straight_with_handles, 0.5 * (c[0] + c[3]), 0.75 * bulge,
            sentence("A straight of %.0f px has handles that bend nothing: they could go.", distance(c[0], c[3])));
    }
    if (!a.outline.is_straight(i) && !disguised) continue;
    const double x = std::abs(c[3].x - c[0].x), y = std::abs(c[3].y - c[0].y), lean_px = std::min(x, y);
    constexpr double least_px = 0.01;  // what a file with two decimals rounds
    if (lean_px < least_px || lean_px > a.tolerance_px || std::max(x, y) < 20 * a.tolerance_px) continue;
    a.add(What::nearly_on_axis, 0.5 * (c[0] + c[3]), lean_px,
          sentence(x < y ? "A straight is vertical but for %.2f px in %.0f px."
                         : "A straight is level but for %.2f px in %.0f px.",
                   lean_px, std::max(x, y)));
  }
}

}  // namespace

std::vector<Finding> advise_outline(const Outline& outline, int index, double tolerance_px) {
  const std::size_t n = outline.nodes.size();
  if (n < 2 || !outline.closed) return {};
  Advice advice{outline, index, tolerance_px};
  advice.kinked.assign(n, 0), advice.tilted.assign(n, 0), advice.needless.assign(n, 0);
  find_kinks(advice);
  find_extremes(advice);
  find_needless(advice);
  find_straights(advice);
  return std::move(advice.findings);
}

}  // namespace batten
