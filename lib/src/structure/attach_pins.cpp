#include "structure/attach_pins.h"

#include <algorithm>

#include "structure/pins_contradict.h"

namespace batten {
namespace {

// Places of two pins that lie nearer to one another are about one node.
constexpr double same_place_px = 0.5;

PinTarget nearest_to(const SpacedLoops& loops, Point place) {
  PinTarget best;
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    const ArcLoop& curve = loops.loops[k].curve;
    const std::size_t count = curve.drawn_count();
    std::size_t nearest = 0;
    for (std::size_t i = 1; i < count; ++i)
      if (norm2(curve.points[i] - place) < norm2(curve.points[nearest] - place)) nearest = i;
    if (count == 0 || distance(curve.points[nearest], place) > best.off_px + curve.step_px) continue;
    double arc = nearest_arc(curve, place, double(nearest) * curve.step_px, 2 * curve.step_px);
    if (curve.open()) arc = std::clamp(arc, 0.0, curve.line_px);
    const double off_px = distance(curve.at(arc), place);
    if (off_px < best.off_px) best = {int(k), -1, arc, off_px};
  }
  if (best.loop >= 0 && best.off_px > pin_reach_px(loops.loops[std::size_t(best.loop)])) best.loop = -1;
  return best;
}

class Attaching {
 public:
  Attaching(const SpacedLoops& loops, const Corners& corners) : loops_(loops), corners_(corners) {
    out_.of_loop.resize(loops.loops.size());
  }

  // The places of all pins first: what contradicts a later one does not count.
  AttachedPins run(const std::vector<Pin>& pins, const std::stop_token& stop) {
    for (const Pin& pin : pins) {
      std::vector<PinTarget>& targets = out_.targets.emplace_back();
      if (is_about_scan(pin.kind) || stop.stop_requested()) continue;
      for (const Point place : pin.places) targets.push_back(nearest_to(loops_, place));
    }
    out_.against = contradictions(loops_, pins, out_.targets);
    for (std::size_t p = 0; p < pins.size(); ++p) {
      const std::vector<std::size_t>& against = out_.against[p];
      const bool yields = std::any_of(against.begin(), against.end(), [&](std::size_t other) { return other > p; });
      if (!yields) attach(pins[p], &out_.targets[p]);
    }
    return std::move(out_);
  }

 private:
  const SpacedLoop& loop_of(const PinTarget& t) const { return loops_.loops[std::size_t(t.loop)]; }
  LoopPins& pins_of(const PinTarget& t) { return out_.of_loop[std::size_t(t.loop)]; }

  void attach(const Pin& pin, std::vector<PinTarget>* targets) {
    if (targets->empty() || std::any_of(targets->begin(), targets->end(), [](const auto& t) { return t.loop < 0; }))
      return;
    PinTarget& first = targets->front();
    const SpacedLoop& loop = loop_of(first);
    switch (pin.kind) {
      case Pin::Kind::node:
        return add_node(pin, &first);
      case Pin::Kind::through:
        if (first.off_px <= loop.limit_px) add_node(pin, &first);
        return;
      case Pin::Kind::corner:
        return add_corner(&first);
      case Pin::Kind::no_corner:
        return add_smooth(&first);
      case Pin::Kind::no_node:
        pins_of(first).bare.push_back({first.arc - bare_px(loop, pin), first.arc + bare_px(loop, pin)});
        return;
      case Pin::Kind::straight:
        return add_straight(pin, *targets);
      case Pin::Kind::start:
        want_node(&first);
        pins_of(first).start = first.node;
        return;
      case Pin::Kind::share_x:
      case Pin::Kind::share_y:
      case Pin::Kind::equal:
        for (PinTarget& t : *targets) want_node(&t);
        return;
      default:
        return;
    }
  }

  void add_node(const Pin& pin, PinTarget* t) {
    LoopPins& all = pins_of(*t);
    for (std::size_t i = 0; i < all.nodes.size(); ++i) {
      PinnedNode& n = all.nodes[i];
      if (distance(n.at, pin.places[0]) > same_place_px) continue;
      if (pin.turn != Pin::Turn::any) n.turn = pin.turn;
      if (pin.along != Pin::Along::any) n.along = pin.along;
      n.fixed = n.wanted = true, t->node = int(i);
      return;
    }
    const SpacedLoop& loop = loop_of(*t);
    PinnedNode n{t->arc, pin.places[0], true, true, pin.turn, pin.along};
    if (t->off_px > node_reach_px(loop, pin)) n.at = loop.curve.at(t->arc), n.fixed = pin.turn != Pin::Turn::corner;
    if (pin.turn == Pin::Turn::smooth)
      all.smooth.push_back({t->arc - 0.5 * corner_reach_px(loop), t->arc + 0.5 * corner_reach_px(loop)});
    all.nodes.push_back(n), t->node = int(all.nodes.size()) - 1;
  }

  void add_corner(PinTarget* t) {
    LoopPins& all = pins_of(*t);
    all.nodes.push_back({t->arc, loop_of(*t).curve.at(t->arc), false, true, Pin::Turn::corner});
    t->node = int(all.nodes.size()) - 1;
  }

  // A node that is pinned near there already, or whichever stands there.
  void want_node(PinTarget* t) {
    LoopPins& all = pins_of(*t);
    const SpacedLoop& loop = loop_of(*t);
    double nearest_px = corner_reach_px(loop);
    for (std::size_t i = 0; i < all.nodes.size(); ++i) {
      const double px = std::abs(loop.curve.signed_arc_px(all.nodes[i].arc, t->arc));
      if (px < nearest_px) nearest_px = px, t->node = int(i);
    }
    if (t->node >= 0) return;
    all.nodes.push_back({t->arc, loop.curve.at(t->arc), false, false});
    t->node = int(all.nodes.size()) - 1;
  }

  // About the corner that is nearest to the place, if one was found there.
  void add_smooth(PinTarget* t) {
    const SpacedLoop& loop = loop_of(*t);
    double arc = t->arc, nearest_px = corner_reach_px(loop);
    for (const Corner& c : corners_.of_loop[std::size_t(t->loop)]) {
      const double px = std::abs(loop.curve.signed_arc_px(t->arc, c.arc));
      if (c.accepted && px < nearest_px) nearest_px = px, arc = c.arc;
    }
    t->arc = arc;
    const double half_px = 0.6 * corner_reach_px(loop);
    pins_of(*t).smooth.push_back({arc - half_px, arc + half_px});
  }

  void add_straight(const Pin& pin, const std::vector<PinTarget>& targets) {
    if (targets[0].loop != targets[1].loop) return;
    const ArcLoop& curve = loop_of(targets[0]).curve;
    double from = targets[0].arc, to = targets[1].arc;
    if (curve.open() ? from > to : curve.signed_arc_px(from, to) < 0) std::swap(from, to);
    pins_of(targets[0]).straights.push_back({from, from + curve.ahead(from, to), pin.along});
  }

  const SpacedLoops& loops_;
  const Corners& corners_;
  AttachedPins out_;
};

}  // namespace

AttachedPins attach_pins(const SpacedLoops& loops, const Corners& corners, const std::vector<Pin>& pins,
                         const std::stop_token& stop) {
  return Attaching(loops, corners).run(pins, stop);
}

}  // namespace batten
