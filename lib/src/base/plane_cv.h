#pragma once
// Planes seen as OpenCV matrices, without copying. Only pixel sources (*.cpp) include this.

#include <opencv2/core.hpp>
#include <opencv2/imgproc.hpp>
#include <span>

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

/// All values of a matrix that lies in one piece, row by row: iterators of OpenCV take five times as long.
template <class T>
std::span<const T> all_values(const cv::Mat_<T>& m) {
  CV_Assert(m.isContinuous());
  return {m.template ptr<T>(), m.total()};
}

/// The values where a mask is on, row by row.
inline std::vector<float> values_at(const cv::Mat1f& values, const cv::Mat1b& where) {
  std::vector<float> out;
  for (int y = 0; y < values.rows; ++y) {
    const float* value = values[y];
    const std::uint8_t* on = where[y];
    for (int x = 0; x < values.cols; ++x)
      if (on[x]) out.push_back(value[x]);
  }
  return out;
}

/// The connected pieces of a mask; what is off has label 0. OpenCV's own statistics take ten times as long, for centres
/// that nobody asks about.
struct MaskPieces {
  cv::Mat1i labels;
  std::vector<PixelBox> boxes;  ///< by label
  std::vector<int> areas_px2;   ///< by label
  int count() const { return int(boxes.size()); }
};

inline MaskPieces connected_pieces(const cv::Mat1b& mask, int connectivity) {
  MaskPieces out;
  const std::size_t count = std::size_t(cv::connectedComponents(mask, out.labels, connectivity, CV_32S));
  out.boxes.resize(count), out.areas_px2.resize(count);
  for (int y = 0; y < mask.rows; ++y) {
    const int* row = out.labels[y];
    for (int x = 0, first = 0; x < mask.cols; first = x) {
      while (x < mask.cols && row[x] == row[first]) ++x;
      const std::size_t label = std::size_t(row[first]);
      out.boxes[label].add({first, y, x - first, 1}), out.areas_px2[label] += x - first;
    }
  }
  return out;
}

inline cv::Rect as_rect(const PixelBox& box) { return {box.x, box.y, box.width, box.height}; }

/// The mean of the values near each place where they have weight, and how much weight there is (0..1).
struct MaskedMean {
  cv::Mat1f mean, weight;
};

/// Gauss(values * weight) / Gauss(weight), on a reduced copy where the window is wide.
inline MaskedMean masked_mean(const cv::Mat1f& values, const cv::Mat1f& weight, double sigma_px) {
  const int reduce = std::max(1, int(sigma_px / 4));
  const cv::Size size(std::max(1, values.cols / reduce), std::max(1, values.rows / reduce));
  const auto blurred = [&](cv::Mat1f in) {
    cv::resize(in, in, size, 0, 0, cv::INTER_AREA);
    in = gauss(in, sigma_px / reduce);
    cv::resize(in, in, values.size(), 0, 0, cv::INTER_LINEAR);
    return in;
  };
  const cv::Mat1f top = blurred(values.mul(weight)), bottom = blurred(weight);
  return {top / cv::max(bottom, 1e-6f), bottom};
}

}  // namespace batten
