#include "shapes/height_map.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// The height of a line in this patch: the 60 % quantile of what is over a quarter of the highest crest.
double typical_level(const cv::Mat1f& height) {
  double highest = 0;
  cv::minMaxLoc(height, nullptr, &highest);
  std::vector<float> values;
  for (const float v : all_values(height))
    if (v > 0.25 * highest) values.push_back(v);
  return quantile(std::move(values), 0.6);
}

}  // namespace

HeightMap height_map_of(const Ink& ink, const Patches& patches, const Patch& patch, double smoothing,
                        const std::stop_token& stop) {
  HeightMap map;
  const double band_px = patch.measure.band_px;
  map.box = grown(patch.box, int(std::ceil(band_px)) + 4, ink.ink.width, ink.ink.height);
  map.reduce = std::max(1, int(band_px / 6));
  const Plane<float> own = ink_of_patch(ink, patches, patch, map.box);
  if (stop.stop_requested()) return map;
  const int right = (map.reduce - map.box.width % map.reduce) % map.reduce,
            below = (map.reduce - map.box.height % map.reduce) % map.reduce;
  cv::Mat1f copy;
  cv::copyMakeBorder(as_mat(own), copy, 0, below, 0, right, cv::BORDER_CONSTANT, 0);
  cv::resize(copy, copy, {copy.cols / map.reduce, copy.rows / map.reduce}, 0, 0, cv::INTER_AREA);
  constexpr int rim = HeightMap::rim;
  cv::copyMakeBorder(copy, copy, rim, rim, rim, rim, cv::BORDER_CONSTANT, 0);
  if (stop.stop_requested()) return map;
  copy = gauss(copy, std::max(smoothing * band_px / map.reduce, 0.5));
  if (stop.stop_requested()) return map;
  map.height = Plane<float>(copy.cols, copy.rows);
  copy.copyTo(as_mat(map.height));
  map.band_px = band_px / map.reduce;
  if (!stop.stop_requested()) map.level = typical_level(copy);
  return map;
}

}  // namespace batten
