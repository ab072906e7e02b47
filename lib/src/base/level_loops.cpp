#include "base/level_loops.h"

#include <cmath>
#include <cstdint>
#include <unordered_map>

namespace batten {
namespace {

// Edges of the grid are numbered 2 * (index of the left or upper pixel of a grid padded by one) + (1 if it goes down).
// Each crossed edge is left by exactly one piece of contour: `next` chains them.
struct Tracer {
  const Plane<float>& plane;
  float level;
  int padded_width;
  std::unordered_map<std::int64_t, std::int64_t> next;
  std::vector<std::int64_t> starts;  // in reading order, so that the order of loops never depends on the hash map

  float height(int x, int y) const {  // padded by a rim just below every level
    if (x < 0 || y < 0 || x >= plane.width || y >= plane.height) return outside();
    return plane.at(x, y) - level;
  }
  // Outside, as far below the level as a pixel of bare ground: a shape that is cut by the frame ends on the frame.
  static float outside() { return -1; }
  std::int64_t edge(int x, int y, bool down) const {
    return 2 * (std::int64_t(y + 1) * padded_width + (x + 1)) + (down ? 1 : 0);
  }
  Point crossing(std::int64_t id) const {
    const bool down = id & 1;
    const int x = int((id / 2) % padded_width) - 1, y = int((id / 2) / padded_width) - 1;
    const double a = height(x, y), b = down ? height(x, y + 1) : height(x + 1, y);
    const double t = a == b ? 0.5 : a / (a - b);
    return down ? Point{double(x), y + t} : Point{x + t, double(y)};
  }
  void add_cell(int x, int y);
};

void Tracer::add_cell(int x, int y) {
  const float h[4] = {height(x, y), height(x + 1, y), height(x + 1, y + 1), height(x, y + 1)};
  int code = 0;
  for (int i = 0; i < 4; ++i) code |= (h[i] > 0) << i;
  if (code == 0 || code == 15) return;
  // Sides of the cell in turn: top, right, bottom, left. High ground on the right hand: a piece enters the cell where
  // corner i is high and corner i+1 low, and leaves where low turns to high.
  const std::int64_t side[4] = {edge(x, y, false), edge(x + 1, y, true), edge(x, y + 1, false), edge(x, y, true)};
  const bool joined = h[0] + h[1] + h[2] + h[3] > 0;  // only looked at in saddles
  const bool saddle = code == 5 || code == 10;
  for (int i = 0; i < 4; ++i) {
    const bool here = code >> i & 1, after = code >> ((i + 1) % 4) & 1;
    if (!(here && !after)) continue;
    int out = -1;
    if (saddle) {
      out = joined ? (i + 1) % 4 : (i + 3) % 4;  // joined: round the low corner; else: round the high corner
    } else {
      for (int j = 1; j < 4 && out < 0; ++j) {
        const int k = (i + j) % 4;
        if (!(code >> k & 1) && (code >> ((k + 1) % 4) & 1)) out = k;
      }
    }
    next[side[i]] = side[out];
    starts.push_back(side[i]);
  }
}

}  // namespace

std::vector<Polyline> level_loops(const Plane<float>& plane, float level) {
  Tracer tracer{plane, level, plane.width + 2, {}, {}};
  for (int y = -1; y < plane.height; ++y) {
    // In nearly all cells no corner lies higher than the others.
    bool upper = false, lower = false;  // of the corners on the left: is it high?
    for (int x = -1; x < plane.width; ++x) {
      const bool next_upper = tracer.height(x + 1, y) > 0, next_lower = tracer.height(x + 1, y + 1) > 0;
      if (upper != lower || upper != next_upper || upper != next_lower) tracer.add_cell(x, y);
      upper = next_upper, lower = next_lower;
    }
  }
  std::vector<Polyline> loops;
  for (const std::int64_t start : tracer.starts) {
    Polyline loop;
    auto at = tracer.next.find(start);
    while (at != tracer.next.end()) {
      loop.push_back(tracer.crossing(at->first));
      const std::int64_t following = at->second;
      tracer.next.erase(at);
      at = tracer.next.find(following);
    }
    if (loop.size() >= 3) loops.push_back(std::move(loop));
  }
  return loops;
}

}  // namespace batten
