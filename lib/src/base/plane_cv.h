#pragma once
// Planes seen as OpenCV matrices, without copying. Only pixel sources (*.cpp) include this.

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>

#include "base/plane.h"

namespace batten {

template <class T>
cv::Mat_<T> as_mat(Plane<T>& p) {
  return cv::Mat_<T>(p.height, p.width, p.values.data());
}
/// For reading only: OpenCV has no matrix of constants.
template <class T>
const cv::Mat_<T> as_mat(const Plane<T>& p) {
  return cv::Mat_<T>(p.height, p.width, const_cast<T*>(p.values.data()));
}

/// Gaussian of standard deviation sigma_px; the edge pixels are repeated outside. 3.5 sigma of kernel leave out 0.05 %.
inline cv::Mat1f gauss(const cv::Mat& in, double sigma_px) {
  cv::Mat1f out;
  const int size = 2 * std::max(1, cvRound(3.5 * sigma_px)) + 1;
  cv::GaussianBlur(in, out, {size, size}, sigma_px, sigma_px, cv::BORDER_REPLICATE);
  return out;
}

}  // namespace batten
