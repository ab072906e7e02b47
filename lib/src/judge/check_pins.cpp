#include "judge/check_pins.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/cubic.h"
#include "base/polyline.h"
#include "judge/pinned_regions.h"
#include "judge/sentence.h"
#include "structure/pins_contradict.h"

namespace batten {
namespace {

using Kind = Pin::Kind;

constexpr double same_px = 2e-3;  // two roundings to thousandths

struct NodeFound {
  int outline = -1;
  std::size_t node = 0;
  double px = 1e9;
};

bool is_corner(const Node& n) { return !n.smooth && n.reason != Reason::line_end; }

class Check {
 public:
  Check(const PinnedLoops& pinned, const std::vector<Pin>& pins, const Conversion& made)
      : pinned_(pinned), pins_(pins), made_(made), placed_px_(std::max(0.02, 0.75 * pinned.grid_px)) {}

  PinOutcome look(std::size_t p) {
    const Pin& pin = pins_[p];
    out_ = {};
    out_.place = pin.places.front();
    out_.outline = nearest_outline(made_.drawing, out_.place);
    if (is_about_scan(pin.kind)) {
      const RegionLook found = look_at_region(pin, made_);
      out_.held = found.held, out_.distance_px = found.distance_px;
    } else if (const std::optional<double> px = lost_px(p)) {
      out_.distance_px = *px;
      why_ = "nothing was drawn near there";
    } else {
      look_on_loops(pin, pinned_.attached.targets[p]);
    }
    return std::move(out_);
  }
  const std::string& why() const { return why_; }

 private:
  // How far a place lies from all loops that is near none of them.
  std::optional<double> lost_px(std::size_t p) const {
    if (p >= pinned_.attached.targets.size()) return 1e9;
    for (const PinTarget& t : pinned_.attached.targets[p])
      if (t.loop < 0) return t.off_px;
    return std::nullopt;
  }
  const Outline& outline() const { return made_.drawing.outlines[std::size_t(out_.outline)]; }
  const SpacedLoop& loop_of(const PinTarget& t) const { return pinned_.loops.loops[std::size_t(t.loop)]; }
  Point foot(const PinTarget& t) const { return loop_of(t).curve.at(t.arc); }
  const Node& node(const NodeFound& f) const { return made_.drawing.outlines[std::size_t(f.outline)].nodes[f.node]; }

  template <class Which>
  NodeFound nearest_node(Point place, Which&& which) const {
    NodeFound best;
    for (std::size_t o = 0; o < made_.drawing.outlines.size(); ++o)
      for (std::size_t i = 0; i < made_.drawing.outlines[o].nodes.size(); ++i) {
        const Node& n = made_.drawing.outlines[o].nodes[i];
        if (const double px = distance(n.at, place); px < best.px && which(n)) best = {int(o), i, px};
      }
    return best;
  }
  NodeFound nearest_node(Point place) const {
    return nearest_node(place, [](const Node&) { return true; });
  }
  // The node that the pin became.
  std::optional<NodeFound> pinned_node(const PinTarget& t) const {
    if (t.node < 0) return std::nullopt;
    const DraftLoop& d = pinned_.draft.loops[std::size_t(t.loop)];
    for (const DraftNode& j : d.nodes)
      if (j.pin == t.node)
        if (const NodeFound found = nearest_node(j.at); found.px < placed_px_) return found;
    return std::nullopt;
  }

  void look_on_loops(const Pin& pin, const std::vector<PinTarget>& targets) {
    const PinTarget& first = targets.front();
    switch (pin.kind) {
      case Kind::node:
        return look_at_node(pin);
      case Kind::through: {
        const double px = distance_from_outlines(made_.drawing, pin.places[0]);
        return holds(px <= placed_px_, px, "the line does not come so near");
      }
      case Kind::corner: {
        const NodeFound found = nearest_node(foot(first), is_corner);
        const double reach_px = corner_reach_px(loop_of(first)) + farthest_reach_px(loop_of(first));
        return holds(found.px <= reach_px, found.px, "the outline has no corner there");
      }
      case Kind::no_corner: {
        const double reach_px = 0.5 * corner_reach_px(loop_of(first));
        const NodeFound found = nearest_node(foot(first), is_corner);
        note_cost(first, 2 * reach_px);
        return holds(found.px > reach_px, reach_px - found.px, "without a corner there the outline leaves the line");
      }
      case Kind::no_node: {
        const double reach_px = bare_px(loop_of(first), pin);
        const NodeFound found = nearest_node(foot(first));
        note_cost(first, 3 * reach_px);
        return holds(found.px > 0.98 * reach_px, reach_px - found.px, "the outline cannot do without a node there");
      }
      case Kind::straight:
        return look_at_straight(pin, targets);
      case Kind::share_x:
      case Kind::share_y:
        return look_at_shared(targets, pin.kind == Kind::share_x);
      case Kind::equal:
        return look_at_equal(targets);
      default:
        return look_at_start(first);
    }
  }

