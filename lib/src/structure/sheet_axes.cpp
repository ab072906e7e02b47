#include "structure/sheet_axes.h"

#include <algorithm>
#include <cmath>

#include "base/nesting.h"
#include "structure/axis_run.h"

namespace batten {
namespace {

// By how much a hand misses a direction where nothing is ruled (common practice, no source).
constexpr double hand_deg = 0.5;
// A straight this near an axis is taken as meant to lie on it, whatever its points say.
constexpr double on_axis_deg = 1.5;
// Upright strokes lean, and level ones slope, by up to as much in slanted letters; diagonals do so by more.
constexpr double leaning_deg = 15, sloping_deg = 8;

struct Lean {
  std::size_t loop = 0;
  bool vertical = false;
  double deg = 0;  // as a turn of the sheet: positive clockwise on screen
  double sd_deg = 0;
  double length_px = 0;
};

// Straights near an axis, with their direction read from their points.
std::vector<Lean> leans_of(const SpacedLoops& loops, const Straights& straights) {
  std::vector<Lean> out;
  for (std::size_t k = 0; k < straights.of_loop.size(); ++k) {
    const SpacedLoop& loop = loops.loops[k];
    for (const Straight& s : straights.of_loop[k]) {
      const Point along = s.b - s.a;
      Lean l;
      l.loop = k, l.vertical = std::abs(along.y) > std::abs(along.x);
      const double trim = std::min(0.5 * loop.scale_px, 0.2 * s.length_px());  // ends lie in the rounding of corners
      const double tilt = tilt_of_run_deg(loop, l.vertical, s.from + trim, s.to - trim);
      if (std::abs(tilt) > (l.vertical ? leaning_deg : sloping_deg)) continue;
      l.deg = l.vertical ? -tilt : tilt;
      l.length_px = s.length_px() - 2 * trim;
      l.sd_deg = tilt_sd_deg(loop, l.length_px);
      out.push_back(l);
    }
  }
  return out;
}

struct MeanLean {
  double deg = 0, sd_deg = 1e9;
  std::size_t count = 0;
};

// The direction on which most of the length agrees: the mean of those near the middle one.
MeanLean agreed(const std::vector<Lean>& leans, bool vertical) {
  std::vector<const Lean*> own;
  double total = 0;
  for (const Lean& l : leans)
    if (l.vertical == vertical && std::abs(l.deg) <= largest_turn_deg) own.push_back(&l), total += l.length_px;
  std::sort(own.begin(), own.end(), [](const Lean* a, const Lean* b) { return a->deg < b->deg; });
  MeanLean m;
  double middle = 0, half = 0;
  for (const Lean* l : own) {
    middle = l->deg, half += l->length_px;
    if (half >= 0.5 * total) break;
  }
  double sum = 0, weight = 0, square = 0, near = 0;
  for (const Lean* l : own) {
    if (std::abs(l->deg - middle) > std::max(on_axis_deg, 3 * l->sd_deg)) continue;
    const double w = 1 / (l->sd_deg * l->sd_deg + hand_deg * hand_deg);
    near += l->length_px;
    sum += w * l->deg, weight += w, square += w * l->deg * l->deg;
    ++m.count;
  }
  constexpr double most = 0.8;  // of the length: letters that lean each their own way agree on nothing
  if (m.count == 0 || near < most * total) return {};
  m.deg = sum / weight;
  const double scatter =
      m.count > 1 ? std::sqrt(std::max(0.0, square / weight - m.deg * m.deg) / double(m.count - 1)) : 0;
  m.sd_deg = std::max(scatter, std::sqrt(1 / weight) * 0.5);  // what is seen, not less than half of what is expected
  return m;
}

MeanLean pooled(const MeanLean& a, const MeanLean& b) {
  const double u = 1 / (a.sd_deg * a.sd_deg), v = 1 / (b.sd_deg * b.sd_deg);
  return {(u * a.deg + v * b.deg) / (u + v), std::sqrt(1 / (u + v)), a.count + b.count};
}

// Ruled lines are straight over the whole sheet: the middle of their slopes.
bool turn_of_guides(const std::vector<Guide>& guides, SheetAxes* out) {
  std::vector<double> deg;
  for (const Guide& g : guides)
    if (const double d = degrees(std::atan(g.slope)); std::abs(d) <= largest_turn_deg) deg.push_back(d);
  if (deg.empty()) return false;
  std::sort(deg.begin(), deg.end());
  out->turn_known = true;
  out->turn_deg = 0.5 * (deg[(deg.size() - 1) / 2] + deg[deg.size() / 2]);
  out->turn_sd_deg = 0.1 / std::sqrt(double(deg.size()));  // drawn along a ruler laid on by eye
  return true;
}

void turn_of_straights(const std::vector<Lean>& leans, SheetAxes* out) {
  const MeanLean level = agreed(leans, false), vertical = agreed(leans, true);
  // Stems alone can't tell a sheet laid askew from letters that lean; two level straights may slope by chance.
  constexpr std::size_t enough = 3;
  if (level.count == 0) return;
  const double apart = std::abs(level.deg - vertical.deg);
  const bool agree = vertical.count > 0 && apart < std::max(0.5, 3 * std::hypot(level.sd_deg, vertical.sd_deg));
  const MeanLean turn = agree ? pooled(level, vertical) : level;
  if (turn.count < enough) return;
  out->turn_known = true, out->turn_deg = turn.deg, out->turn_sd_deg = turn.sd_deg;
}

struct AxisVotes {
  double on = 0, left = 0, right = 0;
  void add(const Lean& l) {
    // A short side says little about its direction.
    const double said = l.length_px / (1 + l.sd_deg * l.sd_deg / (on_axis_deg * on_axis_deg));
    if (std::abs(l.deg) <= on_axis_deg)
      on += said;
    else if (std::abs(l.deg) > 2.5 * l.sd_deg)
      (l.deg < 0 ? left : right) += said;
  }
};

bool meant(const AxisVotes& letter, const AxisVotes& sheet) {
  // Letters with few straights of their own go with the sheet.
  constexpr double neighbours = 0.2;
  const double on = letter.on + neighbours * sheet.on;
  const double off = std::max(letter.left + neighbours * sheet.left, letter.right + neighbours * sheet.right);
  return 2 * on >= off;
}

}  // namespace

SheetAxes find_sheet_axes(const SpacedLoops& loops, const Straights& straights, const std::vector<Guide>& guides) {
  SheetAxes out;
  const std::vector<Lean> leans = leans_of(loops, straights);
  if (!turn_of_guides(guides, &out)) turn_of_straights(leans, &out);
  std::vector<std::vector<Point>> polygons;
  for (const SpacedLoop& l : loops.loops) polygons.push_back(l.open() ? Polyline{} : l.curve.points);
  const std::vector<int> parent = nesting(polygons);
  const auto letter_of = [&](std::size_t k) {
    while (parent[k] >= 0) k = std::size_t(parent[k]);
    return k;
  };
  std::vector<AxisVotes> level(loops.loops.size()), vertical(loops.loops.size());
  AxisVotes level_all, vertical_all;
  for (const Lean& l : leans) {
    (l.vertical ? vertical : level)[letter_of(l.loop)].add(l);
    (l.vertical ? vertical_all : level_all).add(l);
  }
  for (std::size_t k = 0; k < loops.loops.size(); ++k) {
    const std::size_t letter = letter_of(k);
    out.of_loop.push_back({meant(level[letter], level_all), meant(vertical[letter], vertical_all)});
  }
  return out;
}

}  // namespace batten
