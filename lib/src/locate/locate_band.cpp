#include "locate/locate_band.h"

#include <cmath>
#include <cstdint>

#include "base/parallel.h"
#include "base/plane_cv.h"
#include "base/weighted_middle.h"
#include "locate/follow_strokes.h"
#include "locate/profile.h"

namespace batten {
namespace {

// Which loop is nearest to each pixel, and where along it.
struct NearestLoop {
  struct LoopPixel {
    int loop = -1;
    float along = 0;  // 0..1 of its length
  };
  cv::Mat1i nearest;              // index of the nearest of those pixels; -1: none is near
  std::vector<LoopPixel> pixels;  // those that loops run through

  // In strips of rows, so that a stop is heard between them, each with the rows that can matter beside it: what is
  // asked about lies within 1.6 W of a loop, and that moves by less than W in each of three rounds.
  NearestLoop(const std::vector<Polyline>& loops, int width, int height, double band_px, const std::stop_token& stop)
      : nearest(height, width, -1) {
    Plane<std::int32_t> marked(width, height, -1);
    for (std::size_t j = 0; j < loops.size(); ++j)
      for (std::size_t i = 0; i < loops[j].size(); ++i) {
        const int x = int(std::lround(loops[j][i].x)), y = int(std::lround(loops[j][i].y));
        if (x < 0 || y < 0 || x >= width || y >= height) continue;
        marked.at(x, y) = int(pixels.size());
        pixels.push_back({int(j), float(double(i) / double(loops[j].size()))});
      }
    constexpr int strip_px = 1024;
    const int beside = int(std::ceil(6 * band_px));
    for (int y = 0; y < height && !stop.stop_requested(); y += strip_px)
      find_nearest(as_mat(marked), {y, std::min(y + strip_px, height)},
                   {std::max(0, y - beside), std::min(y + strip_px + beside, height)});
  }
  void find_nearest(const cv::Mat1i& marked, cv::Range own, cv::Range seen) {
    const cv::Mat1i near = marked.rowRange(seen);
    const cv::Mat1b free = near < 0;
    if (cv::countNonZero(free) == int(free.total())) return;
    cv::Mat1f distance;
    cv::Mat1i label;
    cv::distanceTransform(free, distance, label, cv::DIST_L2, 5, cv::DIST_LABEL_PIXEL);
    std::vector<std::int32_t> of_label;
    for (int y = 0; y < near.rows; ++y)
      for (int x = 0; x < near.cols; ++x) {
        if (near(y, x) < 0) continue;
        const std::size_t number = std::size_t(label(y, x));
        if (number >= of_label.size()) of_label.resize(number + 1, -1);
        of_label[number] = near(y, x);
      }
    for (int y = own.start; y < own.end; ++y)
      for (int x = 0; x < near.cols; ++x) nearest(y, x) = of_label[std::size_t(label(y - seen.start, x))];
  }
  bool belongs(Point p, int loop, double along, double slack) const {
    const int x = std::clamp(int(p.x + 0.5), 0, nearest.cols - 1), y = std::clamp(int(p.y + 0.5), 0, nearest.rows - 1);
    if (nearest(y, x) < 0) return false;
    const LoopPixel& place = pixels[nearest(y, x)];
    if (place.loop != loop) return false;
    const double apart = std::abs(place.along - along);
    return std::min(apart, 1 - apart) <= slack;
  }
};

// Clears the profiles outside the connected run round the loop that is nearer to this place than to any other stretch.
void cut_neighbours(const Polyline& loop, const Polyline& out, const NearestLoop& map, int which, double slack,
                    Profiles* profiles) {
  Profiles& p = *profiles;
  for (int i = 0; i < p.values.height; ++i) {
    float* row = p.values.row(i);
    const double along = double(i) / double(loop.size());
    for (const int sign : {-1, 1})
      for (int j = p.half + sign, cut = 0; j >= 0 && j < p.values.width; j += sign) {
        if (!cut && !map.belongs(loop[i] + p.offset(j) * out[i], which, along, slack)) cut = 1;
        if (cut) row[j] = 0;
      }
  }
}

Polyline one_round(const Polyline& loop, const Plane<float>& ink, const BandSettings& s, const NearestLoop& map,
                   int which, bool follow) {
  const Polyline out = normals(smooth_ring(loop, 0.15 * s.band_px));
  Profiles p = profiles_across(ink, loop, out, 1.6 * s.band_px, std::max(0.4, s.band_px / 24));
  for (float& v : p.values.values) v = std::max(0.f, v - float(2 * s.noise));
  cut_neighbours(loop, out, map, which, 2 * s.band_px / double(loop.size()), &p);
  const std::vector<double> slopes = follow ? stroke_slopes(p, 1, 0.25 * s.band_px) : std::vector<double>{};
  average_along(s.band_px, &p.values);
  std::vector<double> shift(loop.size());
  const WeightedMiddle middle_of(p.values.width, p.offset(0), p.offset(1) - p.offset(0), 0.72 * s.band_px);
  for (std::size_t i = 0; i < loop.size(); ++i) shift[i] = middle_of(p.values.row(int(i)));
  if (follow) {
    const std::vector<double> linked = links_along(normals(smooth_ring(loop, 0.3 * s.band_px)), s.band_px);
    std::vector<double> followed = follow_slopes(shift, slopes, linked, 1, follow_widths * s.band_px);
    if (rms_difference(followed, shift, linked) > one_stroke_widths * s.band_px) shift = std::move(followed);
  }
  shift = smooth_ring(shift, 0.5 * s.band_px);
  Polyline moved = loop;
  for (std::size_t i = 0; i < loop.size(); ++i) moved[i] = moved[i] + shift[i] * out[i];
  return evenly_spaced(moved, 1);
}

}  // namespace

std::vector<Polyline> locate_bands(const std::vector<Polyline>& rough, const Plane<float>& ink,
                                   const BandSettings& settings, const std::stop_token& stop, int threads) {
  std::vector<Polyline> loops;
  for (const Polyline& r : rough)
    loops.push_back(evenly_spaced(smooth_ring(evenly_spaced(r, 1), 0.5 * settings.band_px), 1));
  const NearestLoop map(loops, ink.width, ink.height, settings.band_px, stop);
  if (stop.stop_requested()) return loops;
  std::vector<double> lengths;
  for (const Polyline& loop : loops) lengths.push_back(double(loop.size()));
  const auto locate = [&](std::size_t j) {
    for (int round = 0; round < 3 && !stop.stop_requested(); ++round)
      loops[j] = one_round(loops[j], ink, settings, map, int(j), round > 0);
  };
  share_out_by_size(lengths, threads, locate, [](std::size_t) {});
  return loops;
}

}  // namespace batten