  static double farthest_reach_px(const SpacedLoop& loop) { return node_reach_px(loop, {.turn = Pin::Turn::corner}); }

  void holds(bool held, double distance_px, const char* why) {
    out_.held = held, out_.distance_px = held ? 0 : std::max(distance_px, 0.0), why_ = why;
  }

  void look_at_node(const Pin& pin) {
    const NodeFound found = nearest_node(pin.places[0]);
    if (found.px > placed_px_) return holds(false, found.px, "the nearest node stands beside it");
    const Node& n = node(found);
    if (pin.turn != Pin::Turn::any && n.smooth != (pin.turn == Pin::Turn::smooth))
      return holds(false, found.px, pin.turn == Pin::Turn::smooth ? "it is a corner" : "it is smooth");
    const auto along = [&](Point handle) {
      return pin.along == Pin::Along::any || (pin.along == Pin::Along::level ? handle.y == n.at.y : handle.x == n.at.x);
    };
    holds(along(n.handle_before) && along(n.handle_after), found.px, "its handles lean");
  }

  // Whether straights of the outline cover the stretch, and how far the outline bends away from it elsewhere.
  void look_at_straight(const Pin& pin, const std::vector<PinTarget>& targets) {
    if (targets[0].loop != targets[1].loop)
      return holds(false, distance(pin.places[0], pin.places[1]), "its ends lie on different outlines");
    const Point a = foot(targets[0]), b = foot(targets[1]), dir = unit(b - a);
    const SpacedLoop& loop = loop_of(targets[0]);
    const double length_px = distance(a, b), near_px = 1.1 * most_bent_limits * loop.limit_px;
    double covered_px = 0, off_px = 0;
    if (out_.outline >= 0)
      for (std::size_t i = 0; i < outline().segment_count(); ++i) {
        const Outline& o = outline();
        const Point p = o.nodes[i].at, q = o.segment(i)[3];
        if (!o.is_straight(i) || std::max(off_line(p, a, dir), off_line(q, a, dir)) > near_px) continue;
        if (pin.along == Pin::Along::level ? p.y != q.y : pin.along == Pin::Along::vertical && p.x != q.x) continue;
        const double u = dot(p - a, dir), v = dot(q - a, dir);
        const double from = std::max(0.0, std::min(u, v)), to = std::min(length_px, std::max(u, v));
        if (to <= from) continue;
        covered_px += to - from;
        for (double s = from; s <= to; s += 1)
          off_px = std::max(off_px, off_line(curve_near(loop, targets, a + s * dir), p, unit(q - p)));
      }
    constexpr double enough = 0.75;  // beside its ends it may run into a round
    if (off_px > loop.limit_px) out_.off_line_px = off_px;
    double bend_px = 0;
    for (double s = 0; s <= length_px; s += 1)
      bend_px = std::max(bend_px, distance_from_outlines(made_.drawing, a + s * dir));
    if (pin.along != Pin::Along::any)
      bend_px = std::max(bend_px, 0.5 * std::abs(pin.along == Pin::Along::level ? b.y - a.y : b.x - a.x));
    holds(covered_px >= enough * length_px, bend_px,
          pin.along == Pin::Along::any ? "the outline bends there" : "the outline bends or leans there");
  }
  static double off_line(Point p, Point a, Point dir) { return std::abs(cross(dir, p - a)); }
  static Point curve_near(const SpacedLoop& loop, const std::vector<PinTarget>& t, Point p) {
    const double half_px = 0.5 * loop.curve.signed_arc_px(t[0].arc, t[1].arc);
    return loop.curve.at(nearest_arc(loop.curve, p, t[0].arc + half_px, std::abs(half_px)));
  }

  bool nodes_of(const std::vector<PinTarget>& targets, std::vector<Point>* at) {
    for (const PinTarget& t : targets)
      if (const auto found = pinned_node(t)) at->push_back(node(*found).at);
    if (at->size() == targets.size()) return true;
    holds(false, targets.front().off_px, "one of its nodes is not there");
    return false;
  }

  void look_at_shared(const std::vector<PinTarget>& targets, bool x) {
    std::vector<Point> at;
    if (!nodes_of(targets, &at)) return;
    double low = 1e300, high = -1e300;
    for (const Point p : at) low = std::min(low, x ? p.x : p.y), high = std::max(high, x ? p.x : p.y);
    holds(high - low <= same_px, high - low, "its nodes lie too far apart for the tolerance");
    if (out_.held) return;
    // Nodes that pins hold elsewhere are what it comes to grief on.
    for (std::size_t k = 0; k < pins_.size(); ++k) {
      if (pins_[k].kind != Kind::node && pins_[k].kind != Kind::through) continue;
      for (const PinTarget& t : targets)
        if (!pinned_.attached.targets[k].empty() && pinned_.attached.targets[k][0].loop == t.loop &&
            pinned_.attached.targets[k][0].node == t.node)
          out_.against.push_back(k);
    }
  }

