// Refuses options out of range, in a sentence that says the range and what to try.

#include <cmath>
#include <string>

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
constexpr int most_threads = 1024;

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
  if (!std::isfinite(options.grid_px) || options.grid_px < 0 || options.grid_px > largest_grid_px)
    return bad("grid_px", "The grid must lie between 0 (none) and 1000 px: try 1 px.");
  const int direction = static_cast<int>(options.direction), start = static_cast<int>(options.start);
  if (direction < 0 || direction > static_cast<int>(Options::Direction::anticlockwise))
    return bad("direction", "The direction must be clockwise or anticlockwise.");
  if (start < 0 || start > static_cast<int>(Options::Start::extreme))
    return bad("start", "The start must be corner or extreme.");
  return std::nullopt;
}

}  // namespace batten
