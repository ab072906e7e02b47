#include "locate/profile.h"

#include <cmath>

#include "base/plane_cv.h"

namespace batten {

Profiles profiles_across(const Plane<float>& plane, const Polyline& loop, const Polyline& normals, double reach_px,
                         double step_px) {
  Profiles out;
  out.step_px = step_px;
  out.half = std::max(1, int(std::ceil(reach_px / step_px)));
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

void average_along(Plane<float>& rows, double sigma_rows) {
  const int reach = int(std::ceil(3 * sigma_rows));
  if (sigma_rows < 0.3 || rows.height < 3) return;
  const cv::Mat1f in = as_mat(rows);
  cv::Mat1f wrapped(rows.height + 2 * reach, rows.width);
  for (int y = 0; y < wrapped.rows; ++y)
    in.row(((y - reach) % rows.height + rows.height) % rows.height).copyTo(wrapped.row(y));
  cv::GaussianBlur(wrapped, wrapped, {1, 2 * reach + 1}, 1e-3, sigma_rows, cv::BORDER_REPLICATE);
  wrapped.rowRange(reach, reach + rows.height).copyTo(as_mat(rows));
}

}  // namespace batten
