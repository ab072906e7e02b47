// Refuses options out of range, in a sentence that says the range and what to try.

#include <cmath>
#include <string>
#include <utility>

#include "batten/convert.h"

namespace batten {
namespace {

Error bad(const char* field, const std::string& sentence) { return {ErrorCode::bad_option, sentence, field}; }

// Wider than any scan: a larger value is a mistaken unit.
constexpr double largest_tolerance_px = 10000;
// Drum scanners of print shops end near 12,000 dpi.
constexpr double largest_dpi = 100000;
// Coarser than the details of letters on any scan.
constexpr double largest_grid_px = 1000;
// Finer than any file's digits; so many steps of it as a sheet is wide are still counted exactly.
constexpr double smallest_grid_px = 1e-6;
constexpr int most_threads = 1024;
// Every two are held against one another; nobody sets a thousand by hand.
constexpr std::size_t most_pins = 1000;
constexpr std::size_t most_corners = 10000;  // of a polygon
constexpr double farthest_px = 1e9;

// How many places a kind of pin has: at least and at most.
std::pair<std::size_t, std::size_t> places_of(Pin::Kind kind) {
  switch (kind) {
    case Pin::Kind::straight:
    case Pin::Kind::close_gap:
    case Pin::Kind::keep_apart:
      return {2, 2};
    case Pin::Kind::share_x:
    case Pin::Kind::share_y:
      return {2, most_corners};
    case Pin::Kind::equal:
      return {4, 4};
    default:
      return is_about_scan(kind) ? std::pair<std::size_t, std::size_t>(3, most_corners)
                                 : std::pair<std::size_t, std::size_t>(1, 1);
  }
}

template <class Enum>
bool is_one_of(Enum value, Enum last) {
  return int(value) >= 0 && int(value) <= int(last);
}

std::optional<Error> check(const Pin& pin, std::size_t number) {
  const std::string field = "pins " + std::to_string(number + 1);
  const auto wrong = [&](const std::string& sentence) { return Error{ErrorCode::bad_option, sentence, field}; };
  if (!is_one_of(pin.kind, Pin::Kind::keep_apart) || !is_one_of(pin.turn, Pin::Turn::smooth) ||
      !is_one_of(pin.along, Pin::Along::vertical) || !is_one_of(pin.drawn, Pin::Drawn::lines))
    return wrong("Pin " + std::to_string(number + 1) +
                 " has a kind, turn, direction or drawing that there is none of.");
  const std::string name = "Pin " + std::to_string(number + 1) + " (" + name_of(pin.kind) + ")";
  const auto [least, most] = places_of(pin.kind);
  if (pin.places.size() < least || pin.places.size() > most)
    return wrong(name + " has " + std::to_string(pin.places.size()) + " places: it needs " +
                 (least == most ? std::to_string(least) : std::to_string(least) + " or more") + ".");
  for (const Point p : pin.places)
    if (!(std::abs(p.x) <= farthest_px && std::abs(p.y) <= farthest_px))
      return wrong(name + " has a coordinate that is no place on a sheet: give px of the scan.");
  if (!std::isfinite(pin.length_px) || pin.length_px < 0 || pin.length_px > largest_tolerance_px ||
      (pin.kind == Pin::Kind::tolerance && pin.length_px == 0))
    return wrong(name + " has a length that is not over 0 and at most 10000 px.");
  return std::nullopt;
}

}  // namespace

std::optional<Error> check(const Options& options) {
  if (options.tolerance_px) {
    const double px = *options.tolerance_px;
    if (!std::isfinite(px) || px <= 0 || px > largest_tolerance_px)
      return bad("tolerance_px", "The tolerance must be over 0 and at most 10000 px: try 1 px.");
  }
  if (!std::isfinite(options.dpi) || options.dpi < 0 || options.dpi > largest_dpi)
    return bad("dpi", "The resolution must lie between 0 (unknown) and 100000 dpi: try 300 dpi.");
  if (options.threads < 1 || options.threads > most_threads)
    return bad("threads", "The number of threads must lie between 1 and 1024.");
  const int extremes = static_cast<int>(options.extremes), drawing = static_cast<int>(options.drawing);
  if (extremes < 0 || extremes > static_cast<int>(Options::Extremes::free))
    return bad("extremes", "The rule for extremes must be required or free.");
  if (drawing < 0 || drawing > static_cast<int>(Options::DrawingKind::lines))
    return bad("drawing", "The kind of drawing must be automatic, outlined, filled or lines.");
  const int output = static_cast<int>(options.output);
  if (output < 0 || output > static_cast<int>(Options::Output::lines))
    return bad("output", "The output must be both, outlines or lines.");
  const int construction = static_cast<int>(options.construction);
  if (construction < 0 || construction > static_cast<int>(Options::Construction::keep))
    return bad("construction", "Construction lines must be left out or kept.");
  const bool grid = options.grid_px >= smallest_grid_px && options.grid_px <= largest_grid_px;
  if (options.grid_px != 0 && !grid)
    return bad("grid_px", "The grid must be 0 (none) or lie between 0.000001 and 1000 px: try 1 px.");
  const int direction = static_cast<int>(options.direction), start = static_cast<int>(options.start);
  if (direction < 0 || direction > static_cast<int>(Options::Direction::anticlockwise))
    return bad("direction", "The direction must be clockwise or anticlockwise.");
  if (start < 0 || start > static_cast<int>(Options::Start::extreme))
    return bad("start", "The start must be corner or extreme.");
  if (options.pins.size() > most_pins)
    return bad("pins", "There are more than 1000 pins: leave out those that are not needed.");
  for (std::size_t i = 0; i < options.pins.size(); ++i)
    if (auto error = check(options.pins[i], i)) return error;
  return std::nullopt;
}

}  // namespace batten
