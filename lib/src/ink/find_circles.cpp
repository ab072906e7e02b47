#include "ink/find_circles.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Broad enough to see the foot of a cup (8 px at 300 dpi) and still a line of compasses (2 px), and to tell its
// direction to a few degrees through the grain of paper.
constexpr double smoothing_px = 2.5;
constexpr double least_sigmas = 3;                        // of the smoothed grain
constexpr double least_darkness = 0.02;                   // paler ones are below every threshold for ink
constexpr double least_radius = 0.04, most_radius = 0.5;  // of the longer side of the picture
constexpr double cell_px = 4;                             // of the votes for centres
constexpr double arc_px = 8;                              // circles are followed by cells so long
constexpr double aim_cos = 0.94;                          // a spot's normal leads to the centre within 20 degrees
constexpr double least_seen = 0.7;                        // of the cells that nothing was drawn on
constexpr double least_turn = 1.5;                        // rad of bare arc: less is a bow of something else
constexpr double least_bare = 0.12;                       // of the longer side of the picture
constexpr double least_even = 0.4;                        // darkness of the palest quarter, over that in the middle
constexpr double pale = 0.5, dark_end = 0.8;              // over the level of what was drawn
constexpr double scatter_px = 0.8, scatter_of_radius = 0.006;  // of compasses and cups; free hands: 0.02 of the radius
constexpr int profile_px = 16;                                 // the foot of a cup is no broader, to either side
constexpr std::size_t most_spots = 150000, most_tried = 60, most_circles = 8;

struct Spot {
  Point at, normal;
};

// The paper and what is pale on it; the drawing and its flanks are left out before smoothing.
struct RoundView {
  cv::Mat1f smooth, weight;
  double sigma = 0;
};

RoundView round_view(const PaleView& view) {
  cv::Mat1f weight;
  cv::Mat1b(view.covered == 0).convertTo(weight, CV_32F, 1. / 255);
  RoundView out;
  out.weight = gauss(weight, smoothing_px);
  out.smooth = gauss(view.ink.mul(weight), smoothing_px);
  cv::divide(out.smooth, cv::max(out.weight, 1e-3f), out.smooth);
  std::vector<float> values;
  values.reserve(out.smooth.total() / 4);
  for (int y = 0; y < out.smooth.rows; y += 2) {
    const float *value = out.smooth[y], *weight_of = out.weight[y];
    for (int x = y / 2 % 2; x < out.smooth.cols; x += 2)
      if (weight_of[x] > 0.9) values.push_back(std::abs(value[x]));
  }
  out.sigma = 1.4826 * median(std::move(values));
  return out;
}

double value_at(const cv::Mat1f& m, Point p) {
  const int x = std::clamp(int(std::floor(p.x)), 0, m.cols - 2), y = std::clamp(int(std::floor(p.y)), 0, m.rows - 2);
  const double u = std::clamp(p.x - x, 0., 1.), v = std::clamp(p.y - y, 0., 1.);
  return (1 - v) * ((1 - u) * m(y, x) + u * m(y, x + 1)) + v * ((1 - u) * m(y + 1, x) + u * m(y + 1, x + 1));
}

// Places on the crest of something pale, and the direction across it: that of the strongest curvature.
std::vector<Spot> spots_of(const RoundView& view, double level, const std::stop_token& stop) {
  std::vector<Spot> out;
  const cv::Mat1f& m = view.smooth;
  const float least = float(std::max(least_sigmas * view.sigma, least_darkness)), most = float(0.6 * level);
  constexpr int r = 2;
  for (int y = r; y + r < m.rows; ++y) {
    if (y % 64 == 0 && stop.stop_requested()) return {};
    const float *row = m[y], *weight = view.weight[y];
    for (int x = r; x + r < m.cols; ++x) {
      const float v = row[x];
      if (v < least || v > most || weight[x] < 0.5f) continue;
      const double xx = m(y, x - r) + m(y, x + r) - 2 * v, yy = m(y - r, x) + m(y + r, x) - 2 * v;
      const double xy = (m(y - r, x - r) + m(y + r, x + r) - m(y - r, x + r) - m(y + r, x - r)) / 4;
      const double mean = (xx + yy) / 2, half = std::hypot((xx - yy) / 2, xy);
      if (mean - half > -0.5 * view.sigma || half < 0.3 * -mean) continue;  // no crest, or a dot
      const double angle = 0.5 * std::atan2(2 * xy, xx - yy) + pi / 2;      // of the most negative curvature
      const Point n = direction(angle), p{double(x), double(y)};
      if (v < value_at(m, p + n) || v <= value_at(m, p - n)) continue;
      // The crest between the pixels: a parabola through three values.
      const double a = value_at(m, p - n), b = value_at(m, p + n), bend = a + b - 2 * v;
      const double shift = bend < 0 ? std::clamp(0.5 * (a - b) / bend, -0.7, 0.7) : 0;
      out.push_back({p + shift * n, n});
    }
  }
  if (out.size() > most_spots) out.clear();  // shading all over
  return out;
}

