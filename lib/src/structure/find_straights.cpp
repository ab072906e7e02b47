#include "structure/find_straights.h"

#include <algorithm>
#include <array>
#include <numeric>

namespace batten {
namespace {

// A run grows from tolerance tau to `wider` * tau: a straight hardly gains (1.0-1.2, the overhang into its neighbours),
// an arc gains the square root of `wider` (1.58), an inflection 1.36.
constexpr double wider = 2.5;
constexpr double largest_growth = 1.15;

struct Line {
  Point centre, dir;
};

// Sums over the loop that give the least-squares line of any run at once.
class RunLines {
 public:
  explicit RunLines(const ArcLoop& loop) : loop_(loop), sums_(2 * loop.size() + 1) {
    origin_ = loop[0];
    for (std::size_t i = 0; i < 2 * loop.size(); ++i) {
      const Point p = loop[std::ptrdiff_t(i)] - origin_;
      const auto& s = sums_[i];
      sums_[i + 1] = {s[0] + p.x, s[1] + p.y, s[2] + p.x * p.x, s[3] + p.x * p.y, s[4] + p.y * p.y};
    }
  }
  // Points first..last, 0 <= first <= last < 2 n.
  Line line(std::ptrdiff_t first, std::ptrdiff_t last) const {
    const auto n = std::ptrdiff_t(loop_.size());
    const auto turns = first >= 0 ? first / n : -((-first + n - 1) / n);
    first -= turns * n, last -= turns * n;
    const auto& a = sums_[std::size_t(first)];
    const auto& b = sums_[std::size_t(last) + 1];
    const double m = double(last - first + 1), x = (b[0] - a[0]) / m, y = (b[1] - a[1]) / m;
    const double xx = (b[2] - a[2]) / m - x * x, xy = (b[3] - a[3]) / m - x * y, yy = (b[4] - a[4]) / m - y * y;
    Point d = direction(0.5 * std::atan2(2 * xy, xx - yy));
    if (dot(d, loop_[last] - loop_[first]) < 0) d = -1 * d;
    return {{origin_.x + x, origin_.y + y}, d};
  }
  double offset(const Line& l, std::ptrdiff_t i) const { return cross(l.dir, loop_[i] - l.centre); }
  double worst(const Line& l, std::ptrdiff_t first, std::ptrdiff_t last) const {
    double w = 0;
    for (auto i = first; i <= last; ++i) w = std::max(w, std::abs(offset(l, i)));
    return w;
  }

