#include "ink/subtract_print.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/bend_lattice.h"
#include "ink/comb_lattice.h"
#include "ink/find_tilt.h"
#include "ink/fit_lattice.h"
#include "ink/follow_lattice.h"
#include "ink/line_profile.h"

namespace batten {
namespace {

// Lined or squared paper repeats, however dark it is. By hand some three lines are ruled for each row of letters, and
// not at one pitch: a dozen level lines at one pitch are printed, and so are five and five that make squares.
constexpr std::size_t least_printed_lines = 12, least_squared_lines = 5;
constexpr double same_pitch = 0.03;
// Fewer do where they are as even as print on a sheet that lies flat (0.003 to 0.014, see fit_lattice): by hand a tenth
// of a millimetre would have to be met each time.
constexpr std::size_t least_even_lines = 8;
constexpr double print_uneven = 0.015;

bool is_lined(const Lattice& lattice) {
  return lattice.found >= least_printed_lines || (lattice.found >= least_even_lines && lattice.uneven < print_uneven);
}

Plane<float> transposed(const Plane<float>& p) {
  Plane<float> out(p.height, p.width);
  cv::transpose(as_mat(p), as_mat(out));
  return out;
}

// A line gets a profile of its own from ten bare strips when it is plainly printed broader than the rest, else from
// half of its length: strips among letters are too few to be sure of.
bool has_own_profile(const GuideTrack& line, double typical_px) {
  const std::ptrdiff_t bare = std::count(line.seen.begin(), line.seen.end(), true);
  return bare >= 10 && (2 * bare >= std::ptrdiff_t(line.seen.size()) || line.amplitude_px > 1.8 * typical_px);
}

// Takes the lines of a lattice out of the ink and returns how many there were.
std::size_t subtract_lattice(const Lattice& lattice, const Strips& strips, double noise, const std::stop_token& stop,
                             Plane<float>* ink) {
  const std::vector<GuideTrack> tracks = follow_lattice(strips, bend_lattice(strips, lattice, stop));
  std::vector<const GuideTrack*> lines;
  std::vector<double> amplitudes;
  for (const GuideTrack& track : tracks) lines.push_back(&track), amplitudes.push_back(track.amplitude_px);
  const double typical = median(std::move(amplitudes));
  if (stop.stop_requested()) return 0;
  const std::vector<double> shared = profile_of(lines, strips, *ink);
  for (const GuideTrack* line : lines) {
    if (stop.stop_requested()) return 0;
    subtract_line(*line, has_own_profile(*line, typical) ? profile_of({line}, strips, *ink) : shared, strips, noise,
                  ink);
  }
  return lines.size();
}

// Tilts up to this are followed without turning anything: find_guides reaches to 0.04.
constexpr double least_tilt = 0.025;
constexpr int least_strips = 10;

// Lines of one direction, in the picture levelled by their tilt.
struct Print {
  double tilt = 0;
  Strips strips;
  Lattice lattice;
};

std::optional<Print> untilted(const Strips& strips, const std::vector<GuideTrack>& tracks) {
  if (auto lattice = fit_lattice(strips, tracks, least_squared_lines)) return Print{0, strips, std::move(*lattice)};
  return std::nullopt;
}

// Printed lines of a picture that lies askew.
std::optional<Print> tilted(const Plane<float>& ink, const std::stop_token& stop) {
  Print out;
  out.tilt = find_tilt(ink, stop);
  if (std::abs(out.tilt) < least_tilt || stop.stop_requested()) return std::nullopt;
  const Plane<float> level = levelled(ink, out.tilt);
  if (stop.stop_requested()) return std::nullopt;
  out.strips = strips_of(level);
  if (stop.stop_requested()) return std::nullopt;
  auto lattice = fit_lattice(out.strips, find_guides(out.strips, stop), least_squared_lines);
  if (!lattice) return std::nullopt;
  out.lattice = std::move(*lattice);
  return out;
}

std::size_t take_out(const Print& print, double noise, const std::stop_token& stop, Plane<float>* ink) {
  if (print.tilt == 0) return subtract_lattice(print.lattice, print.strips, noise, stop, ink);
  Plane<float> level = levelled(*ink, print.tilt);
  if (stop.stop_requested()) return 0;
  const std::size_t lines = subtract_lattice(print.lattice, print.strips, noise, stop, &level);
  if (!stop.stop_requested()) *ink = tilted_back(level, print.tilt, ink->height);
  return lines;
}

// Of a picture on its side. Stems of letters are vertical lines, but not a dozen at one pitch: where no level ones
// repeat, fewer do not count.
std::optional<Print> vertical_print(const Plane<float>& turned, bool may_lean, const std::stop_token& stop) {
  const Strips strips = strips_of(turned);
  if (stop.stop_requested()) return std::nullopt;
  if (strips.mean.width >= least_strips)
    if (auto print = untilted(strips, find_guides(strips, stop))) return print;
  return stop.stop_requested() || !may_lean ? std::nullopt : tilted(turned, stop);
}

}  // namespace

std::size_t subtract_print(const Strips& strips, const std::vector<GuideTrack>& tracks, double noise,
                           const std::stop_token& stop, Plane<float>* ink) {
  std::optional<Print> level = untilted(strips, tracks);
  if (!level && !stop.stop_requested()) level = tilted(*ink, stop);
  if (stop.stop_requested()) return 0;
  Plane<float> turned = transposed(*ink);
  if (stop.stop_requested()) return 0;
  const std::optional<Print> vertical = vertical_print(turned, level.has_value(), stop);
  if (stop.stop_requested()) return 0;
  const bool vertical_is_lined = vertical && is_lined(vertical->lattice);
  if (!level && vertical_is_lined)
    if (auto lattice = comb_lattice(strips, vertical->lattice)) level = Print{0, strips, std::move(*lattice)};
  const bool squared =
      level && vertical &&
      std::abs(vertical->lattice.pitch_px - level->lattice.pitch_px) < same_pitch * level->lattice.pitch_px;
  const bool level_is_lined = level && is_lined(level->lattice);
  std::size_t lines = 0;
  if (squared || vertical_is_lined) {
    lines += take_out(*vertical, noise, stop, &turned);
    if (stop.stop_requested()) return 0;
    *ink = transposed(turned);
  }
  if (stop.stop_requested()) return 0;
  return squared || level_is_lined ? lines + take_out(*level, noise, stop, ink) : lines;
}

}  // namespace batten
