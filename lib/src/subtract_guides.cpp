#include "subtract_guides.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "find_guides.h"
#include "measure_patch.h"
#include "plane_cv.h"

namespace batten {
namespace {

constexpr double half_width_px = 6;  // of the profile that is subtracted
constexpr int bins_per_px = 4;

double track_at(const Strips& strips, const std::vector<double>& of_strip, double x) {
  const double s = (x - strips.middle_px(0)) / Strips::strip_px;
  const int i = std::clamp(int(std::floor(s)), 0, int(of_strip.size()) - 1);
  const int j = std::min(i + 1, int(of_strip.size()) - 1);
  return of_strip[i] + std::clamp(s - i, 0., 1.) * (of_strip[j] - of_strip[i]);
}

// Upper quartile of the smoothed ink: how dark what was drawn is.
double drawn_level(const Plane<float>& ink, double noise) {
  std::vector<float> values;
  for (const float v : gauss(as_mat(ink), 1.2))
    if (v > ink_threshold(noise)) values.push_back(v);
  if (values.empty()) return 0;
  const auto at = values.begin() + std::ptrdiff_t(.75 * double(values.size() - 1));
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

// Strips that hold other ink: over 60 dark pixels clear of every candidate. Dust has fewer.
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
      for (int x = 0; x < Strips::strip_px; ++x) dark += row[x] > .5 * level;
    }
    out[s] = dark > 60;
  }
  return out;
}

// Shows outside the box of all other ink, three strips at least, or runs from one edge of the sheet to the other.
bool is_guide(const GuideTrack& track, const std::vector<bool>& drawn, double level) {
  // Fainter than any drawn line: a pencil line sums to three times its darkness, a ruled one to half.
  if (track.amplitude_px > level || track.amplitude_px < .05 * level) return false;
  const int n = int(drawn.size());
  int first = n, last = -1, outside = 0, seen = 0;
  for (int s = 0; s < n; ++s)
    if (drawn[s]) first = std::min(first, s), last = std::max(last, s);
  for (int s = 0; s < n; ++s) {
    seen += track.seen[s];
    outside += track.seen[s] && (s < first || s > last);
  }
  const bool at_left = track.seen[0] || track.seen[1], at_right = track.seen[n - 1] || track.seen[n - 2];
  return outside >= 3 || (at_left && at_right && seen >= .7 * n);
}

void subtract(const GuideTrack& track, const Strips& strips, Plane<float>& ink) {
  const int bins = int(2 * half_width_px * bins_per_px) + 1;
  std::vector<double> sum(bins, 0), count(bins, 0);
  const auto bin_of = [&](double u) { return int(std::lround((u + half_width_px) * bins_per_px)); };
  for (int s = 0; s < strips.mean.width; ++s) {
    if (!track.seen[s]) continue;
    for (int x = s * Strips::strip_px; x < (s + 1) * Strips::strip_px; ++x) {
      const double middle = track_at(strips, track.y_px, x);
      for (int y = std::max(0, int(middle - half_width_px)); y <= std::min(ink.height - 1., middle + half_width_px);
           ++y) {
        const int b = bin_of(y - middle);
        if (b >= 0 && b < bins) sum[b] += ink.at(x, y), count[b] += 1;
      }
    }
  }
  std::vector<double> profile(bins);
  for (int b = 0; b < bins; ++b) profile[b] = count[b] > 0 ? sum[b] / count[b] : 0;
  const double ground = (profile[0] + profile[1] + profile[bins - 2] + profile[bins - 1]) / 4;
  for (double& p : profile) p -= ground;
  for (int x = 0; x < ink.width; ++x) {
    const double middle = track_at(strips, track.y_px, x), gain = track_at(strips, track.gain, x);
    for (int y = std::max(0, int(middle - half_width_px)); y <= std::min(ink.height - 1., middle + half_width_px);
         ++y) {
      const int b = bin_of(y - middle);
      if (b < 0 || b >= bins) continue;
      float& k = ink.at(x, y);  // where a pencil has already covered the paper, the ruled line adds less
      k -= float(gain * profile[b]) * std::clamp(1 - k / .8f, 0.f, 1.f);
    }
  }
}

// Squared or lined paper shows as many lines across the sheet, as dark as they may be. The most that were ruled by hand
// on one sheet of letters are some three for each row of letters: a dozen level lines are printed.
constexpr std::size_t least_printed_lines = 12;

bool crosses_the_sheet(const GuideTrack& track) {
  return 2 * std::count(track.seen.begin(), track.seen.end(), true) >= std::ptrdiff_t(track.seen.size());
}

Plane<float> transposed(const Plane<float>& p) {
  Plane<float> out(p.height, p.width);
  cv::transpose(as_mat(p), as_mat(out));
  return out;
}

// Takes the printed lines out in one direction; how many there were.
std::size_t subtract_printed(const Strips& strips, const std::vector<GuideTrack>& tracks, Plane<float>& ink) {
  std::vector<const GuideTrack*> lines;
  for (const GuideTrack& track : tracks)
    if (crosses_the_sheet(track)) lines.push_back(&track);
  if (lines.size() < least_printed_lines) return 0;
  for (const GuideTrack* line : lines) subtract(*line, strips, ink);
  return lines.size();
}

// The other direction is only looked at when one was printed: stems of letters are upright lines.
std::size_t subtract_upright(Plane<float>& ink, const std::stop_token& stop) {
  Plane<float> turned = transposed(ink);
  const Strips strips = strips_of(turned);
  if (strips.mean.width < 10) return 0;
  const std::size_t lines = subtract_printed(strips, find_guides(strips, stop), turned);
  if (lines > 0) ink = transposed(turned);
  return lines;
}

Finding finding(Point place, std::string text) {
  Finding f;
  f.what = Finding::What::guide_removed;
  f.place = place;
  f.text = std::move(text);
  return f;
}

}  // namespace

Result<GuidedInk> subtract_guides(Ink ink, Progress& progress, std::vector<Finding>& findings) {
  GuidedInk out{std::move(ink), {}};
  const Strips strips = strips_of(out.ink.ink);
  if (strips.mean.width < 10 || strips.mean.height < 30) return out;  // too narrow to tell a guide from a bar
  if (progress.stopped()) return progress.cancelled();
  const std::vector<GuideTrack> tracks = find_guides(strips, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  if (tracks.empty()) return out;
  if (std::size_t printed = subtract_printed(strips, tracks, out.ink.ink)) {
    printed += subtract_upright(out.ink.ink, progress.stop_token());
    if (progress.stopped()) return progress.cancelled();
    findings.push_back(
        finding({}, "The paper is lined or squared: its " + std::to_string(printed) + " lines were left out."));
    return out;
  }
  const double level = drawn_level(out.ink.ink, out.ink.noise);
  const std::vector<bool> drawn = drawn_strips(out.ink.ink, strips, tracks, level);
  for (const GuideTrack& track : tracks) {
    if (progress.stopped()) return progress.cancelled();
    if (!is_guide(track, drawn, level)) continue;
    subtract(track, strips, out.ink.ink);
    // Page coordinates: y + .5 = at_zero + slope (x - .5) + .5.
    out.guides.push_back({track.at_zero_px + .5 - .5 * track.slope, track.slope});
    findings.push_back(finding({0, out.guides.back().y0_px}, "A ruled line across the sheet was left out."));
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
