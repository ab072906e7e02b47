#include "shapes/fill_contrast.h"

#include "base/plane_cv.h"

namespace batten {
namespace {

// The mean of the marked ink near each place (standard deviation near_px), from farther away where none is near.
cv::Mat1f local_level(const cv::Mat1f& ink, const cv::Mat1b& where, double near_px, double fallback) {
  cv::Mat1f weight, level(ink.size(), float(fallback));
  where.convertTo(weight, CV_32F, 1. / 255);
  for (const double sigma_px : {16., near_px}) {
    const MaskedMean near = masked_mean(ink, weight, sigma_px);
    for (int y = 0; y < ink.rows; ++y)
      for (int x = 0; x < ink.cols; ++x) {
        // Two per cent of the window is two pixels at 4 px and eight at 8 px: the least that says anything about the
        // level.
        const float trust = std::min(1.f, near.weight(y, x) / 0.02f);
        if (near.weight(y, x) > 1e-4f) level(y, x) += trust * (near.mean(y, x) - level(y, x));
      }
  }
  return level;
}

}  // namespace

Plane<float> fill_contrast(const Plane<float>& ink, const PatchMeasure& measure) {
  const bool crisp = measure.crisp;
  const cv::Mat1f k = as_mat(ink), smooth = gauss(k, crisp ? 0.5 : 1);
  // Rough inside: over half of the level of the ink. Levels are taken clear of the slope of the edge, ink 2 px in,
  // paper 4 px off, beyond any firmed edge or halo of the scanner. In graphite only the rim counts: it is firmed in
  // some places and thin in others, and the edge lies half-way to that, whatever the inside is like (rms 4 % less on
  // shaded letters, 10 % less on photographs of them). The rim is narrow, so that its level needs a longer stretch.
  cv::Mat1b inside = gauss(k, crisp ? 0.6 : 2) > 0.5 * measure.top, core, paper;
  const auto disc = [](int r) { return cv::getStructuringElement(cv::MORPH_ELLIPSE, {2 * r + 1, 2 * r + 1}); };
  cv::erode(inside, core, disc(2));
  if (!crisp) {
    cv::Mat1b deep;
    cv::erode(inside, deep, disc(3));
    core -= deep;
  }
  cv::dilate(inside, paper, disc(4));
  cv::bitwise_not(paper, paper);
  const double near_px = crisp ? 4 : 8;
  const cv::Mat1f ci = local_level(k, core, near_px, measure.top), cp = local_level(k, paper, near_px, 0);
  Plane<float> out(ink.width, ink.height);
  for (int y = 0; y < ink.height; ++y)
    for (int x = 0; x < ink.width; ++x) {
      const float range = std::max(ci(y, x) - cp(y, x), 0.25f * float(measure.top));
      out.at(x, y) = (smooth(y, x) - cp(y, x)) / range - 0.5f;
    }
  return out;
}

}  // namespace batten
