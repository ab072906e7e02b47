#include "locate/profile.h"

#include <algorithm>
#include <cmath>

#include "base/plane_cv.h"

namespace batten {

Profiles profiles_across(const Plane<float>& plane, const Polyline& loop, const Polyline& normals,
                         double half_length_px, double step_px) {
  Profiles out;
  out.step_px = step_px;
  out.half = std::max(1, int(std::ceil(half_length_px / step_px)));
  out.values = Plane<float>(2 * out.half + 1, int(loop.size()));
  for (int i = 0; i < out.values.height; ++i) {
    float* row = out.values.row(i);
    for (int j = 0; j < out.values.width; ++j) {
      const Point at = loop[i] + out.offset(j) * normals[i];
      row[j] = float(sample(plane, at.x, at.y));
    }
  }
  return out;
}

void average_along(double sigma_rows, Plane<float>* rows) {
  const int height = rows->height, rim = int(std::ceil(3 * sigma_rows));
  if (sigma_rows < 0.3 || height < 3) return;
  const cv::Mat1f in = as_mat(*rows);
  cv::Mat1f wrapped(height + 2 * rim, rows->width);
  for (int y = 0; y < wrapped.rows; ++y) {
    const float* from = rows->row(((y - rim) % height + height) % height);
    std::copy(from, from + rows->width, wrapped[y]);
  }
  cv::GaussianBlur(wrapped, wrapped, {1, 2 * rim + 1}, 1e-3, sigma_rows, cv::BORDER_REPLICATE);
  wrapped.rowRange(rim, rim + height).copyTo(in);
}

}  // namespace batten
