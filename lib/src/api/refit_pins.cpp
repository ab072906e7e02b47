#include "api/refit_pins.h"

#include <algorithm>

#include "base/polyline.h"
#include "judge/pinned_regions.h"

namespace batten {
namespace {

bool lies_mostly_in(const Outline& o, const std::vector<Point>& polygon) {
  const auto inside =
      std::count_if(o.nodes.begin(), o.nodes.end(), [&](const Node& n) { return contains(polygon, n.at); });
  return 2 * std::size_t(inside) > o.nodes.size();
}

}  // namespace

std::vector<char> pinned_outlines(std::span<const Outline> outlines, const std::vector<Pin>& pins,
                                  const RefitBench& bench) {
  std::vector<char> out(outlines.size(), 0);
  if (pins.empty()) return out;
  Drawing drawing;
  for (const Outline& o : outlines) drawing.outlines.push_back(placed(o, [&](Point p) { return bench.in(p); }));
  for (const Pin& pin : pins) {
    if (pin.kind == Pin::Kind::tolerance) {
      for (std::size_t i = 0; i < out.size(); ++i) out[i] = out[i] || lies_mostly_in(outlines[i], pin.places);
      continue;
    }
    for (const Point place : pin.places)
      if (const int near = nearest_outline(drawing, bench.in(place)); near >= 0) out[std::size_t(near)] = 1;
  }
  return out;
}

KeptPins pins_in_document(const Report& made, const std::vector<std::size_t>& order, const std::vector<Refitting>& now,
                          const std::vector<Pin>& pins, const RefitBench& bench) {
  KeptPins out;
  const auto stays = [&](int outline) {
    return outline >= 0 && now[std::size_t(outline)].outcome != Refitting::Outcome::refitted;
  };
  for (std::size_t p = 0; p < made.pins.size(); ++p) {
    PinOutcome pin = made.pins[p];
    pin.place = bench.out(pin.place);
    pin.distance_px /= bench.scale, pin.off_line_px /= bench.scale;
    if (pin.outline >= 0) pin.outline = int(order[std::size_t(pin.outline)]);
    if (stays(pin.outline)) {
      pin.held = false;
      pin.text = "Pin " + std::to_string(p + 1) + " (" + name_of(pins[p].kind) +
                 ") is not held: its outline stays as it was, since it would cross itself or lie too far off.";
      out.findings.push_back({Finding::What::pin_not_held, pin.outline, pin.place, 0, pin.text});
    }
    out.outcomes.push_back(std::move(pin));
  }
  for (Finding f : made.findings) {
    if (f.what != Finding::What::pin_not_held && f.what != Finding::What::pins_contradict) continue;
    f.place = bench.out(f.place), f.amount_px /= bench.scale;
    if (f.outline >= 0) f.outline = int(order[std::size_t(f.outline)]);
    if (!stays(f.outline)) out.findings.push_back(std::move(f));
  }
  return out;
}

}  // namespace batten