// Centres by the votes of the spots along their normals (D. H. Ballard, Pattern Recognition 13, 1981), most first.
std::vector<std::pair<float, Point>> centres_of(const std::vector<Spot>& spots, const cv::Size& size,
                                                const std::stop_token& stop) {
  const double side = std::max(size.width, size.height), low = least_radius * side, high = most_radius * side;
  const int border = int(0.25 * side / cell_px);  // cups stand beyond the edge as well
  cv::Mat1f votes(int(size.height / cell_px) + 2 * border + 1, int(size.width / cell_px) + 2 * border + 1, 0.f);
  std::size_t seen = 0;
  for (const Spot& s : spots) {
    if (++seen % 4096 == 0 && stop.stop_requested()) return {};
    for (const double way : {-1., 1.})
      for (double r = low; r < high; r += cell_px) {
        const Point c = (1 / cell_px) * (s.at + way * r * s.normal);
        const int x = int(std::lround(c.x)) + border, y = int(std::lround(c.y)) + border;
        if (x < 0 || y < 0 || x >= votes.cols || y >= votes.rows) break;
        votes(y, x) += 1;
      }
  }
  votes = gauss(votes, 1.5);
  cv::Mat1f highest;
  cv::dilate(votes, highest, cv::Mat1b::ones(9, 9));
  std::vector<std::pair<float, Point>> out;
  for (int y = 0; y < votes.rows; ++y)
    for (int x = 0; x < votes.cols; ++x)
      if (votes(y, x) > 1 && votes(y, x) >= highest(y, x))
        out.push_back({votes(y, x), cell_px * Point{double(x - border), double(y - border)}});
  std::sort(out.begin(), out.end(), [](const auto& a, const auto& b) {
    return std::tuple(-a.first, a.second.y, a.second.x) < std::tuple(-b.first, b.second.y, b.second.x);
  });
  if (out.size() > most_tried) out.resize(most_tried);
  return out;
}

bool aims_at(const Spot& s, Point centre) {
  const Point d = s.at - centre;
  return std::abs(dot(d, s.normal)) > aim_cos * norm(d);
}

// The radii at which most spots lie round a centre, most first.
std::vector<double> radii_of(const std::vector<Spot>& spots, const std::vector<bool>& used, Point centre, double low,
                             double high) {
  std::vector<double> count(std::size_t(high / 2) + 3, 0);
  for (std::size_t i = 0; i < spots.size(); ++i) {
    const double r = distance(spots[i].at, centre);
    if (used[i] || r < low || r >= high || !aims_at(spots[i], centre)) continue;
    const double bin = r / 2 - 0.5;
    const std::size_t b = std::size_t(bin);
    count[b] += 1 - (bin - double(b)), count[b + 1] += bin - double(b);
  }
  std::vector<std::pair<double, double>> tops;
  for (std::size_t b = 2; b + 2 < count.size(); ++b) {
    const auto around = [&](std::size_t i) { return count[i - 1] + count[i] + count[i + 1]; };
    if (around(b) >= around(b - 1) && around(b) > around(b + 1)) tops.push_back({-around(b), 2 * double(b) + 1});
  }
  std::sort(tops.begin(), tops.end());
  std::vector<double> out;
  for (std::size_t i = 0; i < std::min<std::size_t>(4, tops.size()); ++i) out.push_back(tops[i].second);
  return out;
}

struct Round {
  Point centre;
  double radius = 0, scatter = 0;
};

// The circle through the spots near one (Gauss-Newton on distances), and how they scatter across it.
std::optional<Round> refined(Round c, const std::vector<Spot>& spots, const std::vector<bool>& used, double low,
                             double high) {
  for (const double within : {9., 6., 4., 3., 3., 3.}) {
    // Normal equations of the three shifts.
    cv::Matx33d m = cv::Matx33d::zeros();
    cv::Vec3d rhs(0, 0, 0);
    double n = 0, sum2 = 0;
    for (std::size_t i = 0; i < spots.size(); ++i) {
      const Point d = spots[i].at - c.centre;
      const double r = norm(d), off = r - c.radius;
      if (used[i] || std::abs(off) > within || !aims_at(spots[i], c.centre)) continue;
      const cv::Vec3d row(d.x / r, d.y / r, 1);
      m += row * row.t(), rhs += off * row, n += 1, sum2 += off * off;
    }
    if (n < 30) return std::nullopt;
    cv::Vec3d shift;
    if (!cv::solve(m, rhs, shift, cv::DECOMP_CHOLESKY)) return std::nullopt;
    c.centre = c.centre + Point{shift[0], shift[1]}, c.radius += shift[2], c.scatter = std::sqrt(sum2 / n);
    if (!(c.radius > low && c.radius < high)) return std::nullopt;
  }
  return c;
}

// Bare ink across the circle by whole pixels of distance, -profile_px to profile_px: the median all round.
std::vector<double> profile_of(const Round& c, const PaleView& view, int cells) {
  std::vector<double> out;
  for (int d = -profile_px; d <= profile_px; ++d) {
    std::vector<float> values;
    for (int i = 0; i < 4 * cells; ++i) {
      const Point p = c.centre + (c.radius + d) * direction(2 * pi * i / (4. * cells));
      const int x = int(std::lround(p.x)), y = int(std::lround(p.y));
      if (x >= 0 && y >= 0 && x < view.ink.cols && y < view.ink.rows && !view.covered(y, x))
        values.push_back(view.smooth(y, x));
    }
    out.push_back(median(std::move(values)));
  }
  return out;
}

