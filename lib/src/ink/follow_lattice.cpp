#include "ink/follow_lattice.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

constexpr int follow_px = 3;     // a line lies this near to its place in the lattice: print and scanner waver
constexpr int lines_around = 6;  // on either side: by them it is judged how dark the print is at a place
// A printed line is at most this many times as dark as the others: margin lines measured 2.4, drawn lines 4 and more.
constexpr double darkest_print = 3;
// A line two pixels broad is half as dark as its sum. On paper shaded darker than that nothing is told of it.
constexpr double most_shaded = 0.5;
// Light and print make some places darker than the typical one, but not by more: measured up to 1.6.
constexpr double darkest_place = 2;
constexpr std::size_t least_strips = 3;  // by fewer it is not judged whether a line is printed
constexpr double as_dark = 0.3;  // a bare line differs from the print there by less than this share: grain does no more

// Of each line, for each strip.
struct Sightings {
  std::vector<std::vector<double>> amplitude;  // over the typical one
  std::vector<std::vector<double>> off_px;     // from its place in the lattice
  std::vector<std::vector<bool>> told;         // false where the paper around is shaded darker than the print
  std::vector<std::size_t> on_sheet;           // strips of each line that lie in the picture and on the sheet
};

// The ink of a strip near a row that exceeds the paper there: broad lines stay whole, unlike in Strips::sharp.
struct Across {
  double sum_px = 0;
  double middle = 0;  // the row of its centre of mass
  double paper = 0;   // ink beside it
};

// Ink is exactly 0 where there is no sheet.
bool is_sheet(const Strips& strips, int s, int row) {
  for (int v = row - follow_px; v <= row + follow_px; ++v)
    if (v >= 0 && v < strips.mean.height && strips.mean.at(s, v) != 0) return true;
  return false;
}

Across across(const Strips& strips, int s, int row, int paper_px) {
  const int last = strips.mean.height - 1;
  std::vector<double> window;
  for (int v = std::max(0, row - paper_px); v <= std::min(last, row + paper_px); ++v)
    window.push_back(strips.mean.at(s, v));
  Across out;
  const double paper = quantile(std::move(window), 0.4);  // not the median: there may be a drawn line in sight
  out.paper = paper;
  double moment = 0;
  for (int v = std::max(0, row - follow_px); v <= std::min(last, row + follow_px); ++v) {
    const double a = std::max(0., strips.mean.at(s, v) - paper);
    out.sum_px += a, moment += a * v;
  }
  out.middle = out.sum_px > 0 ? moment / out.sum_px : row;
  return out;
}

Sightings look(const Strips& strips, const Lattice& lattice) {
  Sightings out;
  const int paper_px = std::min(12, int(lattice.pitch_px / 3));
  for (const std::vector<double>& line : lattice.y_px) {
    std::vector<double> amplitude, off;
    std::vector<bool> told;
    out.on_sheet.push_back(0);
    for (std::size_t s = 0; s < line.size(); ++s) {
      out.on_sheet.back() += is_sheet(strips, int(s), int(std::lround(line[s])));
      const Across a = across(strips, int(s), int(std::lround(line[s])), paper_px);
      amplitude.push_back(a.sum_px / lattice.amplitude_px);
      off.push_back(a.sum_px > 0 ? a.middle - line[s] : 0);
      told.push_back(a.paper < most_shaded * lattice.amplitude_px);
    }
    out.told.push_back(std::move(told));
    out.amplitude.push_back(std::move(amplitude)), out.off_px.push_back(std::move(off));
  }
  return out;
}

