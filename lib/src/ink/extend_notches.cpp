#include "ink/extend_notches.h"

#include <cmath>
#include <queue>
#include <vector>

#include "base/plane_cv.h"
#include "base/vec.h"

namespace batten {
namespace {

constexpr double least_taper = 0.08;  // of half the width, per px: walls that meet at 9 degrees and more
constexpr double longest_rims = 5;    // how far walls can run on as one line, in widths of a wall

// A slice of a notch: all pixels that are about as far from the wide paper.
struct Slice {
  Point middle;
  double half_px = 0;  // half the width
};

// Pixels of one notch by how far from the wide paper they lie, px.
using Steps = std::vector<std::vector<std::pair<int, int>>>;

// The parts of the marked paper that are not wide, each from its mouth inwards.
std::vector<Steps> notches_of(const Plane<std::int32_t>& marks, const cv::Mat1b& wide) {
  cv::Mat1i parts;
  const int count = cv::connectedComponents((as_mat(marks) > 0) & (wide == 0), parts, 8, CV_32S);
  std::vector<Steps> out(std::size_t(count) - 1);
  cv::Mat1b seen(parts.size(), std::uint8_t(0));
  std::queue<std::pair<std::pair<int, int>, std::size_t>> water;
  const auto visit = [&](int x, int y, std::size_t step) {
    if (x < 0 || y < 0 || x >= marks.width || y >= marks.height || seen(y, x) || parts(y, x) == 0) return;
    seen(y, x) = 1;
    water.push({{x, y}, step});
  };
  for (int y = 0; y < wide.rows; ++y)
    for (int x = 0; x < wide.cols; ++x)
      if (wide(y, x))
        for (const auto& [u, v] : {std::pair{x + 1, y}, {x - 1, y}, {x, y + 1}, {x, y - 1}}) visit(u, v, 0);
  while (!water.empty()) {
    const auto [at, step] = water.front();
    water.pop();
    Steps& notch = out[std::size_t(parts(at.second, at.first)) - 1];
    if (notch.size() <= step) notch.resize(step + 1);
    notch[step].push_back(at);
    for (const auto& [u, v] : {std::pair{1, 0}, {-1, 0}, {0, 1}, {0, -1}}) visit(at.first + u, at.second + v, step + 1);
  }
  return out;
}

Slice slice_of(const Steps& notch, std::size_t from, std::size_t to, const cv::Mat1f& to_ink) {
  Slice out;
  double n = 0;
  for (std::size_t s = from; s < std::min(to, notch.size()); ++s)
    for (const auto& [x, y] : notch[s]) {
      out.middle = out.middle + Point{double(x), double(y)}, n += 1;
      out.half_px = std::max<double>(out.half_px, to_ink(y, x));
    }
  out.middle = (1 / std::max(1., n)) * out.middle;
  return out;
}

}  // namespace

void extend_notches(const cv::Mat1b& wide, const cv::Mat1f& to_ink, const cv::Mat1b& ink, double rim_px,
                    const std::stop_token& stop, Plane<std::int32_t>* marks) {
  const std::vector<Steps> notches = notches_of(*marks, wide);
  const std::size_t back = std::size_t(std::max(6., 2 * rim_px));
  for (const Steps& notch : notches) {
    if (stop.stop_requested()) return;
    if (notch.size() < back + 4) continue;
    const std::size_t end = notch.size();
    const Slice tip = slice_of(notch, end - 3, end, to_ink),
                before = slice_of(notch, end - 3 - back, end - back, to_ink);
    const double length = distance(tip.middle, before.middle);
    if (length < 0.5 * double(back)) continue;  // it bends
    const double taper = (before.half_px - tip.half_px) / length;
    if (taper < least_taper) continue;
    const Point along = (1 / length) * (tip.middle - before.middle);
    // Ink stays up to a width of the line beyond the paper.
    double reach = std::min((tip.half_px + rim_px / 2) / taper, longest_rims * rim_px);
    const auto inked = [&](double t) {
      const Point p = tip.middle + t * along;
      const int x = int(std::lround(p.x)), y = int(std::lround(p.y));
      return x >= 0 && y >= 0 && x < ink.cols && y < ink.rows && ink(y, x);
    };
    double t = 0;
    while (t < reach && !inked(t)) t += 0.5;
    while (t < reach && inked(t)) t += 0.5;
    reach = t - 0.6 * rim_px;  // ink stays that far and a little more beyond the paper
    const std::int32_t label = marks->at(notch.back().front().first, notch.back().front().second);
    for (t = 0; t < reach; t += 0.5) {
      const Point p = tip.middle + t * along;
      std::int32_t& mark = marks->at(int(std::lround(p.x)), int(std::lround(p.y)));
      if (mark == 0) mark = label;
    }
  }
}

}  // namespace batten
