#include "structure/known_straights.h"

#include <algorithm>

namespace batten {

std::vector<Straight> known_straights(const SpacedLoop& loop, const KnownCurve& known) {
  std::vector<Straight> out;
  for (const KnownCurve::Straight& k : known.straights) {
    // Coordinates of files are rounded: what leans by less than a thousandth of the limit was meant to be on its axis.
    const double slack_px = 1e-3 * loop.limit_px;
    Straight s{k.from, k.to, k.a, k.b, std::abs(k.a.y - k.b.y) < slack_px, std::abs(k.a.x - k.b.x) < slack_px};
    if (s.level) s.a.y = s.b.y = 0.5 * (k.a.y + k.b.y);
    if (s.vertical) s.a.x = s.b.x = 0.5 * (k.a.x + k.b.x);
    out.push_back(s);
  }
  std::stable_sort(out.begin(), out.end(), [](const Straight& a, const Straight& b) { return a.from < b.from; });
  return out;
}

}  // namespace batten
