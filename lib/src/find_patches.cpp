#include "find_patches.h"

#include <cmath>

#include "fill_contrast.h"
#include "plane_cv.h"

namespace batten {
namespace {

// Graphite and paper have a grain of about a pixel at 300 dpi; pictures without noise need no smoothing to see the ink.
double smoothing_for(double noise) { return noise < .004 ? .6 : 1.2; }

// Upper quartile of smoothed ink above the threshold, from a histogram.
double sheet_top(const cv::Mat1f& smooth, double threshold) {
  std::vector<std::int64_t> bins(1024, 0);
  std::int64_t total = 0;
  for (const float v : smooth)
    if (v > threshold) ++bins[std::size_t(std::clamp(int(v * 1000), 0, 1023))], ++total;
  std::int64_t seen = 0;
  for (std::size_t i = 0; i < bins.size(); ++i)
    if ((seen += bins[i]) >= .75 * double(total)) return double(i) / 1000;
  return 0;
}

struct Components {
  cv::Mat1i labels;
  std::vector<Box> boxes;  // [0] is unused
};

Components components_of(const cv::Mat1b& mask) {
  Components c;
  cv::Mat stats, centres;
  const int n = cv::connectedComponentsWithStats(mask, c.labels, stats, centres, 8, CV_32S);
  for (int i = 0; i < n; ++i)
    c.boxes.push_back({stats.at<int>(i, cv::CC_STAT_LEFT), stats.at<int>(i, cv::CC_STAT_TOP),
                       stats.at<int>(i, cv::CC_STAT_WIDTH), stats.at<int>(i, cv::CC_STAT_HEIGHT)});
  return c;
}

Plane<float> masked_crop(const Plane<float>& ink, const cv::Mat1i& labels, int label, Box box) {
  Plane<float> out(box.width, box.height);
  for (int y = 0; y < box.height; ++y)
    for (int x = 0; x < box.width; ++x)
      if (labels(box.y + y, box.x + x) == label) out.at(x, y) = ink.at(box.x + x, box.y + y);
  return out;
}

Kind kind_of(const PatchMeasure& m, double noise, Options::DrawingKind asked) {
  if (asked == Options::DrawingKind::outlined) return Kind::outlined;
  if (asked == Options::DrawingKind::filled) return Kind::filled;
  if (is_crisp(m, noise)) return Kind::filled;
  return m.edge_over_thickness < .09 ? Kind::filled : Kind::outlined;
}

}  // namespace

Box grown(Box box, int margin_px, int width, int height) {
  const int x0 = std::max(0, box.x - margin_px), y0 = std::max(0, box.y - margin_px);
  const int x1 = std::min(width, box.x + box.width + margin_px), y1 = std::min(height, box.y + box.height + margin_px);
  return {x0, y0, x1 - x0, y1 - y0};
}

Plane<float> ink_of_patch(const Ink& ink, const Patches& patches, const Patch& patch, Box box) {
  return masked_crop(ink.ink, as_mat(patches.labels), patch.label, box);
}

Result<Patches> find_patches(const Ink& ink, const Options& options, Progress& progress,
                             std::vector<Finding>& findings) {
  (void)findings;
  const double smoothing = smoothing_for(ink.noise);
  const cv::Mat1f smooth = gauss(as_mat(ink.ink), smoothing);
  if (progress.stopped()) return progress.cancelled();
  const double threshold = ink_threshold(ink.noise), top = sheet_top(smooth, threshold);
  Patches out;
  if (top <= 0) return out;
  cv::Mat1b mask = smooth > std::max(.12 * top, threshold);
  cv::dilate(mask, mask, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  Components c = components_of(mask);
  if (progress.stopped()) return progress.cancelled();
  out.labels = Plane<std::int32_t>(ink.ink.width, ink.ink.height);
  c.labels.copyTo(as_mat(out.labels));
  for (std::size_t i = 1; i < c.boxes.size(); ++i) {
    if (progress.stopped()) return progress.cancelled();
    if (c.boxes[i].longest() < 12) continue;
    Patch p{int(i), c.boxes[i], Kind::outlined, {}};
    p.measure = measure_patch(masked_crop(ink.ink, c.labels, p.label, grown(p.box, 4, ink.ink.width, ink.ink.height)),
                              ink.noise, smoothing);
    p.kind = kind_of(p.measure, ink.noise, options.drawing);
    out.patches.push_back(p);
  }
  progress.advance(1);
  return out;
}

}  // namespace batten
