#include "ink/subtract_guides.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/find_guides.h"
#include "ink/fit_lattice.h"
#include "ink/follow_lattice.h"
#include "ink/measure_patch.h"

namespace batten {
namespace {

constexpr double half_width_px = 6;  // of the profile that is subtracted, to either side
constexpr int bins_per_px = 4;
constexpr std::size_t least_values =
    4;  // with so many strips in a bin, one with a letter in it does not move the median

int bin_of(double across_px) { return int(std::lround((across_px + half_width_px) * bins_per_px)); }

double track_at(const Strips& strips, const std::vector<double>& of_strip, double x) {
  const double s = (x - strips.middle_px(0)) / Strips::strip_px;
  const int i = std::clamp(int(std::floor(s)), 0, int(of_strip.size()) - 1);
  const int j = std::min(i + 1, int(of_strip.size()) - 1);
  return of_strip[i] + std::clamp(s - i, 0., 1.) * (of_strip[j] - of_strip[i]);
}

// How dark what was drawn is: the upper quartile of the smoothed ink.
double drawn_level(const Plane<float>& ink, double noise, const std::stop_token& stop) {
  const cv::Mat1f smooth = gauss(as_mat(ink), 1.2);
  if (stop.stop_requested()) return 0;
  std::vector<float> values;
  for (const float v : smooth)
    if (v > ink_threshold(noise)) values.push_back(v);
  return quantile(std::move(values), 0.75);
}

// Which strips hold other ink: over 60 dark pixels clear of every candidate. Dust has fewer.
std::vector<bool> drawn_strips(const Plane<float>& ink, const Strips& strips, const std::vector<GuideTrack>& tracks,
                               double level) {
  std::vector<bool> near_line(std::size_t(ink.height), false), out(strips.mean.width, false);
  for (int s = 0; s < strips.mean.width; ++s) {
    std::fill(near_line.begin(), near_line.end(), false);
    for (const GuideTrack& t : tracks)
      for (int d = -6; d <= 6; ++d) {
        const int y = int(std::lround(t.y_px[s])) + d;
        if (y >= 0 && y < ink.height) near_line[y] = true;
      }
    int dark = 0;
    for (int y = 0; y < ink.height; ++y) {
      if (near_line[y]) continue;
      const float* row = ink.row(y) + s * Strips::strip_px;
      for (int x = 0; x < Strips::strip_px; ++x) dark += row[x] > 0.5 * level;
    }
    out[s] = dark > 60;
  }
  return out;
}

// Does the track show outside the box of all other ink, in three strips at least, or run from one edge of the sheet to
// the other?
bool is_guide(const GuideTrack& track, const std::vector<bool>& drawn, double level) {
  // Fainter than any drawn line: a pencil line sums to three times its darkness, a ruled one to half.
  if (track.amplitude_px > level || track.amplitude_px < 0.05 * level) return false;
  const int n = int(drawn.size());
  int first = n, last = -1, outside = 0, seen = 0;
  for (int s = 0; s < n; ++s)
    if (drawn[s]) first = std::min(first, s), last = std::max(last, s);
  for (int s = 0; s < n; ++s) {
    seen += track.seen[s];
    outside += track.seen[s] && (s < first || s > last);
  }
  const bool at_left = track.seen[0] || track.seen[1], at_right = track.seen[n - 1] || track.seen[n - 2];
  return outside >= 3 || (at_left && at_right && seen >= 0.7 * n);
}

// The ink across lines, in even bins from -half_width_px on, per unit of gain and less the paper beside them. It is the
// median over strips, so that what was drawn beside a line in some of them does not count.
std::vector<double> profile_of(const std::vector<const GuideTrack*>& tracks, const Strips& strips,
                               const Plane<float>& ink) {
  const int bins = int(2 * half_width_px * bins_per_px) + 1;
  std::vector<std::vector<double>> values(bins);
  std::vector<double> sum(bins), count(bins), profile(bins, 0);
  for (const GuideTrack* track : tracks)
    for (int s = 0; s < strips.mean.width; ++s) {
      if (!track->seen[s]) continue;
      std::fill(sum.begin(), sum.end(), 0), std::fill(count.begin(), count.end(), 0);
      for (int x = s * Strips::strip_px; x < (s + 1) * Strips::strip_px; ++x) {
        const double middle = track_at(strips, track->y_px, x);
        for (int y = std::max(0, int(middle - half_width_px)); y <= std::min(ink.height - 1., middle + half_width_px);
             ++y) {
          const int b = bin_of(y - middle);
          if (b >= 0 && b < bins) sum[b] += ink.at(x, y), count[b] += 1;
        }
      }
      for (int b = 0; b < bins; ++b)
        if (count[b] > 0) values[b].push_back(sum[b] / count[b] / std::max(track->gain[s], 0.1));
    }
  int known = -1;  // the last bin with enough strips: a line that runs level meets few bins, again and again
  for (int b = 0; b < bins; ++b) {
    if (values[b].size() < least_values) continue;
    profile[b] = median(std::move(values[b]));
    for (int between = known + 1; between < b; ++between)
      profile[between] =
          known < 0 ? profile[b] : std::lerp(profile[known], profile[b], double(between - known) / (b - known));
    known = b;
  }
  for (int b = known + 1; b < bins; ++b) profile[b] = known < 0 ? 0 : profile[known];
  const std::ptrdiff_t beside = bins / 6;  // 2 px on either side: no ruled line reaches there
  std::vector<double> paper(profile.begin(), profile.begin() + beside);
  paper.insert(paper.end(), profile.end() - beside, profile.end());
  const double ground = median(std::move(paper));
  for (double& p : profile) p = std::max(0., p - ground);
  return profile;
}

void subtract(const GuideTrack& track, const std::vector<double>& profile, const Strips& strips, double noise,
              Plane<float>* ink) {
  const int bins = int(profile.size());
  for (int x = 0; x < ink->width; ++x) {
    const double middle = track_at(strips, track.y_px, x), gain = track_at(strips, track.gain, x);
    for (int y = std::max(0, int(middle - half_width_px)); y <= std::min(ink->height - 1., middle + half_width_px);
         ++y) {
      const int b = bin_of(y - middle);
      if (b < 0 || b >= bins) continue;
      // Light passes through what was drawn and through the line: 1 - k = (1 - drawn) (1 - line).
      const double line = std::clamp(gain * profile[b], -0.5, 0.9), k = ink->at(x, y);
      ink->at(x, y) = float(std::max((k - line) / (1 - line), std::min(k, -2 * noise)));
    }
  }
}

// Lined or squared paper repeats, however dark it is. By hand some three lines are ruled for each row of letters, and
// not at one pitch: a dozen level lines at one pitch are printed, and so are five and five that make squares.
constexpr std::size_t least_printed_lines = 12, least_squared_lines = 5;
constexpr double same_pitch = 0.03;

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
  const std::vector<GuideTrack> tracks = follow_lattice(strips, lattice);
  std::vector<const GuideTrack*> lines;
  std::vector<double> amplitudes;
  for (const GuideTrack& track : tracks) lines.push_back(&track), amplitudes.push_back(track.amplitude_px);
  const double typical = median(std::move(amplitudes));
  if (stop.stop_requested()) return 0;
  const std::vector<double> shared = profile_of(lines, strips, *ink);
  for (const GuideTrack* line : lines) {
    if (stop.stop_requested()) return 0;
    subtract(*line, has_own_profile(*line, typical) ? profile_of({line}, strips, *ink) : shared, strips, noise, ink);
  }
  return lines.size();
}

// Takes printed lines out in both directions and returns how many there were. Vertical ones are only looked for where
// level ones repeat: stems of letters are vertical lines.
std::size_t subtract_printed(const Strips& strips, const std::vector<GuideTrack>& tracks, double noise,
                             const std::stop_token& stop, Plane<float>* ink) {
  const std::optional<Lattice> level = fit_lattice(strips, tracks, least_squared_lines);
  if (!level || stop.stop_requested()) return 0;
  Plane<float> turned = transposed(*ink);
  if (stop.stop_requested()) return 0;
  const Strips turned_strips = strips_of(turned);
  std::optional<Lattice> vertical;
  if (turned_strips.mean.width >= 10 && !stop.stop_requested())
    vertical = fit_lattice(turned_strips, find_guides(turned_strips, stop), least_squared_lines);
  const bool squared = vertical && std::abs(vertical->pitch_px - level->pitch_px) < same_pitch * level->pitch_px;
  if (!squared && level->found < least_printed_lines) return 0;
  std::size_t lines = 0;
  if (squared || (vertical && vertical->found >= least_printed_lines)) {
    lines += subtract_lattice(*vertical, turned_strips, noise, stop, &turned);
    if (stop.stop_requested()) return 0;
    *ink = transposed(turned);
  }
  if (stop.stop_requested()) return 0;
  return lines + subtract_lattice(*level, strips, noise, stop, ink);
}

}  // namespace

