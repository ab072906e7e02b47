#include "ink/line_profile.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"

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

// Within shading each strip has a dark line somewhere, and a level line meets few bins, so that no median is left to
// see through it. A strip counts where there is paper beyond 4 px on both sides of the line: less than half of how dark
// the line is itself, were it two pixels wide.
bool paper_beside(const std::vector<double>& sum, const std::vector<double>& count, double amplitude_px) {
  const std::ptrdiff_t bins = std::ptrdiff_t(sum.size()), beside = bins / 6;
  double ink = 0, pixels = 0;
  for (std::ptrdiff_t b = 0; b < bins; ++b)
    if (b < beside || b >= bins - beside) ink += sum[b], pixels += count[b];
  return pixels == 0 || ink / pixels < 0.25 * amplitude_px;
}

}  // namespace

std::vector<double> profile_of(const std::vector<const GuideTrack*>& tracks, const Strips& strips,
                               const Plane<float>& ink, bool beside_paper_only) {
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
      if (beside_paper_only && !paper_beside(sum, count, track->amplitude_px)) continue;
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

void subtract_line(const GuideTrack& track, const std::vector<double>& profile, const Strips& strips, double noise,
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

}  // namespace batten
