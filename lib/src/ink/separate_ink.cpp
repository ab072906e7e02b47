#include "ink/separate_ink.h"

#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"
#include "ink/estimate_paper.h"
#include "ink/find_sheet.h"

namespace batten {
namespace {

// Rounding to eight bits alone scatters by 1/(255 sqrt(12)): no picture is less noisy than this.
constexpr double least_noise = 0.0011;

// The ink of bare paper, at some 200 000 pixels.
std::vector<float> bare_values(const Plane<float>& ink, const Paper& paper) {
  const int step = std::max(1, int(std::sqrt(double(ink.values.size()) / 200000)));
  std::vector<float> out;
  for (int y = step / 2; y < ink.height; y += step)
    for (int x = step / 2; x < ink.width; x += step) {
      const int px = x * paper.near_ink.width / ink.width, py = y * paper.near_ink.height / ink.height;
      if (!paper.near_ink.at(px, py)) out.push_back(ink.at(x, y));
    }
  return out;
}

// When asked to stop it returns soon, and what it returns is to be thrown away.
Ink ink_of(const Plane<float>& grey, const Plane<std::uint8_t>& no_sheet, const std::stop_token& stop) {
  const Paper paper = estimate_paper(grey, no_sheet, stop);
  if (stop.stop_requested()) return {};
  Ink out{Plane<float>(grey.width, grey.height), 0};
  cv::Mat1f full;
  cv::resize(as_mat(paper.brightness), full, {grey.width, grey.height}, 0, 0, cv::INTER_LINEAR);
  if (stop.stop_requested()) return {};
  for (int y = 0; y < grey.height; ++y) {
    const float *g = grey.row(y), *p = full[y];
    float* k = out.ink.row(y);
    for (int x = 0; x < grey.width; ++x) k[x] = 1 - g[x] / p[x];
  }
  if (stop.stop_requested()) return {};
  std::vector<float> bare = bare_values(out.ink, paper);
  const float level = median(bare);
  for (float& k : out.ink.values) k -= level;
  for (float& v : bare) v = std::abs(v - level);
  if (stop.stop_requested()) return {};
  out.noise = std::max(1.4826 * median(std::move(bare)), least_noise);
  for (int y = 0; y < grey.height; ++y)
    for (int x = 0; x < grey.width; ++x)
      if (paper.unreliable.at(x * paper.unreliable.width / grey.width, y * paper.unreliable.height / grey.height))
        out.ink.at(x, y) = 0;
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
  const Plane<std::uint8_t> no_sheet = find_no_sheet(scan, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  Ink ink = ink_of(scan.grey, no_sheet, progress.stop_token());
  if (!scan.brightest.empty()) {
    progress.advance(0.5);
    if (progress.stopped()) return progress.cancelled();
    Ink without_colour = ink_of(scan.brightest, no_sheet, progress.stop_token());
    if (progress.stopped()) return progress.cancelled();
    if (colour_is_guides(ink, without_colour)) ink = std::move(without_colour);
  }
  if (progress.stopped()) return progress.cancelled();
  progress.advance(1);
  return ink;
}

}  // namespace batten