Result<GuidedInk> subtract_guides(Ink ink, const Progress& progress, std::vector<Finding>* findings) {
  GuidedInk out{std::move(ink), {}};
  const Strips strips = strips_of(out.ink.ink);
  if (strips.mean.width < 10 || strips.mean.height < 30) return out;  // too narrow to tell a guide from a bar
  if (progress.stopped()) return progress.cancelled();
  const std::vector<GuideTrack> tracks = find_guides(strips, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  if (tracks.empty()) return out;
  const std::size_t printed = subtract_printed(strips, tracks, out.ink.noise, progress.stop_token(), &out.ink.ink);
  if (progress.stopped()) return progress.cancelled();
  if (printed > 0) {
    findings->push_back(
        {.what = Finding::What::guide_removed,
         .text = "The paper is lined or squared: its " + std::to_string(printed) + " lines were left out."});
    return out;
  }
  const double level = drawn_level(out.ink.ink, out.ink.noise, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  const std::vector<bool> drawn = drawn_strips(out.ink.ink, strips, tracks, level);
  for (const GuideTrack& track : tracks) {
    if (progress.stopped()) return progress.cancelled();
    if (!is_guide(track, drawn, level)) continue;
    subtract(track, profile_of({&track}, strips, out.ink.ink), strips, out.ink.noise, &out.ink.ink);
    out.guides.push_back(page_guide(track.at_zero_px, track.slope));
    findings->push_back({.what = Finding::What::guide_removed,
                         .place = {0, out.guides.back().y0_px},
                         .text = "A ruled line across the sheet was left out."});
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
