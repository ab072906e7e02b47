#include "structure/pins_contradict.h"

#include <algorithm>

#include "base/polyline.h"

namespace batten {
namespace {

using Kind = Pin::Kind;

// What two pins say of one place, each as far as it says anything.
enum class Says { nothing, yes, no };

Says says_corner(const Pin& p) {
  if (p.kind == Kind::corner || (p.kind == Kind::node && p.turn == Pin::Turn::corner)) return Says::yes;
  if (p.kind == Kind::no_corner || (p.kind == Kind::node && p.turn == Pin::Turn::smooth)) return Says::no;
  return Says::nothing;
}
Says says_node(const Pin& p) {
  if (p.kind == Kind::node || p.kind == Kind::corner || p.kind == Kind::through || p.kind == Kind::start)
    return Says::yes;
  return p.kind == Kind::no_node ? Says::no : Says::nothing;
}
bool differ(Says a, Says b) { return a != Says::nothing && b != Says::nothing && a != b; }
bool differ(Pin::Along a, Pin::Along b) { return a != Pin::Along::any && b != Pin::Along::any && a != b; }

bool has_place(const Pin& p) {
  return p.kind == Kind::node || p.kind == Kind::no_node || p.kind == Kind::corner || p.kind == Kind::no_corner ||
         p.kind == Kind::through || p.kind == Kind::start;
}
// Does it say where exactly?
bool is_exact(const Pin& p) { return p.kind == Kind::node || p.kind == Kind::through; }

bool crosses(Point a, Point b, Point c, Point d) {
  const auto side = [](Point p, Point q, Point r) { return cross(q - p, r - p) > 0; };
  return side(a, b, c) != side(a, b, d) && side(c, d, a) != side(c, d, b);
}

// Of polygons: a vertex of one lies in the other, or their sides cross.
bool overlap(const std::vector<Point>& a, const std::vector<Point>& b) {
  for (const Point p : a)
    if (contains(b, p)) return true;
  for (const Point p : b)
    if (contains(a, p)) return true;
  for (std::size_t i = 0; i < a.size(); ++i)
    for (std::size_t k = 0; k < b.size(); ++k)
      if (crosses(a[i], a[(i + 1) % a.size()], b[k], b[(k + 1) % b.size()])) return true;
  return false;
}

struct Box {
  Point low{1e300, 1e300}, high{-1e300, -1e300};
  explicit Box(const std::vector<Point>& places) {
    for (const Point p : places)
      low = {std::min(low.x, p.x), std::min(low.y, p.y)}, high = {std::max(high.x, p.x), std::max(high.y, p.y)};
  }
  bool meets(const Box& o) const {
    return low.x <= o.high.x && o.low.x <= high.x && low.y <= o.high.y && o.low.y <= high.y;
  }
};

bool regions_contradict(const Pin& a, const Pin& b) {
  if (!Box(a.places).meets(Box(b.places))) return false;
  const auto are = [&](Kind one, Kind other) {
    return (a.kind == one && b.kind == other) || (a.kind == other && b.kind == one);
  };
  if (are(Kind::close_gap, Kind::keep_apart)) return crosses(a.places[0], a.places[1], b.places[0], b.places[1]);
  if (are(Kind::ink, Kind::paper) || are(Kind::ink, Kind::ignore)) return overlap(a.places, b.places);
  if (a.kind != b.kind) return false;
  if (a.kind == Kind::drawn_as) return a.drawn != b.drawn && overlap(a.places, b.places);
  return a.kind == Kind::tolerance && a.length_px != b.length_px && overlap(a.places, b.places);
}

class OnLoops {
 public:
  explicit OnLoops(const SpacedLoops& loops) : loops_(loops) {}

