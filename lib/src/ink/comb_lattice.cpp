#include "ink/comb_lattice.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace batten {
namespace {

// A part of the picture over which paper hardly bends: 6 strips of 32 px and 8 lines.
constexpr int strips_of_part = 6, lines_of_part = 8;
// How much of the print six of the eight lines of a part must show, and how much darker they must be than the mean of
// all rows. Photographs of squared paper showed 0.66 to 1; of 29 sheets without print (letters, hatching, diagrams,
// sketches, at four pitches) one showed anything that much darker, level hatching, and 0.34 of it.
constexpr std::size_t may_be_covered = 2;
constexpr double least_share = 0.5, least_contrast = 2.5;

struct Comb {
  double first_px = 0;  // row of one of its lines
  double share = 0;     // of the print, in the palest but may_be_covered of its lines
  double contrast = 0;
};

// The rows at one pitch that are darkest in a part of the picture. A line that was drawn there is one row of them.
Comb best_comb(const Strips& strips, double pitch_px, double most, int first_strip, double top_px) {
  Comb best;
  double all = 0;
  const int phases = int(pitch_px);
  for (int phase = 0; phase < phases; ++phase) {
    std::vector<double> rows;
    for (int k = 0; k < lines_of_part; ++k) {
      const int row = std::min(int(std::lround(top_px + phase + k * pitch_px)), strips.mean.height - 1);
      double sum = 0;
      for (int s = first_strip; s < first_strip + strips_of_part; ++s)
        sum += std::clamp<double>(strips.sharp.at(s, row), 0., most);
      rows.push_back(sum / (most * strips_of_part));
    }
    all += std::accumulate(rows.begin(), rows.end(), 0.) / double(lines_of_part * phases);
    std::sort(rows.begin(), rows.end());
    if (rows[may_be_covered] > best.share) best.share = rows[may_be_covered], best.first_px = top_px + phase;
  }
  best.contrast = all > 0 ? best.share / all : 0;
  return best;
}

}  // namespace

std::optional<Lattice> comb_lattice(const Strips& strips, const Lattice& vertical) {
  const double pitch_px = vertical.pitch_px, part_px = lines_of_part * pitch_px;
  const double most = 0.5 * vertical.amplitude_px;  // what is drawn counts no more than what is printed
  Comb best;
  for (int s = 0; s + strips_of_part <= strips.mean.width; s += strips_of_part / 2)
    for (double top_px = 0; top_px + part_px < strips.mean.height; top_px += part_px / 2)
      if (const Comb c = best_comb(strips, pitch_px, most, s, top_px);
          c.contrast > least_contrast && c.share > best.share)
        best = c;
  if (best.share < least_share) return std::nullopt;
  Lattice out;
  out.pitch_px = pitch_px, out.amplitude_px = vertical.amplitude_px;
  for (double y = std::fmod(best.first_px, pitch_px); y < strips.mean.height; y += pitch_px)
    out.y_px.emplace_back(strips.mean.width, y);
  return out;
}

}  // namespace batten
