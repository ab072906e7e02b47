#include "locate_band.h"

#include <cmath>
#include <cstdint>

#include "parallel.h"
#include "plane_cv.h"
#include "profile.h"
#include "weighted_middle.h"

namespace batten {
namespace {

// Which loop is nearest to each pixel, and where along it.
struct NearestLoop {
  struct Place {
    int loop = -1;
    float along = 0;  // 0..1 of its length
  };
  cv::Mat1i nearest;          // number of the nearest marked pixel
  std::vector<Place> places;  // by that number

  NearestLoop(const std::vector<Polyline>& loops, int width, int height) {
    cv::Mat1b free(height, width, std::uint8_t(255));
    Plane<std::int32_t> owner(width, height, -1);
    std::vector<Place> marked;
    for (std::size_t j = 0; j < loops.size(); ++j)
      for (std::size_t i = 0; i < loops[j].size(); ++i) {
        const int x = int(std::lround(loops[j][i].x)), y = int(std::lround(loops[j][i].y));
        if (x < 0 || y < 0 || x >= width || y >= height) continue;
        free(y, x) = 0;
        owner.at(x, y) = int(marked.size());
        marked.push_back({int(j), float(double(i) / double(loops[j].size()))});
      }
    cv::Mat1f distance;
    cv::distanceTransform(free, distance, nearest, cv::DIST_L2, 5, cv::DIST_LABEL_PIXEL);
    places.resize(marked.size() + 2);
    for (int y = 0; y < height; ++y)
      for (int x = 0; x < width; ++x)
        if (owner.at(x, y) >= 0) {
          const std::size_t number = std::size_t(nearest(y, x));
          if (number >= places.size()) places.resize(number + 1);
          places[number] = marked[owner.at(x, y)];
        }
  }
  bool belongs(Point p, int loop, double along, double slack) const {
    const int x = std::clamp(int(std::lround(p.x)), 0, nearest.cols - 1);
    const int y = std::clamp(int(std::lround(p.y)), 0, nearest.rows - 1);
    const Place& place = places[std::size_t(nearest(y, x))];
    if (place.loop != loop) return false;
    const double apart = std::abs(place.along - along);
    return std::min(apart, 1 - apart) <= slack;
  }
};

// Nothing outside the connected run round the loop that is nearer to this place than to any other stretch.
void cut_neighbours(Profiles& p, const Polyline& loop, const Polyline& out, const NearestLoop& map, int which,
                    double slack) {
  for (int i = 0; i < p.values.height; ++i) {
    float* row = p.values.row(i);
    const double along = double(i) / double(loop.size());
    for (const int way : {-1, 1})
      for (int j = p.half + way, cut = 0; j >= 0 && j < p.values.width; j += way) {
        if (!cut && !map.belongs(loop[i] + p.offset(j) * out[i], which, along, slack)) cut = 1;
        if (cut) row[j] = 0;
      }
  }
}

void smooth_ring(std::vector<double>& v, double sigma_steps) {
  Polyline p(v.size());
  for (std::size_t i = 0; i < v.size(); ++i) p[i].x = v[i];
  p = smooth(p, sigma_steps);
  for (std::size_t i = 0; i < v.size(); ++i) v[i] = p[i].x;
}

Polyline one_round(const Polyline& loop, const Plane<float>& ink, const BandSettings& s, const NearestLoop& map,
                   int which) {
  const Polyline out = normals(smooth(loop, .15 * s.band_px));
  Profiles p = profiles_across(ink, loop, out, 1.6 * s.band_px, std::max(.4, s.band_px / 24));
  for (float& v : p.values.values) v = std::max(0.f, v - float(2 * s.noise));
  cut_neighbours(p, loop, out, map, which, 2 * s.band_px / double(loop.size()));
  average_along(p.values, s.band_px);
  std::vector<double> shift(loop.size());
  const WeightedMiddle middle_of(p.values.width, p.offset(0), p.offset(1) - p.offset(0), .72 * s.band_px);
  for (std::size_t i = 0; i < loop.size(); ++i) shift[i] = middle_of(p.values.row(int(i)));
  smooth_ring(shift, .5 * s.band_px);
  Polyline moved = loop;
  for (std::size_t i = 0; i < loop.size(); ++i) moved[i] = moved[i] + shift[i] * out[i];
  return resample(moved, 1);
}

}  // namespace

std::vector<Polyline> locate_bands(const std::vector<Polyline>& rough, const Plane<float>& ink,
                                   const BandSettings& settings, const std::stop_token& stop, int threads) {
  std::vector<Polyline> loops;
  for (const Polyline& r : rough) loops.push_back(resample(smooth(resample(r, 1), .5 * settings.band_px), 1));
  const NearestLoop map(loops, ink.width, ink.height);
  std::vector<double> lengths;
  for (const Polyline& loop : loops) lengths.push_back(double(loop.size()));
  const auto locate = [&](std::size_t j) {
    for (int round = 0; round < 3 && !stop.stop_requested(); ++round)
      loops[j] = one_round(loops[j], ink, settings, map, int(j));
  };
  share_out_by_size(lengths, threads, locate, [](std::size_t) {});
  return loops;
}

}  // namespace batten