// Width at half the height of its middle over the darker side.
double width_of(const std::vector<double>& profile) {
  const int middle = profile_px;
  const double top = std::max({profile[middle - 1], profile[middle], profile[middle + 1]});
  const auto paper = [&](int way) {
    double least = top;
    for (int d = 1; d <= profile_px; ++d) least = std::min(least, profile[middle + way * d]);
    return least;
  };
  double width = 0;
  for (const int way : {-1, 1}) {
    const double half = 0.5 * (top + paper(way));
    int d = 1;
    while (d < profile_px && profile[middle + way * d] > half) ++d;
    const double before = profile[middle + way * (d - 1)], here = profile[middle + way * d];
    width += before > here ? d - 1 + (before - half) / (before - here) : d;
  }
  return width;
}

// Followed all round; none if it is not a pale circle that shows wherever nothing was drawn on it.
std::optional<PaleCircle> followed(const Round& c, const PaleView& view) {
  const int cells = std::max(12, int(2 * pi * c.radius / arc_px));
  const double width = width_of(profile_of(c, view, cells)), beside = std::max(4., 1.3 * width);
  if (width < 1 || width > profile_px) return std::nullopt;
  const double side = std::max(view.ink.cols, view.ink.rows);
  std::vector<double> darkness;
  int bare = 0, empty = 0;
  for (int i = 0; i < cells; ++i) {
    int covered = 0, inside = 0;
    std::vector<double> values;
    for (double t = 0.5; t < arc_px; ++t) {
      const Point u = direction(2 * pi * (i + t / arc_px) / cells);
      const auto at = [&](double off) { return c.centre + (c.radius + off) * u; };
      const auto within = [&](Point p) {
        return p.x >= 1 && p.y >= 1 && p.x + 2 < view.ink.cols && p.y + 2 < view.ink.rows;
      };
      if (!within(at(beside)) || !within(at(-beside))) continue;
      const auto is_covered = [&](double off) {
        return view.covered(int(std::lround(at(off).y)), int(std::lround(at(off).x))) != 0;
      };
      ++inside;
      if (is_covered(0) || (is_covered(beside) && is_covered(-beside))) {
        ++covered;
        continue;
      }
      double middle = 0, sides = -1;
      for (const double off : {-1., 0., 1.}) middle = std::max(middle, value_at(view.smooth, at(off)));
      for (const double way : {-1., 1.})
        if (!is_covered(way * beside)) sides = std::max(sides, value_at(view.smooth, at(way * beside)));
      values.push_back(middle - sides);
    }
    if (inside < arc_px / 2 || 2 * covered > inside) continue;
    const double d = median(std::move(values));
    darkness.push_back(d);
    ++(d > 0.6 * view.sigma ? bare : empty);
  }
  if (bare < least_seen * (bare + empty) || bare * arc_px < std::max(least_turn * c.radius, least_bare * side))
    return std::nullopt;
  const double middle = quantile(darkness, 0.5), high = quantile(darkness, 0.9);
  if (quantile(darkness, 0.25) < least_even * middle) return std::nullopt;  // hatching that happens to line up
  if (middle < least_darkness || middle > pale * view.level || high > dark_end * view.level) return std::nullopt;
  return PaleCircle{c.centre, c.radius, width, middle};
}

}  // namespace

Circles find_circles(PaleView view, const std::stop_token& stop) {
  if (view.level <= 0) return {};
  cover_drawn(circle_share, &view);
  if (stop.stop_requested()) return {};
  const RoundView round = round_view(view);
  if (stop.stop_requested()) return {};
  const std::vector<Spot> spots = spots_of(round, view.level, stop);
  if (stop.stop_requested()) return {};
  const double side = std::max(view.ink.cols, view.ink.rows), low = least_radius * side, high = most_radius * side;
  std::vector<bool> used(spots.size(), false);
  Circles out;
  out.drawn_level = view.level;
  for (const auto& [votes, centre] : centres_of(spots, view.ink.size(), stop)) {
    if (stop.stop_requested()) return {};
    for (const double radius : radii_of(spots, used, centre, low, high)) {
      const auto c = refined({centre, radius}, spots, used, low, high);
      if (!c || c->scatter > std::max(scatter_px, scatter_of_radius * c->radius)) continue;
      const auto circle = followed(*c, view);
      if (!circle) continue;
      for (std::size_t i = 0; i < spots.size(); ++i)
        if (std::abs(distance(spots[i].at, c->centre) - c->radius) < 4) used[i] = true;
      out.circles.push_back(*circle);
    }
  }
  if (out.circles.size() > most_circles) return {};
  for (PaleCircle& c : out.circles)
    c.centre = on_sheet(c.centre, view.reduction), c.radius_px *= view.reduction, c.width_px *= view.reduction;
  return out;
}

}  // namespace batten
