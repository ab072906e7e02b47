#include "ink/remove_construction.h"

#include <algorithm>
#include <cmath>
#include <string>

#include "base/pixel_grid.h"
#include "base/statistics.h"
#include "ink/pale_view.h"
#include "ink/remove_circle.h"

namespace batten {
namespace {

constexpr int half_width_px = 4;  // of the profile, to either side
constexpr int bins_per_px = 2;
constexpr int bins = 2 * half_width_px * bins_per_px + 1;
constexpr double cell_px = 24;        // the pressure of a hand changes along the line
constexpr double erased_px = 2.5;     // to either side of the middle; construction lines are thin
constexpr double level_slope = 0.04;  // as for ruled guides

// The line as a frame of reference: how far along it a place lies, and how far beside it.
struct Along {
  Point from, along;
  double length_px = 0;
  explicit Along(const PaleLine& line)
      : from(line.from),
        along((1 / std::max(1e-9, line.length_px())) * (line.to - line.from)),
        length_px(line.length_px()) {}
  double t(Point p) const { return dot(p - from, along); }
  double off(Point p) const { return cross(along, p - from); }
};

// Calls what(x, y, t, off) for each pixel within the profile of a line.
template <class What>
void for_each_pixel(const Along& line, const Plane<float>& ink, What what) {
  // By columns or rows, whichever the line crosses more of.
  const bool by_columns = std::abs(line.along.x) >= std::abs(line.along.y);
  const Point to = line.from + line.length_px * line.along;
  const double a = by_columns ? line.from.x : line.from.y, b = by_columns ? to.x : to.y;
  const double lean = by_columns ? line.along.y / line.along.x : line.along.x / line.along.y;
  const int last = (by_columns ? ink.width : ink.height) - 1, most = (by_columns ? ink.height : ink.width) - 1;
  const double start = by_columns ? line.from.y : line.from.x;
  for (int i = std::max(0, int(std::ceil(std::min(a, b)))); i <= std::min<double>(last, std::max(a, b)); ++i) {
    const double middle = start + lean * (i - a);
    for (int j = std::max(0, int(middle - 1.5 * half_width_px));
         j <= std::min<double>(most, middle + 1.5 * half_width_px); ++j) {
      const int x = by_columns ? i : j, y = by_columns ? j : i;
      const Point p{double(x), double(y)};
      if (const double off = line.off(p); std::abs(off) <= half_width_px) what(x, y, line.t(p), off);
    }
  }
}

int bin_of(double off) { return int(std::lround((off + half_width_px) * bins_per_px)); }

// Ink across the line, less the paper beside it: the mean over all places where nothing was drawn.
std::vector<double> profile_of(const Along& line, const Plane<float>& ink, const Plane<std::uint8_t>& drawn) {
  std::vector<double> sum(bins, 0), count(bins, 0), out(bins, 0);
  for_each_pixel(line, ink, [&](int x, int y, double, double off) {
    if (!drawn.at(x, y)) sum[bin_of(off)] += ink.at(x, y), count[bin_of(off)] += 1;
  });
  for (int b = 0; b < bins; ++b) out[b] = count[b] > 0 ? sum[b] / count[b] : 0;
  const double paper = std::min(out.front() + out[1], out[bins - 1] + out[bins - 2]) / 2;
  for (double& p : out) p = std::max(0., p - paper);
  return out;
}

// How dark the line is in each cell over its profile; where it was drawn over, as in the cells around.
std::vector<double> gains_of(const Along& line, const std::vector<double>& profile, const Plane<float>& ink,
                             const Plane<std::uint8_t>& drawn) {
  const int cells = int(line.length_px / cell_px) + 1;
  std::vector<double> top(cells, 0), bottom(cells, 0);
  for_each_pixel(line, ink, [&](int x, int y, double t, double off) {
    const double p = profile[bin_of(off)];
    if (const int c = int(t / cell_px); c >= 0 && c < cells && !drawn.at(x, y))
      top[c] += p * ink.at(x, y), bottom[c] += p * p;
  });
  std::vector<double> out(cells, 1);
  const double full = *std::max_element(bottom.begin(), bottom.end());
  for (int c = 0; c < cells; ++c) {
    double t = 0, b = 0;
    for (int reach = 0; reach < cells && b < 0.5 * full; ++reach) {
      t = b = 0;
      for (int i = std::max(0, c - reach); i <= std::min(cells - 1, c + reach); ++i) t += top[i], b += bottom[i];
    }
    out[c] = b > 0 ? std::clamp(t / b, 0., 3.) : 1;
  }
  return out;
}

void take_out(const Along& line, const Plane<std::uint8_t>& drawn, double noise, Plane<float>* ink) {
  const std::vector<double> profile = profile_of(line, *ink, drawn), gains = gains_of(line, profile, *ink, drawn);
  for_each_pixel(line, *ink, [&](int x, int y, double t, double off) {
    const int cell = std::clamp(int(t / cell_px), 0, int(gains.size()) - 1);
    // Light passes through what was drawn and through the line: 1 - k = (1 - drawn) (1 - line).
    const double pale = std::min(0.9, gains[cell] * profile[bin_of(off)]), k = ink->at(x, y);
    double left = std::max((k - pale) / (1 - pale), std::min(k, -2 * noise));
    if (!drawn.at(x, y) && std::abs(off) <= erased_px) left = std::min(left, noise);
    ink->at(x, y) = float(left);
  });
}

Finding circles_left_out(const std::vector<PaleCircle>& circles) {
  const PaleCircle& first = circles.front();
  return {.what = Finding::What::guide_removed,
          .place = page_of(first.centre),
          .amount_px = 2 * first.radius_px,
          .text = circles.size() == 1 ? "A pale circle was taken for a construction line, or the ring that a cup left, "
                                        "and left out."
                                      : std::to_string(circles.size()) +
                                            " pale circles were taken for construction lines, or rings that cups left, "
                                            "and left out."};
}

}  // namespace

Result<ClearInk> remove_construction(GuidedInk guided, const Progress& progress, std::vector<Finding>* findings) {
  ClearInk out{std::move(guided.ink), std::move(guided.guides), {}, {}};
  PaleView view = view_of(out.ink, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  Circles circles = find_circles(view, progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  if (!circles.circles.empty()) {
    const Plane<std::uint8_t> drawn = drawn_places(out.ink.ink, circles.drawn_level, circle_share);
    for (const PaleCircle& circle : circles.circles) {
      if (progress.stopped()) return progress.cancelled();
      remove_circle(circle, drawn, out.ink.noise, &out.ink.ink);
    }
    findings->push_back(circles_left_out(circles.circles));
    view = view_of(out.ink, progress.stop_token());
    out.circles = std::move(circles.circles);
  }
  Construction construction = find_construction(std::move(view), progress.stop_token());
  if (progress.stopped()) return progress.cancelled();
  if (construction.lines.empty()) return out;
  std::vector<std::pair<Point, Point>> ends;
  for (const PaleLine& line : construction.lines) ends.emplace_back(line.from, line.to);
  const Plane<std::uint8_t> drawn = drawn_beside(out.ink.ink, construction.drawn_level, ends);
  for (const PaleLine& line : construction.lines) {
    if (progress.stopped()) return progress.cancelled();
    take_out(Along(line), drawn, out.ink.noise, &out.ink.ink);
    const Point d = line.to - line.from;
    if (std::abs(d.y) <= level_slope * std::abs(d.x)) {
      const double slope = d.y / d.x;
      out.guides.push_back(page_guide(line.from.y - slope * line.from.x, slope));
    }
  }
  std::sort(out.guides.begin(), out.guides.end(), [](const Guide& a, const Guide& b) { return a.y0_px < b.y0_px; });
  const std::size_t count = construction.lines.size();
  const PaleLine& first = construction.lines.front();
  findings->push_back(
      {.what = Finding::What::guide_removed,
       .place = page_of(0.5 * (first.from + first.to)),
       .text = count == 1
                   ? "A pale straight line was taken for a construction line and left out."
                   : std::to_string(count) + " pale straight lines were taken for construction lines and left out."});
  out.construction = std::move(construction.lines);
  return out;
}

}  // namespace batten
