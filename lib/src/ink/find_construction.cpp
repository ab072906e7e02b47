#include "ink/find_construction.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <tuple>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

constexpr double pale = 0.25;            // over the level of what was drawn, see drawn_share
constexpr double flank_px = 4;           // beside a drawn line its own edge is pale
constexpr double least_sigmas = 2.5;     // of smoothed grain
constexpr int angles = 360;              // half a degree each: over a cell of votes 3 px broad that is 700 px of line
constexpr double least_length = 0.3;     // of the longer side of the picture
constexpr double least_bare = 0.12;      // seen beside the drawing, of the longer side
constexpr double cell_px = 8;            // lines are followed by cells so long
constexpr double least_seen = 0.6;       // of the cells that nothing was drawn on
constexpr int longest_gap = 6;           // cells without it where it ends
constexpr double least_darkness = 0.02;  // paler lines are below every threshold for ink
constexpr double end_px = 10;            // around an end nothing else may be drawn, or it is the corner of a frame
constexpr int least_joined_px2 = 8;      // so much ink there is a line
constexpr std::size_t most_lines = 24;   // more are shading or print
constexpr std::size_t most_tried = 400;

struct Spot {
  int x = 0, y = 0;
};

bool is_top(const float* above, const float* row, const float* below, int x) {
  const float v = row[x];
  return (v >= row[x - 1] && v > row[x + 1]) || (v >= above[x] && v > below[x]);
}

std::vector<Spot> pale_spots(const PaleView& view) {
  std::vector<Spot> out;
  const float least = float(std::max(least_sigmas * view.sigma, least_darkness / 2));
  for (int y = 1; y + 1 < view.smooth.rows; ++y) {
    const float *above = view.smooth[y - 1], *row = view.smooth[y], *below = view.smooth[y + 1];
    const std::uint8_t* covered = view.covered[y];
    for (int x = 1; x + 1 < view.smooth.cols; ++x)
      if (row[x] > least && !covered[x] && is_top(above, row, below, x)) out.push_back({x, y});
  }
  return out;
}

// x cos + y sin = distance.
struct Infinite {
  double angle = 0, distance = 0;
  Point normal() const { return {std::cos(angle), std::sin(angle)}; }
  // Of many places from one line: its sine and cosine are the same for all.
  auto offsets() const {
    return [c = std::cos(angle), s = std::sin(angle), distance = distance](double x, double y) {
      return x * c + y * s - distance;
    };
  }
};

struct Candidate {
  int votes = 0;
  Infinite line;
};

// By votes of the spots (R. O. Duda, P. E. Hart, Comm. ACM 15, 1972), most first.
std::vector<Candidate> candidates_of(const std::vector<Spot>& spots, const cv::Size& size, int least_votes,
                                     const std::stop_token& stop) {
  std::vector<Candidate> out;
  const int reach = int(std::hypot(size.width, size.height)) + 2;
  std::vector<int> votes(2 * std::size_t(reach) + 1);
  for (int a = 0; a < angles && !stop.stop_requested(); ++a) {
    const double angle = a * M_PI / angles, c = std::cos(angle), s = std::sin(angle);
    std::fill(votes.begin(), votes.end(), 0);
    for (const Spot& p : spots) ++votes[std::size_t(std::lround(p.x * c + p.y * s) + reach)];
    for (std::size_t i = 1; i + 1 < votes.size(); ++i) {
      const int sum = votes[i - 1] + votes[i] + votes[i + 1];
      if (sum >= least_votes && votes[i] >= votes[i - 1] && votes[i] > votes[i + 1])
        out.push_back({sum, {angle, double(i) - reach}});
    }
  }
  std::sort(out.begin(), out.end(), [](const Candidate& a, const Candidate& b) {
    return std::tuple(-a.votes, a.line.angle, a.line.distance) < std::tuple(-b.votes, b.line.angle, b.line.distance);
  });
  if (out.size() > most_tried) out.resize(most_tried);
  return out;
}

