#include "ink/bounded_distance.h"

#include <algorithm>
#include <cstring>
#include <vector>

#include "base/parallel.h"
#include "base/plane_cv.h"

namespace batten {
namespace {

constexpr int strip_px = 512;  // rows between two looks at whether to stop

// A row of a mask, a bit for each pixel.
using Bits = std::vector<std::uint64_t>;

void pack(const std::uint8_t* row, int width, Bits* bits) {
  for (int x = 0; x < width; x += 64) {
    const int count = std::min(64, width - x);
    std::uint64_t word = 0;
    for (int i = 0; i < count; ++i) word |= std::uint64_t(row[x + i] != 0) << i;
    (*bits)[std::size_t(x) / 64] = word;
  }
}

void unpack(const Bits& bits, int width, std::uint8_t* row) {
  for (int x = 0; x < width; x += 64) {
    const int count = std::min(64, width - x);
    const std::uint64_t word = bits[std::size_t(x) / 64];
    if (word == 0 || word == ~std::uint64_t(0))
      std::fill_n(row + x, count, word == 0 ? 0 : 255);
    else
      for (int i = 0; i < count; ++i) row[x + i] = word >> i & 1 ? 255 : 0;
  }
}

// Each bit to either side as well. Bits beyond the row do no harm: they only lead back to where they came from.
void widen(Bits* bits) {
  std::uint64_t before = 0;
  for (std::size_t i = 0; i < bits->size(); ++i) {
    const std::uint64_t own = (*bits)[i], after = i + 1 < bits->size() ? (*bits)[i + 1] : 0;
    (*bits)[i] = own | own << 1 | own >> 1 | before >> 63 | after << 63;
    before = own;
  }
}

// How far a disc reaches to either side in the rows from its middle on. Distances go by steps to the next pixel,
// across a corner, and two across and one along (G. Borgefors, CVGIP 34, 1986), which cost what they cost OpenCV.
std::vector<int> half_widths(float radius_px) {
  constexpr double next = 1, corner = 91750 / 65536., knight = 143976 / 65536.;
  const auto distance_px = [&](int u, int v) {
    const int few = std::min(u, v), many = std::max(u, v);
    return float(many >= 2 * few ? (many - 2 * few) * next + few * knight
                                 : (many - few) * knight + (2 * few - many) * corner);
  };
  std::vector<int> out;
  for (int v = 0; distance_px(0, v) <= radius_px; ++v) {
    int u = out.empty() ? int(radius_px) : out.back();
    while (distance_px(u, v) > radius_px) --u;
    out.push_back(u);
  }
  return out;
}

// Marks what lies within the disc of any place of the mask, in the rows `own`.
void mark_within(const cv::Mat1b& mask, const std::vector<int>& disc, cv::Range own, cv::Mat1b* out) {
  const int tall = int(disc.size()) - 1, words = (mask.cols + 63) / 64;
  std::vector<Bits> marked(std::size_t(own.size()), Bits(std::size_t(words), 0));
  Bits bits(static_cast<std::size_t>(words));
  const auto add = [&](int y) {
    if (y < own.start || y >= own.end) return;
    Bits& row = marked[std::size_t(y - own.start)];
    for (std::size_t i = 0; i < bits.size(); ++i) row[i] |= bits[i];
  };
  for (int y = std::max(0, own.start - tall); y < std::min(mask.rows, own.end + tall); ++y) {
    pack(mask[y], mask.cols, &bits);
    if (std::all_of(bits.begin(), bits.end(), [](std::uint64_t b) { return b == 0; })) continue;
    for (int v = tall, wide = 0; v >= 0; --v) {
      for (; wide < disc[std::size_t(v)]; ++wide) widen(&bits);
      add(y - v);
      if (v > 0) add(y + v);
    }
  }
  for (int y = own.start; y < own.end; ++y) unpack(marked[std::size_t(y - own.start)], mask.cols, (*out)[y]);
}

template <class Strip>
void for_each_strip(int rows, const Reach& reach, Strip&& what) {
  share_out(
      std::size_t((rows + strip_px - 1) / strip_px), reach.threads,
      [&](std::size_t i) {
        const int y = int(i) * strip_px;
        if (!reach.stop.stop_requested()) what(cv::Range(y, std::min(y + strip_px, rows)));
      },
      [](std::size_t) {});
}

}  // namespace

cv::Mat1f distance_to(const cv::Mat1b& zero_there, const Reach& reach) {
  cv::Mat1f out(zero_there.size());
  for_each_strip(out.rows, reach, [&](cv::Range own) {
    const cv::Range seen(std::max(0, own.start - reach.px), std::min(own.end + reach.px, out.rows));
    cv::Mat1f distance;
    cv::distanceTransform(zero_there.rowRange(seen) == 0, distance, cv::DIST_L2, 5);
    distance.rowRange(own.start - seen.start, own.end - seen.start).copyTo(out.rowRange(own));
  });
  return out;
}

cv::Mat1b within(const cv::Mat1b& mask, double radius_px, const Reach& reach) {
  cv::Mat1b out(mask.size());
  const std::vector<int> disc = half_widths(float(radius_px));
  for_each_strip(out.rows, reach, [&](cv::Range own) { mark_within(mask, disc, own, &out); });
  return out;
}

cv::Mat1b opened(const cv::Mat1b& ink, double radius_px, const Reach& reach) {
  const cv::Mat1b eroded = within(ink, radius_px, reach) == 0;
  if (reach.stop.stop_requested()) return cv::Mat1b(ink.size(), std::uint8_t(0));
  return within(eroded, radius_px, reach);
}

std::vector<float> ridge_depths(const cv::Mat1b& mask, const Reach& reach) {
  constexpr int rows = 192;  // so few that what lies between stays in the cache
  const std::size_t strips = std::size_t((mask.rows + rows - 1) / rows);
  std::vector<std::vector<float>> found(strips);
  const auto measure = [&](std::size_t i) {
    if (reach.stop.stop_requested()) return;
    const int y = int(i) * rows, end = std::min(y + rows, mask.rows);
    if (cv::countNonZero(mask.rowRange(y, end)) == 0) return;
    const cv::Range seen(std::max(0, y - reach.px), std::min(end + reach.px, mask.rows)),
        own(y - seen.start, end - seen.start);
    cv::Mat1f depth;
    cv::distanceTransform(mask.rowRange(seen), depth, cv::DIST_L2, 5);
    found[i] = values_at(depth.rowRange(own), ridge_of(mask.rowRange(seen), depth).rowRange(own));
  };
  share_out(strips, reach.threads, measure, [](std::size_t) {});
  std::vector<float> out;
  for (const std::vector<float>& strip : found) out.insert(out.end(), strip.begin(), strip.end());
  return out;
}

cv::Mat1b ridge_of(const cv::Mat1b& mask, const cv::Mat1f& depth) {
  cv::Mat1f highest;
  cv::dilate(depth, highest, cv::Mat());
  return mask & (depth >= highest);
}

}  // namespace batten
