#include "shapes/height_map.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// 60 % quantile of what is over a quarter of the highest crest: the height of a line in this patch.
double typical_level(const cv::Mat1f& height) {
  double highest = 0;
  cv::minMaxLoc(height, nullptr, &highest);
  std::vector<float> values;
  for (const float v : height)
    if (v > 0.25 * highest) values.push_back(v);
  return quantile(std::move(values), 0.6);
}

}  // namespace

HeightMap relief_of(const Ink& ink, const Patches& patches, const Patch& patch, double smoothing,
                    const std::stop_token& stop) {
  HeightMap r;
  const double band_px = patch.measure.band_px;
  r.box = grown(patch.box, int(std::ceil(band_px)) + 4, ink.ink.width, ink.ink.height);
  r.reduce = std::max(1, int(band_px / 6));
  const Plane<float> own = ink_of_patch(ink, patches, patch, r.box);
  if (stop.stop_requested()) return r;
  const int right = (r.reduce - r.box.width % r.reduce) % r.reduce,
            below = (r.reduce - r.box.height % r.reduce) % r.reduce;
  cv::Mat1f copy;
  cv::copyMakeBorder(as_mat(own), copy, 0, below, 0, right, cv::BORDER_CONSTANT, 0);
  cv::resize(copy, copy, {copy.cols / r.reduce, copy.rows / r.reduce}, 0, 0, cv::INTER_AREA);
  cv::copyMakeBorder(copy, copy, HeightMap::rim, HeightMap::rim, HeightMap::rim, HeightMap::rim, cv::BORDER_CONSTANT,
                     0);
  if (stop.stop_requested()) return r;
  copy = gauss(copy, std::max(smoothing * band_px / r.reduce, 0.5));
  if (stop.stop_requested()) return r;
  r.height = Plane<float>(copy.cols, copy.rows);
  copy.copyTo(as_mat(r.height));
  r.band_px = band_px / r.reduce;
  if (!stop.stop_requested()) r.level = typical_level(copy);
  return r;
}

}  // namespace batten
