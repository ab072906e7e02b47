#include "network/thin_mask.h"

#include <array>
#include <cstdint>
#include <opencv2/imgproc.hpp>
#include <vector>

namespace batten {
namespace {

// Neighbours of a pixel in order round it, beginning above; bit k of a neighbourhood is neighbour k.
struct Step {
  int x, y;
};
constexpr std::array<Step, 8> around{{{0, -1}, {1, -1}, {1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}}};

bool bit(int neighbours, int k) { return (neighbours >> (k % 8)) & 1; }

int count_of(int neighbours) {
  int out = 0;
  for (int k = 0; k < 8; ++k) out += bit(neighbours, k);
  return out;
}

// Which neighbourhoods let a pixel go in each of the two half rounds (1984, conditions a to d).
std::array<std::array<bool, 256>, 2> removable_table() {
  std::array<std::array<bool, 256>, 2> out{};
  for (int n = 0; n < 256; ++n) {
    int rises = 0;
    for (int k = 0; k < 8; ++k) rises += !bit(n, k) && bit(n, k + 1);
    const int count = count_of(n);
    const bool up = bit(n, 0), right = bit(n, 2), down = bit(n, 4), left = bit(n, 6);
    if (count < 2 || count > 6 || rises != 1) continue;
    out[0][n] = !(up && right && down) && !(right && down && left);
    out[1][n] = !(up && right && left) && !(up && down && left);
  }
  return out;
}

// Yokoi, Toriwaki & Fukumura, "An analysis of topological properties of digitized binary pictures using local
// features", 1975: 1 where removing the pixel changes no connection.
bool changes_nothing(int n) {
  int number = 0;
  for (int k = 0; k < 8; k += 2) number += !bit(n, k) && !(!bit(n, k + 1) && !bit(n, k + 2));
  return number == 1;
}

// Two neighbours that touch each other and are not the two sides of a step: the end of a line two pixels thick.
bool ends_here(int n) {
  if (count_of(n) != 2) return false;
  for (int k = 0; k < 8; ++k)
    if (bit(n, k) && bit(n, k + 1)) return true;
  return false;
}

// The mask with a rim of 0, as rows in memory.
struct Field {
  int stride;
  std::vector<std::uint8_t> on;
  std::array<int, 8> offset;

  explicit Field(const cv::Mat1b& mask) : stride(mask.cols + 2), on(std::size_t(stride) * (mask.rows + 2), 0) {
    for (int y = 0; y < mask.rows; ++y)
      for (int x = 0; x < mask.cols; ++x) on[std::size_t(y + 1) * stride + x + 1] = mask(y, x) != 0;
    for (int k = 0; k < 8; ++k) offset[k] = around[k].y * stride + around[k].x;
  }
  int neighbours(int at) const {
    int out = 0;
    for (int k = 0; k < 8; ++k) out |= on[at + offset[k]] << k;
    return out;
  }
};

}  // namespace

cv::Mat1b thinned(const cv::Mat1b& mask, const std::stop_token& stop) {
  const std::array<std::array<bool, 256>, 2> removable = removable_table();
  Field field(mask);
  std::vector<int> rim;  // pixels that may go next: those beside paper
  std::vector<std::uint8_t> queued(field.on.size(), 0);
  for (int at = 0; at < int(field.on.size()); ++at)
    if (field.on[at] && field.neighbours(at) != 255) rim.push_back(at), queued[at] = 1;
  // A diagonal line two pixels thick would be eaten from its ends, however long it is (Lu & Wang, "A comment on 'A fast
  // parallel algorithm for thinning digital patterns'", 1986). Each round takes one layer; a pixel that is still there
  // two rounds after its own layer's is in the middle of a line, and an end of that stays.
  cv::Mat1f layer;
  cv::distanceTransform(mask, layer, cv::DIST_C, 3);
  const auto late = [&](int at, int round) {
    return float(round) > layer(at / field.stride - 1, at % field.stride - 1) + 1;
  };
  for (int round = 1; !rim.empty() && !stop.stop_requested(); ++round) {
    std::vector<int> gone;
    for (const int half : {0, 1}) {
      std::vector<int> now;
      for (const int at : rim) {
        if (!field.on[at]) continue;
        const int n = field.neighbours(at);
        if (removable[half][n] && !(late(at, round) && count_of(n) == 2)) now.push_back(at);
      }
      for (const int at : now) field.on[at] = 0;
      gone.insert(gone.end(), now.begin(), now.end());
    }
    if (gone.empty()) break;
    std::vector<int> next;
    for (const int at : rim)
      if (!field.on[at]) queued[at] = 0;
    for (const int at : rim)
      if (field.on[at]) next.push_back(at);
    for (const int at : gone)
      for (const int step : field.offset)
        if (field.on[at + step] && !queued[at + step]) queued[at + step] = 1, next.push_back(at + step);
    rim = std::move(next);
  }
  cv::Mat1b out(mask.size(), std::uint8_t(0));
  for (int y = 0; y < mask.rows && !stop.stop_requested(); ++y)
    for (int x = 0; x < mask.cols; ++x) {
      const int at = (y + 1) * field.stride + x + 1;
      if (!field.on[at]) continue;
      const int n = field.neighbours(at);
      if (count_of(n) >= 2 && !ends_here(n) && changes_nothing(n))
        field.on[at] = 0;
      else
        out(y, x) = 255;
    }
  return out;
}

}  // namespace batten
