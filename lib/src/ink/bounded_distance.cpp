#include "ink/bounded_distance.h"

#include <algorithm>
#include <opencv2/imgproc.hpp>

#include "base/parallel.h"

namespace batten {

cv::Mat1f distance_to(const cv::Mat1b& zero_there, const Reach& reach) {
  constexpr int strip = 512;
  cv::Mat1f out(zero_there.size());
  const auto measure = [&](std::size_t i) {
    if (reach.stop.stop_requested()) return;
    const int y = int(i) * strip;
    const cv::Range own(y, std::min(y + strip, out.rows)),
        seen(std::max(0, y - reach.px), std::min(own.end + reach.px, out.rows));
    cv::Mat1f distance;
    cv::distanceTransform(zero_there.rowRange(seen) == 0, distance, cv::DIST_L2, 5);
    distance.rowRange(own.start - seen.start, own.end - seen.start).copyTo(out.rowRange(own));
  };
  share_out(std::size_t((out.rows + strip - 1) / strip), reach.threads, measure, [](std::size_t) {});
  return out;
}

cv::Mat1b opened(const cv::Mat1f& to_ink, double radius_px, const Reach& reach) {
  const cv::Mat1b eroded = to_ink > radius_px;
  if (reach.stop.stop_requested() || cv::countNonZero(eroded) == 0) return cv::Mat1b(to_ink.size(), std::uint8_t(0));
  return distance_to(eroded, reach) <= radius_px;
}

cv::Mat1b ridge_of(const cv::Mat1b& mask, const cv::Mat1f& depth) {
  cv::Mat1f highest;
  cv::dilate(depth, highest, cv::Mat());
  return mask & (depth >= highest);
}

}  // namespace batten