  void look_at_equal(const std::vector<PinTarget>& targets) {
    std::vector<Point> at;
    if (!nodes_of(targets, &at)) return;
    const Point first = at[1] - at[0], second = at[3] - at[2];
    double px = std::abs(norm(first) - norm(second));
    for (const bool x : {true, false})  // as they were measured: along an axis where both run along it
      px = std::min(px, (x ? std::abs(first.x) > 5 * std::abs(first.y) && std::abs(second.x) > 5 * std::abs(second.y)
                           : std::abs(first.y) > 5 * std::abs(first.x) && std::abs(second.y) > 5 * std::abs(second.x))
                            ? std::abs(std::abs(x ? first.x : first.y) - std::abs(x ? second.x : second.y))
                            : px);
    holds(px <= 2 * same_px, px, "they differ by too much for the tolerance");
  }

  void look_at_start(const PinTarget& t) {
    const auto found = pinned_node(t);
    if (!found) return holds(false, t.off_px, "no node stands there");
    const Outline& o = made_.drawing.outlines[std::size_t(found->outline)];
    holds(found->node == 0, distance(o.nodes.front().at, o.nodes[found->node].at),
          o.closed ? "other outlines share this border" : "a line starts at one of its ends");
  }

  // Where the outline lies beyond its limit near a pin, the pin is what it costs.
  void note_cost(const PinTarget& t, double near_px) {
    if (out_.outline < 0 || std::size_t(out_.outline) >= made_.report.outlines.size()) return;
    const OutlineReport& r = made_.report.outlines[std::size_t(out_.outline)];
    if (r.max_px > r.limit_px && distance(r.worst, foot(t)) < near_px) out_.off_line_px = r.max_px;
  }

  const PinnedLoops& pinned_;
  const std::vector<Pin>& pins_;
  const Conversion& made_;
  double placed_px_;
  PinOutcome out_;
  std::string why_;
};

std::string named(std::size_t p, const Pin& pin) {
  return "Pin " + std::to_string(p + 1) + " (" + name_of(pin.kind) + ")";
}

// In the caller's places and lengths.
void tell(std::size_t p, const Pin& pin, const std::string& why, const SpacedLoops& loops, PinOutcome* o,
          Report* report) {
  const double unit_px = loops.unit_px;
  const Point at = unit_px * o->place + loops.origin;
  const std::string place = sentence(" at ({1}, {1})", {at.x, at.y});
  if (o->held && o->off_line_px == 0) {
    o->text = named(p, pin) + place + " is held.";
    return;
  }
  if (o->held) {
    o->text = named(p, pin) + place +
              sentence(" is held, but the outline lies {2} px off the drawn line for it.", {unit_px * o->off_line_px});
  } else {
    o->text =
        named(p, pin) + place + " is not held" + (why.empty() ? "" : ": " + why) +
        (o->distance_px > 0 && o->distance_px < 1e8 ? sentence("; it is missed by {2} px.", {unit_px * o->distance_px})
                                                    : std::string("."));
  }
  report->findings.push_back({Finding::What::pin_not_held, o->outline, o->place,
                              o->held ? o->off_line_px : std::min(o->distance_px, 1e8), o->text});
}

}  // namespace

void check_pins(const PinnedLoops& pinned, const std::vector<Pin>& pins, Conversion* out) {
  std::vector<std::vector<std::size_t>> against = pinned.attached.against;
  if (against.size() != pins.size())
    against = contradictions(pinned.loops, pins, std::vector<std::vector<PinTarget>>(pins.size()));
  Check check(pinned, pins, *out);
  std::vector<PinOutcome> outcomes;
  std::vector<std::string> why;
  for (std::size_t p = 0; p < pins.size(); ++p) {
    outcomes.push_back(check.look(p)), why.push_back(check.why());
    for (const std::size_t other : outcomes[p].against) against[p].push_back(other), against[other].push_back(p);
  }
  for (std::size_t p = 0; p < pins.size(); ++p) {
    std::sort(against[p].begin(), against[p].end());
    against[p].erase(std::unique(against[p].begin(), against[p].end()), against[p].end());
    outcomes[p].against = against[p];
    if (!outcomes[p].held && !against[p].empty())
      why[p] = "pin " + std::to_string(against[p].back() + 1) + " contradicts it";
    tell(p, pins[p], why[p], pinned.loops, &outcomes[p], &out->report);
    for (const std::size_t other : against[p])
      if (other > p)
        out->report.findings.push_back({Finding::What::pins_contradict, outcomes[p].outline, outcomes[p].place, 0,
                                        named(p, pins[p]) + " and pin " + std::to_string(other + 1) + " (" +
                                            name_of(pins[other].kind) +
                                            ") contradict one another: the later one counts."});
  }
  out->report.pins = std::move(outcomes);
}

}  // namespace batten