// The straight line through the spots near one (total least squares), and how many they are.
std::pair<Infinite, int> refined(Infinite line, const std::vector<Spot>& spots, const std::vector<bool>& used) {
  int count = 0;
  for (const double within : {3., 2., 1.5}) {
    double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0, syy = 0;
    const auto off = line.offsets();
    for (std::size_t i = 0; i < spots.size(); ++i) {
      const double x = spots[i].x, y = spots[i].y;
      if (used[i] || std::abs(off(x, y)) > within) continue;
      n += 1, sx += x, sy += y, sxx += x * x, sxy += x * y, syy += y * y;
    }
    count = int(n);
    if (n < 10) return {line, 0};
    const double mx = sx / n, my = sy / n, cxx = sxx / n - mx * mx, cxy = sxy / n - mx * my, cyy = syy / n - my * my;
    const double along = 0.5 * std::atan2(2 * cxy, cxx - cyy);
    line.angle = along + M_PI / 2;
    line.distance = mx * std::cos(line.angle) + my * std::sin(line.angle);
  }
  return {line, count};
}

enum class Seen { nothing, bare, covered };

// The longest stretch of a line along which it shows wherever nothing was drawn on it; none if it is too short.
std::optional<PaleLine> stretch_of(const Infinite& line, const PaleView& view) {
  const Point normal = line.normal(), along{-normal.y, normal.x}, foot = line.distance * normal;
  const double reach = std::hypot(view.smooth.cols, view.smooth.rows);
  const int cells = int(2 * reach / cell_px);
  std::vector<Seen> seen(cells, Seen::nothing);
  std::vector<double> darkness(cells, 0);
  for (int c = 0; c < cells; ++c) {
    int covered = 0, inside = 0;
    std::vector<double> values;
    for (double t = 0.5; t < cell_px; ++t) {
      const Point p = foot + (c * cell_px + t - reach) * along;
      const int x = int(std::lround(p.x)), y = int(std::lround(p.y));
      if (x < 2 || y < 2 || x + 2 >= view.smooth.cols || y + 2 >= view.smooth.rows) continue;
      ++inside, covered += view.covered(y, x) != 0;
      double most = 0;
      for (int d = -1; d <= 1; ++d) {
        const Point q = p + double(d) * normal;
        most = std::max<double>(most, view.smooth(int(std::lround(q.y)), int(std::lround(q.x))));
      }
      // Beside a line there is paper: shading and stains have none.
      const Point l = p + 4. * normal, r = p - 4. * normal;
      const auto at = [&](Point q) {
        return double(view.smooth(std::clamp(int(std::lround(q.y)), 0, view.smooth.rows - 1),
                                  std::clamp(int(std::lround(q.x)), 0, view.smooth.cols - 1)));
      };
      values.push_back(most - std::max(at(l), at(r)));
    }
    if (inside < cell_px / 2) continue;
    if (2 * covered > inside) {
      seen[c] = Seen::covered;
      continue;
    }
    darkness[c] = median(std::move(values));
    if (darkness[c] > view.sigma) seen[c] = Seen::bare;
  }
  int best_from = 0, best_to = 0, best_bare = 0;
  for (int from = 0; from < cells; ++from) {
    if (seen[from] != Seen::bare) continue;
    int bare = 0, empty = 0, gap = 0, last = from;
    for (int c = from; c < cells && gap <= longest_gap; ++c) {
      if (seen[c] == Seen::bare) ++bare, gap = 0, last = c;
      if (seen[c] == Seen::nothing) ++empty, ++gap;
    }
    empty -= std::min(empty, gap);
    if (bare > best_bare && bare >= least_seen * (bare + empty)) best_bare = bare, best_from = from, best_to = last + 1;
    from = last;
  }
  const double side = std::max(view.smooth.cols, view.smooth.rows);
  if ((best_to - best_from) * cell_px < least_length * side || best_bare * cell_px < least_bare * side)
    return std::nullopt;
  std::vector<double> of_bare;
  for (int c = best_from; c < best_to; ++c)
    if (seen[c] == Seen::bare) of_bare.push_back(darkness[c]);
  const double middle = quantile(of_bare, 0.5), dark_end = quantile(std::move(of_bare), 0.9);
  if (middle > pale * view.level || dark_end > drawn_share * view.level) return std::nullopt;
  // Beyond its end grain may look like more of it: two of the last three cells must show it plainly.
  const auto plain = [&](int c) {
    return c >= best_from && c < best_to && seen[c] == Seen::bare && darkness[c] > 0.4 * middle;
  };
  while (best_to - best_from > 3 && !(plain(best_to - 1) && plain(best_to - 2) + plain(best_to - 3) >= 1)) --best_to;
  while (best_to - best_from > 3 && !(plain(best_from) && plain(best_from + 1) + plain(best_from + 2) >= 1))
    ++best_from;
  if ((best_to - best_from) * cell_px < least_length * side) return std::nullopt;
  int crossed = 0;
  for (int c = best_from + 1; c + 1 < best_to; ++c) crossed += seen[c] == Seen::covered && seen[c - 1] != Seen::covered;
  if (crossed < 2) return std::nullopt;  // it runs beside the drawing, or ends in it
  return PaleLine{foot + (best_from * cell_px - reach) * along, foot + (best_to * cell_px - reach) * along, middle,
                  crossed};
}

