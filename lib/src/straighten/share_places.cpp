#include "straighten/share_places.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "refine/judge_edit.h"

namespace batten {
namespace {

constexpr double rounded_px = 1e-3;  // what files are written with: what is equal there is equal

double rounded(double v) { return std::round(v / rounded_px) * rounded_px; }

struct Place {
  std::size_t loop = 0, node = 0;
};

class Sharing {
 public:
  Sharing(const SpacedLoops& loops, const Draft& draft, const std::stop_token& stop)
      : loops_(loops), out_(draft), stop_(stop) {}

  void meet(const Pin& pin, const std::vector<PinTarget>& targets) {
    std::vector<Place> places;
    for (const PinTarget& t : targets)
      if (const auto place = find(t)) places.push_back(*place);
    if (places.size() != pin.places.size() || places.size() < 2) return;
    Draft next = out_;
    const bool moved =
        pin.kind == Pin::Kind::equal ? equal(places, &next) : share(places, pin.kind == Pin::Kind::share_x, &next);
    if (moved && solved(places, &next)) out_ = std::move(next);
  }
  Draft take() { return std::move(out_); }

 private:
  std::optional<Place> find(const PinTarget& t) const {
    if (t.loop < 0 || t.node < 0) return std::nullopt;
    const DraftLoop& d = out_.loops[std::size_t(t.loop)];
    for (std::size_t i = 0; i < d.size(); ++i)
      if (d.nodes[i].pin == t.node) return Place{std::size_t(t.loop), i};
    return std::nullopt;
  }

  static DraftNode& node(Draft* d, const Place& p) { return d->loops[p.loop].nodes[p.node]; }
  static double& value(DraftNode& j, bool x) { return x ? j.at.x : j.at.y; }
  static bool& is_fixed(DraftNode& j, bool x) { return x ? j.fixed_x : j.fixed_y; }
  // Ends of open lines are held where other lines end too.
  bool stays(Draft* d, const Place& p, bool x) const {
    return is_fixed(node(d, p), x) || is_line_end(d->loops[p.loop], p.node);
  }
  static void put(DraftNode& j, bool x, double v) {
    value(j, x) = v;
    (x ? j.anchor.x : j.anchor.y) = v, is_fixed(j, x) = true;
  }

  bool share(const std::vector<Place>& places, bool x, Draft* next) const {
    double sum = 0;
    std::optional<double> fast;
    for (const Place& p : places) {
      const double v = value(node(next, p), x);
      sum += v;
      if (!stays(next, p, x)) continue;
      if (fast && std::abs(*fast - v) > rounded_px) return false;
      fast = v;
    }
    const double at = fast.value_or(rounded(sum / double(places.size())));
    for (const Place& p : places) put(node(next, p), x, at);
    return true;
  }

  // The two distances meet half-way; one whose ends both stand fast is followed.
  bool equal(const std::vector<Place>& places, Draft* next) const {
    const Point first = node(next, places[1]).at - node(next, places[0]).at,
                second = node(next, places[3]).at - node(next, places[2]).at;
    // Two that run along one axis are measured along it.
    constexpr double along_axis_deg = 10;
    const bool one_axis = off_axis_deg(angle_of(first)) < along_axis_deg &&
                          off_axis_deg(angle_of(second)) < along_axis_deg &&
                          (std::abs(first.x) > std::abs(first.y)) == (std::abs(second.x) > std::abs(second.y));
    if (one_axis) {
      const bool x = std::abs(first.x) > std::abs(first.y);
      const auto length = [&](Point v) { return std::abs(x ? v.x : v.y); };
      return both_to(places, x, !x, length(first), length(second), next);
    }
    return both_to(places, true, true, norm(first), norm(second), next);
  }

  bool both_to(const std::vector<Place>& places, bool x, bool y, double first_px, double second_px, Draft* next) const {
    const auto fast = [&](std::size_t k) {
      return (!x || stays(next, places[k], true)) && (!y || stays(next, places[k], false));
    };
    const bool first_fast = fast(0) && fast(1), second_fast = fast(2) && fast(3);
    if (first_fast && second_fast) return std::abs(first_px - second_px) <= rounded_px;
    const double px = first_fast ? first_px : second_fast ? second_px : 0.5 * (first_px + second_px);
    return lengthen(places[0], places[1], x, y, first_px, px, next) &&
           lengthen(places[2], places[3], x, y, second_px, px, next);
  }

  bool lengthen(const Place& a, const Place& b, bool x, bool y, double from_px, double to_px, Draft* next) const {
    if (from_px <= 0) return false;
    const Point chord = node(next, b).at - node(next, a).at;
    const double grown = to_px / from_px - 1;
    for (const bool in_x : {true, false}) {
      if (in_x ? !x : !y) continue;
      const double by = grown * (in_x ? chord.x : chord.y);
      const bool a_stays = stays(next, a, in_x), b_stays = stays(next, b, in_x);
      if (a_stays && b_stays && std::abs(by) > rounded_px) return false;
      const double share_a = a_stays ? 0 : b_stays ? 1 : 0.5;
      DraftNode &j = node(next, a), &k = node(next, b);
      const double at = a_stays ? value(j, in_x) : rounded(value(j, in_x) - share_a * by);
      const double length = (in_x ? chord.x : chord.y) + by;
      put(j, in_x, b_stays && !a_stays ? value(k, in_x) - length : at);
      put(k, in_x, b_stays ? value(k, in_x) : value(j, in_x) + length);
    }
    return true;
  }

  bool solved(const std::vector<Place>& places, Draft* next) const {
    for (const Place& p : places) {
      DraftLoop& d = next->loops[p.loop];
      const Window all = Window::all(d);
      EditCandidate shared{std::move(d), all, all, {}, steps::evenly, allowance::no_worse};
      auto held = judge_edit({loops_.loops[p.loop], true, stop_}, out_.loops[p.loop], std::move(shared));
      if (!held) return false;
      d = std::move(*held);
    }
    return true;
  }

  const SpacedLoops& loops_;
  Draft out_;
  const std::stop_token& stop_;
};

}  // namespace

Draft share_places(const SpacedLoops& loops, const Draft& draft, const std::vector<Pin>& pins,
                   const AttachedPins& attached, const std::stop_token& stop) {
  Sharing sharing(loops, draft, stop);
  for (std::size_t p = 0; p < pins.size() && !stop.stop_requested(); ++p)
    if (pins[p].kind == Pin::Kind::share_x || pins[p].kind == Pin::Kind::share_y || pins[p].kind == Pin::Kind::equal)
      sharing.meet(pins[p], attached.targets[p]);
  return sharing.take();
}

}  // namespace batten
