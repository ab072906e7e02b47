#include "ink/subtract_guides.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/pixel_grid.h"
#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/find_guides.h"
#include "ink/line_profile.h"
#include "ink/measure_patch.h"
#include "ink/subtract_print.h"

namespace batten {
namespace {

// How dark what was drawn is: the upper quartile of the smoothed ink.
double drawn_level(const Plane<float>& ink, double noise, const std::stop_token& stop) {
  const cv::Mat1f smooth = gauss(as_mat(ink), 1.2);
  if (stop.stop_requested()) return 0;
  std::vector<float> values;
  for (const float v : all_values(smooth))
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

}  // namespace

Result<GuidedInk> subtract_guides(Ink ink, const Progress& progress, std::vector<Finding>* findings) {
  GuidedInk out{std::move(ink), {}};
  const Strips strips = strips_of(out.ink.ink);
  if (strips.mean.width < 10 || strips.mean.height < 30) return out;  // too narrow to tell a guide from a bar
  if (progress.stopped()) return progress.cancelled();
  const std::vector<GuideTrack> tracks = find_guides(strips, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  const std::size_t printed = subtract_print(strips, tracks, out.ink.noise, progress.stop_token(), &out.ink.ink);
  if (progress.stopped()) return progress.cancelled();
  if (printed > 0) {
    findings->push_back(
        {.what = Finding::What::guide_removed,
         .text = "The paper is lined or squared: its " + std::to_string(printed) + " lines were left out."});
    return out;
  }
  if (tracks.empty()) return out;
  const double level = drawn_level(out.ink.ink, out.ink.noise, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  const std::vector<bool> drawn = drawn_strips(out.ink.ink, strips, tracks, level);
  for (const GuideTrack& track : tracks) {
    if (progress.stopped()) return progress.cancelled();
    if (!is_guide(track, drawn, level)) continue;
    subtract_line(track, profile_of({&track}, strips, out.ink.ink, true), strips, out.ink.noise, &out.ink.ink);
    out.guides.push_back(page_guide(track.at_zero_px, track.slope));
    findings->push_back({.what = Finding::What::guide_removed,
                         .place = {0, out.guides.back().y0_px},
                         .text = "A ruled line across the sheet was left out."});
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