  bool contradict(const Pin& a, const std::vector<PinTarget>& ta, const Pin& b,
                  const std::vector<PinTarget>& tb) const {
    if (ta.empty() || tb.empty() || ta[0].loop < 0 || ta[0].loop != tb[0].loop) return false;
    const SpacedLoop& loop = loops_.loops[std::size_t(ta[0].loop)];
    if (a.kind == Kind::straight && b.kind == Kind::straight) return straights(a, ta, b, tb, loop);
    if (a.kind == Kind::straight) return b.kind != Kind::start && bends(b, tb[0], ta, loop);
    if (b.kind == Kind::straight) return a.kind != Kind::start && bends(a, ta[0], tb, loop);
    if (a.kind == Kind::start && b.kind == Kind::start) return true;
    return has_place(a) && has_place(b) && places(a, ta[0], b, tb[0], loop);
  }

 private:
  static bool places(const Pin& a, const PinTarget& ta, const Pin& b, const PinTarget& tb, const SpacedLoop& loop) {
    const double apart_px = std::abs(loop.curve.signed_arc_px(ta.arc, tb.arc));
    if (differ(says_corner(a), says_corner(b)) && apart_px < 0.6 * corner_reach_px(loop)) return true;
    if (differ(says_node(a), says_node(b)) && apart_px < bare_px(loop, a.kind == Kind::no_node ? a : b)) return true;
    // Two places that one line passes through lie one after the other, not side by side.
    constexpr double same_px = 0.5;
    if (!is_exact(a) || !is_exact(b)) return false;
    const double px = distance(a.places[0], b.places[0]);
    if (px <= same_px) return differ(a.along, b.along);
    return apart_px < 0.5 * px;
  }

  // Overlapping stretches of different directions.
  static bool straights(const Pin& a, const std::vector<PinTarget>& ta, const Pin& b, const std::vector<PinTarget>& tb,
                        const SpacedLoop& loop) {
    if (!differ(a.along, b.along)) return false;
    return lies_within(ta[0], tb, loop, 0) || lies_within(ta[1], tb, loop, 0) || lies_within(tb[0], ta, loop, 0) ||
           lies_within(tb[1], ta, loop, 0);
  }

  // A corner, or a place off its line, well within a straight.
  static bool bends(const Pin& p, const PinTarget& t, const std::vector<PinTarget>& straight, const SpacedLoop& loop) {
    if (t.loop < 0 || straight.size() < 2 || !lies_within(t, straight, loop, corner_reach_px(loop))) return false;
    if (says_corner(p) == Says::yes) return true;
    if (!is_exact(p)) return false;
    const Point a = loop.curve.at(straight[0].arc), b = loop.curve.at(straight[1].arc);
    return std::abs(cross(unit(b - a), p.places[0] - a)) > 2 * loop.limit_px;
  }

  static bool lies_within(const PinTarget& t, const std::vector<PinTarget>& stretch, const SpacedLoop& loop,
                          double margin_px) {
    double from = stretch[0].arc, to = stretch[1].arc;
    if (loop.open() ? from > to : loop.curve.signed_arc_px(from, to) < 0) std::swap(from, to);
    const double length_px = loop.curve.ahead(from, to), at = loop.curve.ahead(from, t.arc);
    return at >= margin_px && at <= length_px - margin_px;
  }

  const SpacedLoops& loops_;
};

}  // namespace

std::vector<std::vector<std::size_t>> contradictions(const SpacedLoops& loops, const std::vector<Pin>& pins,
                                                     const std::vector<std::vector<PinTarget>>& targets) {
  std::vector<std::vector<std::size_t>> out(pins.size());
  const OnLoops on_loops(loops);
  const auto note = [&](std::size_t a, std::size_t b) { out[a].push_back(b), out[b].push_back(a); };
  for (std::size_t a = 0; a < pins.size(); ++a)
    for (std::size_t b = a + 1; b < pins.size(); ++b) {
      if (is_about_scan(pins[a].kind) != is_about_scan(pins[b].kind)) continue;
      if (is_about_scan(pins[a].kind) ? regions_contradict(pins[a], pins[b])
                                      : on_loops.contradict(pins[a], targets[a], pins[b], targets[b]))
        note(a, b);
    }
  return out;
}

}  // namespace batten
