#include "ink/separate_ink.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/estimate_paper.h"
#include "ink/find_shade.h"
#include "ink/find_sheet.h"
#include "ink/paper_in_shade.h"

namespace batten {
namespace {

// Rounding to eight bits alone scatters by 1/(255 sqrt(12)): no picture is less noisy than this.
constexpr double least_noise = 0.0011;

// The ink of bare paper, at some 200 000 pixels. What was not read has no grain.
std::vector<float> bare_values(const Plane<float>& ink, const Paper& paper, const Plane<std::uint8_t>& unread) {
  const int step = std::max(1, int(std::sqrt(double(ink.values.size()) / 200000)));
  std::vector<float> out;
  for (int y = step / 2; y < ink.height; y += step)
    for (int x = step / 2; x < ink.width; x += step) {
      const int px = x * paper.near_ink.width / ink.width, py = y * paper.near_ink.height / ink.height;
      if (!paper.near_ink.at(px, py) && (unread.empty() || !unread.at(x, y))) out.push_back(ink.at(x, y));
    }
  return out;
}

// What of a picture is paper.
struct Grounds {
  Plane<std::uint8_t> no_sheet;
  Plane<Ground> shade;
};

// How bright the bare paper is at each pixel, and the estimate that this comes from.
struct FullPaper {
  Plane<float> brightness;
  Paper estimate;
};

// Cut short when asked to stop.
FullPaper paper_of(const Plane<float>& grey, const Grounds& grounds, const std::stop_token& stop) {
  if (!grounds.shade.empty()) {
    ShadedPaper paper = paper_in_shade(grey, grounds.shade, grounds.no_sheet, stop);
    // The shadow is paper as well.
    paper.lit.unreliable = grounds.no_sheet;
    return {std::move(paper.brightness), std::move(paper.lit)};
  }
  FullPaper out{{}, estimate_paper(grey, grounds.no_sheet, stop)};
  if (stop.stop_requested()) return out;
  out.brightness = Plane<float>(grey.width, grey.height);
  cv::Mat1f full = as_mat(out.brightness);
  cv::resize(as_mat(out.estimate.brightness), full, full.size(), 0, 0, cv::INTER_LINEAR);
  return out;
}

// When asked to stop it returns soon, and what it returns is to be thrown away.
Ink ink_of(const Plane<float>& grey, const Grounds& grounds, const Plane<std::uint8_t>& unread,
           const std::stop_token& stop) {
  FullPaper paper = paper_of(grey, grounds, stop);
  if (stop.stop_requested()) return {};
  Ink out{std::move(paper.brightness), 0};
  for (std::size_t i = 0; i < grey.values.size(); ++i) out.ink.values[i] = 1 - grey.values[i] / out.ink.values[i];
  if (stop.stop_requested()) return {};
  std::vector<float> bare = bare_values(out.ink, paper.estimate, unread);
  const float level = median(bare);
  for (float& k : out.ink.values) k -= level;
  for (float& v : bare) v = std::abs(v - level);
  if (stop.stop_requested()) return {};
  out.noise = std::max(1.4826 * median(std::move(bare)), least_noise);
  const Plane<std::uint8_t>& unreliable = paper.estimate.unreliable;
  if (std::any_of(unreliable.values.begin(), unreliable.values.end(), [](std::uint8_t u) { return u != 0; })) {
    std::vector<int> column;  // of each pixel in the copy
    for (int x = 0; x < grey.width; ++x) column.push_back(x * unreliable.width / grey.width);
    for (int y = 0; y < grey.height; ++y) {
      const std::uint8_t* leave_out = unreliable.row(y * unreliable.height / grey.height);
      for (int x = 0; x < grey.width; ++x)
        if (leave_out[column[std::size_t(x)]]) out.ink.at(x, y) = 0;
    }
  }
  for (std::size_t i = 0; i < unread.values.size(); ++i)
    if (unread.values[i]) out.ink.values[i] = 0;
  return out;
}

// The pixels of a kind, from every third of the ink: how many they are, as a share of all, and how dark.
struct PixelShare {
  double darkness = 0;  // their upper quartile
  double share = 0;
};
template <class Where>
PixelShare share_of(const Plane<float>& ink, Where where) {
  std::vector<float> values;
  std::size_t seen = 0;
  for (std::size_t i = 0; i < ink.values.size(); i += 3, ++seen)
    if (where(i)) values.push_back(ink.values[i]);
  const double share = double(values.size()) / double(std::max<std::size_t>(seen, 1));
  return {quantile(std::move(values), 0.75), share};
}

// Coloured guides (light blue and the like) vanish in the brightest of the three samples; graphite does not. They are
// guides when graphite was drawn as well and is darker by half; otherwise the colour is the drawing.
bool colour_is_guides(const Ink& grey, const Ink& brightest) {
  const float least = float(std::max(5 * grey.noise, 0.05));
  const auto coloured = [&](std::size_t i) {
    return grey.ink.values[i] > least && brightest.ink.values[i] < 0.5f * grey.ink.values[i];
  };
  const auto neutral = [&](std::size_t i) {
    return brightest.ink.values[i] > least && brightest.ink.values[i] > 0.75f * grey.ink.values[i];
  };
  const PixelShare colour = share_of(grey.ink, coloured), graphite = share_of(grey.ink, neutral);
  return colour.share > 0.001 && graphite.share > 0.001 && graphite.darkness > 1.5 * colour.darkness;
}

}  // namespace

Result<Ink> separate_ink(const Scan& scan, const Progress& progress) {
  if (progress.stopped()) return progress.cancelled();
  Grounds grounds;
  const Look look = look_at(scan.copy);
  if (progress.stopped()) return progress.cancelled();
  grounds.no_sheet = find_no_sheet(look, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  grounds.shade = find_shade(scan, look, grounds.no_sheet, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  Ink ink = ink_of(scan.grey, grounds, scan.unread, progress.stop_token());
  if (!scan.brightest.empty()) {
    progress.advance(0.5);
    if (progress.stopped()) return progress.cancelled();
    Ink without_colour = ink_of(scan.brightest, grounds, scan.unread, progress.stop_token());
    if (progress.stopped()) return progress.cancelled();
    if (colour_is_guides(ink, without_colour)) ink = std::move(without_colour);
  }
  if (progress.stopped()) return progress.cancelled();
  ink.holes = find_holes(ink.ink, grounds.no_sheet, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  progress.advance(1);
  return ink;
}

}  // namespace batten
