#include "finish/cut_loops.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/cubic.h"

namespace batten {
namespace {

constexpr int chords = 32;

struct Place {
  double first_t, second_t;
  Point at;  // by the chords: exact on straights, whose parameter does not run evenly
};

std::optional<Place> crossing_of(const Cubic& a, const Cubic& b, bool neighbours) {
  std::array<Point, chords + 1> p, q;
  for (int k = 0; k <= chords; ++k)
    p[std::size_t(k)] = evaluate(a, double(k) / chords), q[std::size_t(k)] = evaluate(b, double(k) / chords);
  for (std::size_t i = 0; i < chords; ++i)
    for (std::size_t k = chords; k-- > 0;) {
      if (neighbours && i + 1 == chords && k == 0) continue;  // the node that they share
      const Point along = p[i + 1] - p[i], other = q[k + 1] - q[k], between = q[k] - p[i];
      const double den = cross(along, other);
      if (den == 0) continue;
      const double s = cross(between, other) / den, t = cross(between, along) / den;
      if (s >= 0 && s <= 1 && t >= 0 && t <= 1)
        return Place{(double(i) + s) / chords, (double(k) + t) / chords, p[i] + s * along};
    }
  return std::nullopt;
}

// The outline begun at its segment `first`, without what lies between a crossing there and one `ahead` segments on.
std::optional<Outline> cut(const Outline& o, std::size_t first, std::size_t ahead, double longest_px) {
  Outline out = o;
  std::rotate(out.nodes.begin(), out.nodes.begin() + std::ptrdiff_t(first), out.nodes.end());
  const auto at = crossing_of(out.segment(0), out.segment(ahead), ahead == 1);
  if (!at) return std::nullopt;
  const bool straight_before = out.is_straight(0), straight_after = out.is_straight(ahead);
  const auto [before, rest] = split(out.segment(0), at->first_t);
  const auto [end, after] = split(out.segment(ahead), at->second_t);
  double between_px = length(rest) + length(end);
  for (std::size_t i = 1; i < ahead; ++i) between_px += length(out.segment(i));
  if (between_px > longest_px) return std::nullopt;
  const Point corner = at->at;
  if (!straight_before) out.nodes[0].handle_after = before[1];
  const std::size_t last = ahead + 1 == out.nodes.size() ? 0 : ahead + 1;
  if (!straight_after) out.nodes[last].handle_before = after[2];
  out.nodes[1] = {straight_before ? corner : before[2], corner, straight_after ? corner : after[1], false,
                  Reason::corner};
  out.nodes.erase(out.nodes.begin() + 2, out.nodes.begin() + std::ptrdiff_t(ahead) + 1);
  return out;
}

}  // namespace

Outline without_small_loops(const Outline& outline, double longest_px) {
  constexpr std::size_t farthest = 6;  // segments: a loop of a few px has no more
  Outline out = outline;
  for (std::size_t i = 0; i < out.nodes.size(); ++i)
    for (std::size_t ahead = 1; ahead <= farthest && ahead + 2 < out.nodes.size(); ++ahead)
      if (auto shorter = cut(out, i, ahead, longest_px)) {
        out = std::move(*shorter), i = 0, ahead = 0;
      }
  return out;
}

}  // namespace batten
