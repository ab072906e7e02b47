#include "shapes/pinned_kinds.h"

#include <algorithm>

#include "ink/pin_ink.h"

namespace batten {

std::vector<std::optional<Pin::Drawn>> pinned_kinds(const Plane<std::int32_t>& labels, int count,
                                                    const std::vector<Pin>& pins) {
  const auto is_about_it = [](const Pin& p) { return p.kind == Pin::Kind::drawn_as; };
  if (std::none_of(pins.begin(), pins.end(), is_about_it)) return {};
  std::vector<std::optional<Pin::Drawn>> out(std::size_t(count), std::nullopt);
  std::vector<std::int64_t> all(out.size(), 0);
  for (const std::int32_t label : labels.values) ++all[std::size_t(label)];
  for (const Pin& pin : pins) {
    if (!is_about_it(pin)) continue;
    std::vector<std::int64_t> inside(out.size(), 0);
    for_each_inside(mask_of(pin.places, labels.width, labels.height),
                    [&](int x, int y) { ++inside[std::size_t(labels.at(x, y))]; });
    for (std::size_t k = 1; k < out.size(); ++k)
      if (2 * inside[k] > all[k]) out[k] = pin.drawn;
  }
  return out;
}

}  // namespace batten
