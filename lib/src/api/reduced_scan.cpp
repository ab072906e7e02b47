#include "api/reduced_scan.h"

#include <opencv2/imgproc.hpp>

#include "base/plane_cv.h"

namespace batten {

int largest_reduction(double width_px, double height_px) {
  constexpr double most_px2 = 12e6;
  int reduction = 1;
  while (width_px * height_px > most_px2 * reduction * reduction) reduction *= 2;
  return reduction;
}

Options reduced(const Options& options, int reduction) {
  Options out = options;
  const double scale = 1. / reduction;
  if (out.tolerance_px) *out.tolerance_px *= scale;
  for (Pin& pin : out.pins)
    for (Point& p : pin.places) p = scale * p;
  return out;
}

bool is_broad_enough(const Ink& ink, const Patches& patches) {
  if (is_crisp_scan(ink.noise)) return false;
  constexpr double least_px = 8, most_share = 0.05;
  double all_px2 = 0, thin_px2 = 0;
  for (const Patch& p : patches.patches) {
    all_px2 += p.measure.area_px2;
    if (p.kind == Kind::filled || p.measure.typical_px < least_px) thin_px2 += p.measure.area_px2;
  }
  return all_px2 > 0 && thin_px2 <= most_share * all_px2;
}

Loops enlarged(Loops loops, int reduction, int width, int height) {
  loops.reduction = reduction;
  if (reduction == 1) return loops;
  const double by = reduction;
  for (Loop& loop : loops.loops) {
    for (Point& p : loop.points) p = by * p;
    for (double* px : {&loop.sigma_px, &loop.band_px, &loop.rounding_px, &loop.correlation_px}) *px *= by;
    if (loop.known_sigma_px) *loop.known_sigma_px *= by;
  }
  for (Guide& guide : loops.guides) guide.y0_px *= by;
  // Planes name pixel centres, and so does cv::resize: the same place of the sheet keeps its ink.
  const Plane<float> small = std::move(loops.ink);
  loops.ink = Plane<float>(width, height);
  cv::Mat1f ink = as_mat(loops.ink);
  cv::Mat1f whole = small.width * reduction == width && small.height * reduction == height ? ink : cv::Mat1f();
  cv::resize(as_mat(small), whole, {}, by, by, cv::INTER_LINEAR);
  if (whole.data != ink.data) whole(cv::Rect(0, 0, width, height)).copyTo(ink);
  return loops;
}

void enlarge(int reduction, std::vector<Finding>* findings) {
  for (Finding& f : *findings) f.place = double(reduction) * f.place, f.amount_px *= reduction;
}

}  // namespace batten
