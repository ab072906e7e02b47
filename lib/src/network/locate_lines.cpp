#include "network/locate_lines.h"

#include <algorithm>
#include <cmath>

#include "base/parallel.h"
#include "base/statistics.h"
#include "base/weighted_middle.h"
#include "locate/follow_strokes.h"
#include "network/bridge_junctions.h"
#include "network/place_edges.h"

namespace batten {
namespace {

// Farther apart the middle of a line and the way of its strokes lie only where lines that cross or run alongside are
// taken for strokes. (Real lines have 0.02 to 0.06, also single ones, which neither reading places worse.)
constexpr double most_apart_widths = 0.12;

// Points at even steps along a path with what is known of each.
struct EvenPath {
  Polyline points;
  std::vector<char> sure;
  bool closed = false;
  std::ptrdiff_t size() const { return std::ptrdiff_t(points.size()); }
  std::ptrdiff_t index(std::ptrdiff_t i) const {
    return closed ? ((i % size()) + size()) % size() : std::clamp<std::ptrdiff_t>(i, 0, size() - 1);
  }
};

EvenPath evenly(const Polyline& points, const std::vector<char>& sure, bool closed) {
  EvenPath out;
  out.closed = closed;
  const std::size_t n = points.size(), spans = closed ? n : n - 1;
  double length = 0;
  for (std::size_t i = 0; i < spans; ++i) length += distance(points[i], points[(i + 1) % n]);
  const std::size_t steps = std::max<std::size_t>(closed ? 8 : 2, std::size_t(std::lround(length)));
  const double step = length / double(steps);
  double seen = 0;
  std::size_t k = 0;
  for (std::size_t i = 0; i < spans && k < steps; ++i) {
    const Point a = points[i], b = points[(i + 1) % n];
    const double span = distance(a, b);
    for (; k < steps && double(k) * step <= seen + span; ++k) {
      const double t = span > 0 ? (double(k) * step - seen) / span : 0;
      out.points.push_back(a + t * (b - a));
      out.sure.push_back(sure[i] && sure[(i + 1) % n]);
    }
    seen += span;
  }
  if (!closed) out.points.push_back(points.back()), out.sure.push_back(sure.back());
  return out;
}

Polyline normals_of(const EvenPath& path, std::ptrdiff_t half) {
  Polyline out;
  for (std::ptrdiff_t i = 0; i < path.size(); ++i)
    out.push_back(left_of(unit(path.points[path.index(i + half)] - path.points[path.index(i - half)])));
  return out;
}

// What lies beyond a valley belongs to a neighbour: values after one that rise again by a fifth of the line's own
// height are cleared, on either side.
void cut_at_valleys(std::vector<float>* row) {
  std::vector<float>& v = *row;
  const int middle = int(v.size()) / 2;
  const float own = *std::max_element(v.begin() + middle - std::min(2, middle), v.begin() + middle + 3);
  for (const int way : {-1, 1}) {
    float least = v[middle];
    bool cut = false;
    for (int j = middle + way; j >= 0 && j < int(v.size()); j += way) {
      least = std::min(least, v[j]);
      cut |= v[j] > least + 0.2f * own && least < 0.6f * own;
      if (cut) v[j] = 0;
    }
  }
}

// Gaussian average of rows along a path, unsure ones left out.
std::vector<std::vector<float>> averaged(const std::vector<std::vector<float>>& rows, const EvenPath& path,
                                         double sigma) {
  const auto reach = std::ptrdiff_t(std::ceil(2.5 * sigma));
  std::vector<std::vector<float>> out(rows.size(), std::vector<float>(rows.front().size(), 0));
  for (std::ptrdiff_t i = 0; i < path.size(); ++i)
    for (std::ptrdiff_t k = -reach; k <= reach; ++k) {
      if (!path.closed && (i + k < 0 || i + k >= path.size())) continue;
      const std::ptrdiff_t j = path.index(i + k);
      if (!path.sure[j]) continue;
      const float w = float(std::exp(-0.5 * double(k * k) / (sigma * sigma)));
      for (std::size_t c = 0; c < rows[j].size(); ++c) out[i][c] += w * rows[j][c];
    }
  return out;
}

// Shifts smoothed along the path, each weighing as much as it is sure.
std::vector<double> smoothed(const std::vector<double>& shift, const EvenPath& path, double sigma) {
  const auto reach = std::ptrdiff_t(std::ceil(3 * sigma));
  std::vector<double> out(shift.size(), 0);
  for (std::ptrdiff_t i = 0; i < path.size(); ++i) {
    double sum = 0, weight = 0;
    for (std::ptrdiff_t k = -reach; k <= reach; ++k) {
      if (!path.closed && (i + k < 0 || i + k >= path.size())) continue;
      const std::ptrdiff_t j = path.index(i + k);
      const double w = std::exp(-0.5 * double(k * k) / (sigma * sigma)) * (path.sure[j] ? 1 : 0.01);
      sum += w * shift[j], weight += w;
    }
    out[i] = weight > 0 ? sum / weight : 0;
  }
  return out;
}

// Repeats the first and the last of a row of things, so that what goes round a loop has its seam far from an open line.
template <class Thing>
std::vector<Thing> padded(const std::vector<Thing>& things, std::size_t rim) {
  std::vector<Thing> out(rim, things.front());
  out.insert(out.end(), things.begin(), things.end());
  out.insert(out.end(), rim, things.back());
  return out;
}

// Shifts that follow the strokes of the rows where the line is drawn in many, else the middles themselves. Rows where
// another line meets this one say nothing about its direction.
std::vector<double> along_strokes(const std::vector<std::vector<float>>& rows, std::vector<double> middles,
                                  const Polyline& across, const EvenPath& path, double step_px, double width_px) {
  const std::size_t rim = path.closed ? 0 : std::size_t(std::ceil(2 * width_px));
  const std::vector<std::vector<float>> all = padded(rows, rim);
  Profiles profiles{Plane<float>(int(rows.front().size()), int(all.size())), int(rows.front().size()) / 2, step_px};
  for (std::size_t i = 0; i < all.size(); ++i) std::copy(all[i].begin(), all[i].end(), profiles.values.row(int(i)));
  std::vector<double> slopes = stroke_slopes(std::move(profiles), 1, 0.25 * width_px);
  std::vector<double> linked = links_along(padded(across, rim), width_px);
  const std::vector<char> sure = padded(path.sure, rim);
  for (std::size_t i = 0; i < sure.size(); ++i)
    if (!sure[i]) slopes[i] = 0;
  if (!path.closed) linked.back() = 0;
  const std::vector<double> seen = padded(middles, rim);
  const std::vector<double> followed = follow_slopes(seen, slopes, linked, 1, follow_widths * width_px);
  std::fill_n(linked.begin(), rim, 0), std::fill_n(linked.end() - std::ptrdiff_t(rim), rim, 0);
  const double apart_widths = rms_difference(followed, seen, linked) / width_px;
  if (apart_widths > one_stroke_widths && apart_widths < most_apart_widths)
    std::copy_n(followed.begin() + std::ptrdiff_t(rim), middles.size(), middles.begin());
  return middles;
}

EvenPath one_round(const EvenPath& path, const Ink& ink, double width_px, bool follow) {
  const double step = std::max(0.4, width_px / 24);
  const int half = std::max(2, int(std::ceil(1.1 * width_px / step)));
  const Polyline across = normals_of(path, std::max<std::ptrdiff_t>(1, std::lround(0.5 * width_px)));
  std::vector<std::vector<float>> rows;
  for (std::ptrdiff_t i = 0; i < path.size(); ++i) {
    std::vector<float> row;
    for (int j = -half; j <= half; ++j) {
      const Point p = path.points[i] + (j * step) * across[i];
      row.push_back(std::max(0.f, float(sample(ink.ink, p.x, p.y) - 2 * ink.noise)));
    }
    cut_at_valleys(&row);
    rows.push_back(std::move(row));
  }
  const std::vector<std::vector<float>> means = averaged(rows, path, 0.5 * width_px);
  const WeightedMiddle middle_of(2 * half + 1, -half * step, step, 0.6 * width_px);
  std::vector<double> shift;
  for (const std::vector<float>& row : means) {
    const double at = middle_of(row.data());
    shift.push_back(std::clamp(at, -0.6 * width_px, 0.6 * width_px));
  }
  if (follow) shift = along_strokes(rows, std::move(shift), across, path, step, width_px);
  shift = smoothed(shift, path, 0.4 * width_px);
  Polyline moved = path.points;
  for (std::ptrdiff_t i = 0; i < path.size(); ++i) moved[i] = moved[i] + shift[i] * across[i];
  return evenly(moved, path.sure, path.closed);
}

// Ink across a line at a place, averaged over a quarter of its width on each side.
double level_at(const Ink& ink, Point at, Point across, double width_px) {
  double sum = 0;
  for (const double u : {-0.25, -0.125, 0., 0.125, 0.25}) {
    const Point p = at + (u * width_px) * across;
    sum += sample(ink.ink, p.x, p.y) / 5;
  }
  return sum;
}

// Moves the first point of a path to where the ink falls to a quarter of the level that the line has there: a pencil is
// set down and lifted with little pressure.
void move_end(const Ink& ink, double width_px, bool at_end, EvenPath* path) {
  if (at_end)
    std::reverse(path->points.begin(), path->points.end()), std::reverse(path->sure.begin(), path->sure.end());
  const auto n = path->size();
  const auto far = std::min<std::ptrdiff_t>(n - 1, std::lround(2.5 * width_px));
  const auto skip = std::min<std::ptrdiff_t>(far / 3, std::lround(0.5 * width_px));
  if (far - skip >= 2) {
    const Point out = unit(path->points[skip] - path->points[far]), across = left_of(out);
    std::vector<double> levels;
    for (std::ptrdiff_t i = skip; i <= far; ++i) levels.push_back(level_at(ink, path->points[i], across, width_px));
    const double least = 0.25 * median(std::move(levels));
    const Point from = path->points[skip];
    double arc = 0;
    const double limit = double(skip) + 1.5 * width_px;
    while (arc < limit && level_at(ink, from + arc * out, across, width_px) > least) arc += 0.25;
    Polyline points;
    std::vector<char> sure;
    for (int i = 0; i < int(arc); ++i) points.push_back(from + (arc - i) * out), sure.push_back(1);
    points.insert(points.end(), path->points.begin() + skip, path->points.end());
    sure.insert(sure.end(), path->sure.begin() + skip, path->sure.end());
    path->points = std::move(points), path->sure = std::move(sure);
  }
  if (at_end)
    std::reverse(path->points.begin(), path->points.end()), std::reverse(path->sure.begin(), path->sure.end());
}

void locate_line(const Ink& ink, LinePath* line) {
  if (line->points.size() < 4) return;
  EvenPath path = evenly(line->points, line->sure, line->closed);
  path.points =
      line->closed ? smooth_ring(path.points, 0.25 * line->width_px) : smooth_open(path.points, 0.25 * line->width_px);
  // A line that is short against the way over which strokes are followed has no stretch where they decide.
  const bool may_follow = double(path.size()) > 3 * follow_widths * line->width_px;
  for (int round = 0; round < (may_follow ? 3 : 2); ++round)
    path = one_round(path, ink, line->width_px, may_follow && round > 0);
  bridge_junctions(line->closed, line->width_px, path.sure, &path.points);
  path = evenly(path.points, std::vector<char>(path.points.size(), 1), line->closed);
  if (line->start_free) move_end(ink, line->width_px, false, &path);
  if (line->end_free) move_end(ink, line->width_px, true, &path);
  line->points = std::move(path.points), line->sure = std::move(path.sure);
}

}  // namespace

void locate_lines(const Ink& ink, const std::stop_token& stop, int threads, LinePaths* paths) {
  std::vector<double> lengths;
  for (const LinePath& p : paths->paths) lengths.push_back(double(p.points.size()));
  share_out_by_size(
      lengths, threads,
      [&](std::size_t i) {
        if (!stop.stop_requested()) locate_line(ink, &paths->paths[i]);
      },
      [](std::size_t) {});
}

}  // namespace batten
