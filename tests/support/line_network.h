#pragma once
// Networks of open lines as the pixel stages would locate them: points along known curves, with an error across that
// is alike over a band width.

#include <functional>
#include <memory>

#include "api/located.h"
#include "base/loops.h"
#include "base/vec.h"
#include "support/random.h"

namespace batten::support {

using Path = std::function<Point(double)>;  ///< from 0 to 1

inline Path straight(Point from, Point to) {
  return [=](double t) { return (1 - t) * from + t * to; };
}
inline Path arc(Point centre, double radius_px, double from_rad, double to_rad) {
  return [=](double t) { return centre + radius_px * direction(from_rad + (to_rad - from_rad) * t); };
}
inline LineEnd at_junction(int number) {
  LineEnd e;
  e.junction = number;
  return e;
}
inline LineEnd on_curve(int loop) {
  LineEnd e;
  e.on_loop = loop;
  return e;
}

class LineNetwork {
 public:
  explicit LineNetwork(double sigma_px = 0.3, double band_px = 8)
      : sigma_px_(sigma_px), band_px_(band_px), random_("LineNetwork", "noise") {}

  int add_line(const Path& path, LineEnd start = {}, LineEnd end = {}) {
    Loop& loop = add(path);
    loop.open = true, loop.kind = Kind::line, loop.start = start, loop.end = end;
    return int(loops.loops.size()) - 1;
  }
  int add_closed(const Path& path) {
    add(path).points.pop_back();
    return int(loops.loops.size()) - 1;
  }
  Located located() const {
    auto data = std::make_shared<Located::Data>();
    data->loops = loops;
    data->width_px = data->height_px = 1000;
    return Located(data);
  }
  Loops loops;

 private:
  Loop& add(const Path& path) {
    constexpr int fine = 400;
    double length_px = 0;
    for (int i = 0; i < fine; ++i) length_px += distance(path(double(i) / fine), path(double(i + 1) / fine));
    const int count = std::max(4, int(length_px)), beside = int(2 * band_px_);
    std::vector<double> white(std::size_t(count + 1 + 2 * beside));
    for (double& w : white) w = random_.normal();
    Loop& loop = loops.loops.emplace_back();
    for (int i = 0; i <= count; ++i) {
      double sum = 0, squares = 0;
      for (int k = -beside; k <= beside; ++k) {
        const double w = std::exp(-0.5 * k * k / (0.25 * band_px_ * band_px_));
        sum += w * white[std::size_t(i + k + beside)], squares += w * w;
      }
      const double t = double(i) / count, dt = 0.5 / count;
      const Point along = unit(path(std::min(1.0, t + dt)) - path(std::max(0.0, t - dt)));
      loop.points.push_back(path(t) + sigma_px_ * sum / std::sqrt(squares) * left_of(along));
    }
    loop.kind = Kind::outlined;
    loop.sigma_px = sigma_px_, loop.band_px = band_px_, loop.rounding_px = 0.3 * band_px_;
    loop.correlation_px = band_px_;
    return loop;
  }

  double sigma_px_, band_px_;
  Random random_;
};

/// A hand-ruled table of `cells` by `cells` fields of 200 px: each piece between two crossings is a line of its own,
/// each field an area. Crossings lie up to `off_px` beside where they belong.
inline LineNetwork table(int cells, double off_px) {
  LineNetwork net;
  const int n = cells + 1;
  const auto at = [&](int i, int j) {
    return Point{100 + 200. * i + off_px * ((i * 7 + j * 3) % 3 - 1), 100 + 200. * j + off_px * ((i + 2 * j) % 3 - 1)};
  };
  const auto end = [&](int i, int j) { return at_junction(i * n + j); };
  std::vector<int> level, vertical;
  for (int j = 0; j < n; ++j)
    for (int i = 0; i < cells; ++i)
      level.push_back(net.add_line(straight(at(i, j), at(i + 1, j)), end(i, j), end(i + 1, j)));
  for (int i = 0; i < n; ++i)
    for (int j = 0; j < cells; ++j)
      vertical.push_back(net.add_line(straight(at(i, j), at(i, j + 1)), end(i, j), end(i, j + 1)));
  const auto l = [&](int i, int j) { return level[std::size_t(j * cells + i)]; };
  const auto v = [&](int i, int j) { return vertical[std::size_t(i * cells + j)]; };
  for (int i = 0; i < cells; ++i)
    for (int j = 0; j < cells; ++j)
      net.loops.areas.push_back({{{l(i, j), false}, {v(i + 1, j), false}, {l(i, j + 1), true}, {v(i, j), true}}});
  for (int j = 0; j < n; ++j)
    for (int i = 0; i + 1 < cells; ++i) {
      net.loops.runs_on.push_back({l(i, j), true, l(i + 1, j), false});
      net.loops.runs_on.push_back({v(j, i), true, v(j, i + 1), false});
    }
  return net;
}

}  // namespace batten::support