// How dark the print is at each place of each line, judged by the lines around it.
std::vector<std::vector<double>> darkness_of_places(const Sightings& seen) {
  const std::vector<std::vector<double>>& amplitude = seen.amplitude;
  const int lines = int(amplitude.size()), n = lines > 0 ? int(amplitude[0].size()) : 0;
  std::vector<std::vector<double>> out(lines, std::vector<double>(n, 1));
  for (int i = 0; i < lines; ++i) {
    std::vector<double> of_strip(n, 1);
    std::vector<bool> known(n, false);
    for (int s = 0; s < n; ++s) {
      std::vector<double> around;
      for (int j = std::max(0, i - lines_around); j <= std::min(lines - 1, i + lines_around); ++j)
        if (amplitude[j][s] > 0.3 && seen.told[j][s]) around.push_back(amplitude[j][s]);
      known[s] = around.size() >= 3;
      of_strip[s] = std::min(darkest_place, quantile(std::move(around), 0.5));
    }
    // Where the print ends within a strip, the strip looks half as dark.
    for (int s = 0; s < n; ++s)
      for (const int t : {s - 1, s + 1})
        if (t >= 0 && t < n && known[s] && known[t] && of_strip[s] < 0.75 * of_strip[t]) known[s] = false;
    if (std::count(known.begin(), known.end(), true) > 0) out[i] = filled_in(of_strip, known, 2);
  }
  return out;
}

// How much darker each line is than its places, by the palest tenth of its strips, which the drawing has left bare. 0
// says that no line is printed there.
std::vector<double> darkness_of_lines(const Sightings& seen, const std::vector<std::vector<double>>& place) {
  std::vector<double> out, over_palest;
  for (std::size_t i = 0; i < place.size(); ++i) {
    std::vector<double> ratio;
    for (std::size_t s = 0; s < place[i].size(); ++s)
      if (seen.amplitude[i][s] > 0.3 * place[i][s] && seen.told[i][s])
        ratio.push_back(seen.amplitude[i][s] / place[i][s]);
    out.push_back(quantile(ratio, 0.1));
    // Nothing is printed there, or too little to tell.
    const auto told = std::size_t(std::count(seen.told[i].begin(), seen.told[i].end(), true));
    if (2 * ratio.size() < std::min(told, seen.on_sheet[i]) || ratio.size() < least_strips) out.back() = 0;
    if (out.back() > 0) over_palest.push_back(quantile(ratio, 0.5) / out.back());
  }
  const double spread = quantile(std::move(over_palest), 0.5);
  std::vector<double> printed;
  for (const double g : out)
    if (g > 0) printed.push_back(g);
  const double typical = quantile(std::move(printed), 0.5);
  // What is darker than any print was drawn over from end to end.
  for (double& g : out) g = spread * (g > darkest_print * typical ? typical : g);
  return out;
}

}  // namespace

std::vector<GuideTrack> follow_lattice(const Strips& strips, const Lattice& lattice) {
  const Sightings sightings = look(strips, lattice);
  const std::vector<std::vector<double>> place = darkness_of_places(sightings);
  const std::vector<double> line = darkness_of_lines(sightings, place);
  std::vector<GuideTrack> out;
  for (std::size_t i = 0; i < lattice.y_px.size(); ++i) {
    if (line[i] <= 0) continue;
    const std::size_t n = lattice.y_px[i].size();
    const std::vector<double>&amplitude = sightings.amplitude[i], &off = sightings.off_px[i];
    GuideTrack track;
    track.amplitude_px = line[i] * lattice.amplitude_px;
    track.seen.assign(n, false), track.gain.assign(n, 0);
    for (std::size_t s = 0; s < n; ++s) {
      track.gain[s] = line[i] * place[i][s];
      track.seen[s] = sightings.told[i][s] && std::abs(amplitude[s] - track.gain[s]) < as_dark * track.gain[s];
    }
    const auto bare = [&](std::size_t s) { return sightings.told[i][s] && amplitude[s] < 0.5 * line[i] * place[i][s]; };
    for (std::size_t s = 0; s < n; ++s)  // margins and holes; a strip at their rim keeps its gain
      if (bare(s) && bare(s > 0 ? s - 1 : s) && bare(std::min(s + 1, n - 1))) track.gain[s] = amplitude[s];
    const std::vector<double> smooth = filled_in(off, track.seen, 8);
    for (std::size_t s = 0; s < n; ++s) track.seen[s] = track.seen[s] && std::abs(off[s] - smooth[s]) < 1;
    track.y_px = filled_in(off, track.seen, 1.2);
    for (std::size_t s = 0; s < n; ++s) track.y_px[s] += lattice.y_px[i][s];
    out.push_back(std::move(track));
  }
  return out;
}

}  // namespace batten