 private:
  const ArcLoop& loop_;
  Point origin_;
  std::vector<std::array<double, 5>> sums_;
};

struct Run {
  std::ptrdiff_t first = 0, last = 0;
  std::ptrdiff_t count() const { return last - first; }
};

// Grows a run both ways while the next points stay within tau of its own line; never past a barrier.
Run grow(const RunLines& lines, Run run, double tau, std::ptrdiff_t low, std::ptrdiff_t high, std::ptrdiff_t most) {
  bool left = true, right = true;
  Line l = lines.line(run.first, run.last);
  const auto fits = [&](std::ptrdiff_t i) { return i >= low && i <= high && std::abs(lines.offset(l, i)) <= tau; };
  for (std::ptrdiff_t steps = 1; (left || right) && run.count() < most; ++steps) {
    if (right && (right = fits(run.last + 1))) ++run.last;
    if (left && (left = fits(run.first - 1))) --run.first;
    if (steps % 4 != 0 && (left || right)) continue;
    const Line next = lines.line(run.first, run.last);
    const bool turned = std::abs(cross(next.dir, l.dir)) > 1e-5;
    l = next;
    if (turned && run.count() < most)  // the line moved: both ends deserve another look
      left = left || fits(run.first - 1), right = right || fits(run.last + 1);
  }
  // Trim ends that the final line no longer holds.
  while (run.count() > 4 && std::abs(lines.offset(l, run.first)) > tau) ++run.first;
  while (run.count() > 4 && std::abs(lines.offset(l, run.last)) > tau) --run.last;
  return run;
}

struct GrownRun {
  Run run;
  double growth = 1;
};

std::vector<double> tolerances(const SpacedLoop& loop) {
  std::vector<double> tau;
  for (double k : {0.7, 1.3, 2.2}) tau.push_back(0.15 + k * loop.sigma_px);
  if (loop.band_px > 3) tau.push_back(0.15 + 3.2 * loop.sigma_px);  // long stems wander further
  return tau;
}

// A stretch round an accepted corner that no straight may run through, and that says nothing of where its sides lie.
struct Barrier {
  double from = 0, to = 0;
};

double shortest_px(const SpacedLoop& loop) { return std::max(9.0, 8 + 1.2 * loop.band_px); }

// Beside a corner the located points lie off its sides: within its zone less half a band, and never so far along a
// short side that too little of it is left.
std::vector<Barrier> barriers_of(const SpacedLoop& loop, const std::vector<Corner>& corners) {
  std::vector<const Corner*> sharp;
  for (const Corner& c : corners)
    if (c.accepted) sharp.push_back(&c);
  std::vector<Barrier> out;
  for (std::size_t k = 0; k < sharp.size(); ++k) {
    const double len = loop.curve.length_px(), here = sharp[k]->arc;
    const auto margin = [&](double side_px) {
      const double off = std::max(0.0, sharp[k]->zone_px - 0.5 * loop.band_px);
      return std::clamp(0.5 * (side_px - shortest_px(loop)) - 2, 0.0, off);
    };
    const bool alone = sharp.size() == 1;
    double back = alone ? len : loop.curve.ahead(sharp[(k + sharp.size() - 1) % sharp.size()]->arc, here);
    double ahead = alone ? len : loop.curve.ahead(here, sharp[(k + 1) % sharp.size()]->arc);
    if (loop.open()) back = std::min(back, here), ahead = std::min(ahead, loop.curve.line_px - here);
    out.push_back({here - margin(back), here + margin(ahead)});
  }
  if (loop.open()) out.push_back({loop.curve.line_px, loop.curve.length_px()});  // the way back
  return out;
}

std::vector<GrownRun> runs_of(const SpacedLoop& loop, const std::vector<Corner>& corners) {
  const RunLines lines(loop.curve);
  const double h = loop.curve.step_px;
  const auto n = std::ptrdiff_t(loop.curve.size());
  const auto shortest = std::ptrdiff_t(std::ceil(shortest_px(loop) / h));
  const std::vector<Barrier> barriers = barriers_of(loop, corners);
  std::vector<GrownRun> found;
  if (n < 2 * shortest) return found;
  for (double tau : tolerances(loop)) {
    std::ptrdiff_t covered = -1;
    for (std::ptrdiff_t seed = 0; seed < n; seed += std::max<std::ptrdiff_t>(1, shortest / 4)) {
      if (seed + shortest <= covered) continue;
      Run run{seed, seed + shortest};
      std::ptrdiff_t low = seed - n, high = seed + n;
      bool crossed = false;
      for (const Barrier& barrier : barriers) {
        const auto from = std::ptrdiff_t(std::lround(barrier.from / h)),
                   to = std::ptrdiff_t(std::lround(barrier.to / h));
        for (std::ptrdiff_t turn : {-n, std::ptrdiff_t(0), n}) {
          if (to + turn <= run.first)
            low = std::max(low, to + turn);
          else if (from + turn >= run.last)
            high = std::min(high, from + turn);
          else
            crossed = true;
        }
      }
      if (crossed || lines.worst(lines.line(run.first, run.last), run.first, run.last) > tau) continue;
      const Run held = grow(lines, run, tau, low, high, n - 2);
      const Run wide = grow(lines, held, wider * tau, low, high, n - 2);
      found.push_back({held, double(wide.count()) / double(std::max<std::ptrdiff_t>(1, held.count()))});
      covered = std::max(covered, held.last);
    }
  }
  return found;
}

bool near_axis(double along, double across, const SpacedLoop& loop) {
  // Half the offset is what an end moves. Never more than 3.4 degrees: that much is drawn on purpose.
  const double tilt_deg = degrees(std::atan2(std::abs(across), std::abs(along)));
  const double move = 0.5 * std::abs(across);
  return tilt_deg <= 3.4 && move <= std::max({0.3 * loop.limit_px, 1.8 * loop.sigma_px, 0.1});
}

Straight straight_of(const SpacedLoop& loop, const RunLines& lines, Run run) {
  const Line l = lines.line(run.first, run.last);
  Straight s;
  s.from = double(run.first) * loop.curve.step_px;
  s.to = double(run.last) * loop.curve.step_px;
  const auto on = [&](std::ptrdiff_t i) { return l.centre + dot(loop.curve[i] - l.centre, l.dir) * l.dir; };
  s.a = on(run.first), s.b = on(run.last);
  const Point d = s.b - s.a;
  s.level = near_axis(d.x, d.y, loop);
  s.vertical = near_axis(d.y, d.x, loop);
  if (s.level) s.a.y = s.b.y = l.centre.y;
  if (s.vertical) s.a.x = s.b.x = l.centre.x;
  return s;
}

// A line too short for runs to grow on is one straight where all of it keeps to one.
std::vector<Straight> whole_line(const SpacedLoop& loop) {
  constexpr double held_sigmas = 2.2;  // as runs are held
  const RunLines lines(loop.curve);
  const auto last = std::ptrdiff_t(loop.curve.drawn_count()) - 1;
  if (lines.worst(lines.line(0, last), 0, last) > 0.15 + held_sigmas * loop.sigma_px) return {};
  return {straight_of(loop, lines, {0, last})};
}

std::vector<Straight> straights_of(const SpacedLoop& loop, const std::vector<Corner>& corners) {
  const bool cornered = std::any_of(corners.begin(), corners.end(), [](const Corner& c) { return c.accepted; });
  if (loop.open() && !cornered && loop.curve.line_px < 2 * shortest_px(loop)) return whole_line(loop);
  std::vector<GrownRun> found = runs_of(loop, corners);
  std::erase_if(found, [](const GrownRun& f) { return f.growth > largest_growth; });
  std::stable_sort(found.begin(), found.end(),
                   [](const GrownRun& a, const GrownRun& b) { return a.run.count() > b.run.count(); });
  const auto n = std::ptrdiff_t(loop.curve.size());
  std::vector<char> taken(std::size_t(n), 0);
  const double h = loop.curve.step_px;
  const auto shortest = std::ptrdiff_t(shortest_px(loop) / h);
  const RunLines lines(loop.curve);
  std::vector<Straight> out;
  for (const GrownRun& f : found) {
    Run r = f.run;
    while (r.count() >= shortest && taken[loop.curve.index(r.first)]) ++r.first;
    while (r.count() >= shortest && taken[loop.curve.index(r.last)]) --r.last;
    bool clash = r.count() < shortest;
    for (auto i = r.first; i <= r.last && !clash; ++i) clash = taken[loop.curve.index(i)];
    if (clash) continue;
    for (auto i = r.first; i <= r.last; ++i) taken[loop.curve.index(i)] = 1;
    Straight s = straight_of(loop, lines, r);
    if (s.from < 0) s.from += loop.curve.length_px(), s.to += loop.curve.length_px();
    if (s.from >= loop.curve.length_px()) s.from -= loop.curve.length_px(), s.to -= loop.curve.length_px();
    out.push_back(s);
  }
  std::sort(out.begin(), out.end(), [](const Straight& a, const Straight& b) { return a.from < b.from; });
  return out;
}

}  // namespace

Result<Straights> find_straights(const SpacedLoops& loops, const Corners& corners, Progress& progress) {
  Straights out;
  for (std::size_t i = 0; i < loops.loops.size(); ++i) {
    if (progress.stopped()) return progress.cancelled();
    out.of_loop.push_back(straights_of(loops.loops[i], corners.of_loop[i]));
  }
  return out;
}

}  // namespace batten
