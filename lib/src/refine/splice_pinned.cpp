#include "refine/splice_pinned.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "minimise/fit_segment.h"

namespace batten {
namespace {

// Two runs over the same points put a node of one kind no farther apart where nothing was decided.
constexpr double same_px = 2;

struct Shared {
  std::size_t before = 0, pinned = 0;  // the same node in both
};

class Splice {
 public:
  Splice(const EditContext& c, const DraftLoop& before, const DraftLoop& pinned)
      : c_(c), loop_(c.loop), before_(before), pinned_(pinned) {}

  DraftLoop run() {
    find_shared();
    if (shared_.size() < 2) return pinned_;
    DraftLoop out;
    std::vector<char> freed;
    std::vector<std::size_t> alone;  // segments without a free node at either end
    for (std::size_t i = 0; i < shared_.size(); ++i) {
      const Shared &a = shared_[i], &b = shared_[(i + 1) % shared_.size()];
      const bool from_pinned = concerns_pin(a, b);
      const DraftLoop& from = from_pinned ? pinned_ : before_;
      const std::size_t first = from_pinned ? a.pinned : a.before, last = from_pinned ? b.pinned : b.before;
      if (from_pinned && from.next(first) == last && !from.segments[first].straight) alone.push_back(out.size());
      for (std::size_t k = first; k != last; k = from.next(k)) {
        out.nodes.push_back(k == first ? before_.nodes[a.before] : from.nodes[k]);
        out.segments.push_back(from.segments[k]);
        freed.push_back(from_pinned && k != first);
      }
    }
    settle_angles(&out);
    for (const std::size_t segment : alone) fit_segment(loop_, &out, segment);
    settle_angles(&out);
    const Window was = Window::all(pinned_), is = Window::all(out);
    const bool any_freed = std::any_of(freed.begin(), freed.end(), [](char f) { return f != 0; });
    std::span<const SolveStep> how = steps::none;
    if (any_freed) how = steps::evenly;
    EditCandidate spliced{std::move(out), was, is, std::move(freed), how, allowance::no_worse};
    spliced.keeps_promise = [&](const DraftLoop& d) { return !worse(d); };
    return judge_edit(c_, pinned_, std::move(spliced)).value_or(pinned_);
  }

 private:
  bool near_pin(double arc) const {
    const double reach_px = std::max(12.0, 2 * loop_.scale_px);
    const auto within = [&](double from, double to) {
      return lies_in({{from - reach_px, to + reach_px}}, arc, loop_.curve.length_px());
    };
    const LoopPins& pins = loop_.pins;
    return std::any_of(pins.nodes.begin(), pins.nodes.end(), [&](const auto& n) { return within(n.arc, n.arc); }) ||
           std::any_of(pins.straights.begin(), pins.straights.end(),
                       [&](const auto& s) { return within(s.from, s.to); }) ||
           std::any_of(pins.bare.begin(), pins.bare.end(), [&](const auto& r) { return within(r.from, r.to); }) ||
           std::any_of(pins.smooth.begin(), pins.smooth.end(), [&](const auto& r) { return within(r.from, r.to); });
  }

  bool same(const DraftNode& a, const DraftNode& b) const {
    return a.corner == b.corner && distance(a.at, b.at) < same_px &&
           std::abs(loop_.curve.signed_arc_px(a.arc, b.arc)) < 2 * same_px &&
           (a.corner || a.angle_fixed == b.angle_fixed);
  }
  bool beside_same_straights(const DraftLoop& d, std::size_t i, const DraftLoop& e, std::size_t k) const {
    return d.segments[i].straight == e.segments[k].straight &&
           d.segments[d.previous(i)].straight == e.segments[e.previous(k)].straight;
  }

  // Is it a pinned node, or an end of a pinned straight, which may run on beyond its stretch?
  bool is_pinned(std::size_t k) const {
    return pinned_.nodes[k].pin >= 0 || pinned_.segments[k].pin >= 0 || pinned_.segments[pinned_.previous(k)].pin >= 0;
  }

  // Nodes that stand in both, in their order, none of them near a pin.
  void find_shared() {
    for (std::size_t i = 0; i < before_.size(); ++i) {
      if (near_pin(before_.nodes[i].arc)) continue;
      for (std::size_t k = 0; k < pinned_.size(); ++k)
        if (!is_pinned(k) && same(before_.nodes[i], pinned_.nodes[k]) &&
            beside_same_straights(before_, i, pinned_, k) && in_order(k)) {
          shared_.push_back({i, k});
          break;
        }
    }
  }
  // Does node k of the pinned draft lie beyond the last that was found, and not past the first?
  bool in_order(std::size_t k) const {
    if (shared_.empty()) return true;
    const auto ahead = [&](std::size_t from, std::size_t to) { return (to + pinned_.size() - from) % pinned_.size(); };
    return ahead(shared_.front().pinned, k) > ahead(shared_.front().pinned, shared_.back().pinned);
  }

  // Does a pin lie between two shared nodes?
  bool concerns_pin(const Shared& a, const Shared& b) const {
    const double from = before_.nodes[a.before].arc, length_px = loop_.curve.ahead(from, before_.nodes[b.before].arc);
    const int steps = std::max(1, int(length_px / 2));
    for (int s = 0; s <= steps; ++s)
      if (near_pin(loop_.curve.wrap(from + length_px * s / steps))) return true;
    for (std::size_t k = pinned_.next(a.pinned); k != b.pinned; k = pinned_.next(k))
      if (is_pinned(k)) return true;
    return false;
  }

  // A splice costs a little; what costs more was fitted together for a reason.
  bool worse(const DraftLoop& out) const {
    constexpr double most = 1.15;
    return local_error(loop_, out, Window::all(out)).sum2 >
           most * std::max(local_error(loop_, pinned_, Window::all(pinned_)).sum2,
                           local_error(loop_, before_, Window::all(before_)).sum2);
  }

  const EditContext& c_;
  const SpacedLoop& loop_;
  const DraftLoop &before_, &pinned_;
  std::vector<Shared> shared_;
};

}  // namespace

DraftLoop splice_pinned(const EditContext& c, const DraftLoop& before, const DraftLoop& pinned) {
  if (c.loop.pins.empty() || before.size() < 3 || pinned.size() < 2) return pinned;
  return Splice(c, before, pinned).run();
}

}  // namespace batten