// Does a line end by itself, or at the edge of the picture, and not at another line?
bool ends_free(const PaleView& view, const Infinite& line, Point end, double darkness) {
  const int cols = view.smooth.cols, rows = view.smooth.rows;
  if (std::min({end.x, end.y, cols - 1 - end.x, rows - 1 - end.y}) < end_px) return true;
  const double least = std::max(3 * view.sigma, 0.5 * darkness);
  int joined = 0;
  const auto off = line.offsets();
  for (int y = std::max(0, int(end.y - end_px)); y <= std::min<double>(rows - 1, end.y + end_px); ++y)
    for (int x = std::max(0, int(end.x - end_px)); x <= std::min<double>(cols - 1, end.x + end_px); ++x)
      joined +=
          distance({double(x), double(y)}, end) < end_px && std::abs(off(x, y)) > flank_px && view.smooth(y, x) > least;
  return joined < least_joined_px2;
}

}  // namespace

Construction find_construction(PaleView view, const std::stop_token& stop) {
  if (view.level <= 0) return {};
  cover_drawn(drawn_share, &view);
  if (stop.stop_requested()) return {};
  const std::vector<Spot> spots = pale_spots(view);
  std::vector<bool> used(spots.size(), false);
  const int least_votes = int(least_bare * std::max(view.smooth.cols, view.smooth.rows));
  Construction found;
  std::vector<PaleLine>& out = found.lines;
  found.drawn_level = view.level;
  for (const Candidate& c : candidates_of(spots, view.smooth.size(), least_votes, stop)) {
    if (stop.stop_requested()) return {};
    const auto [line, count] = refined(c.line, spots, used);
    if (count < least_votes / 2) continue;
    const auto stretch = stretch_of(line, view);
    if (!stretch || stretch->darkness < least_darkness || !ends_free(view, line, stretch->from, stretch->darkness) ||
        !ends_free(view, line, stretch->to, stretch->darkness))
      continue;
    const auto off = line.offsets();
    for (std::size_t i = 0; i < spots.size(); ++i)
      if (std::abs(off(spots[i].x, spots[i].y)) < 4) used[i] = true;
    out.push_back(*stretch);
  }
  if (out.size() > most_lines) return {};
  for (PaleLine& line : out)  // centres of reduced pixels to those of whole ones
    for (Point* p : {&line.from, &line.to}) *p = on_sheet(*p, view.reduction);
  return found;
}

}  // namespace batten
