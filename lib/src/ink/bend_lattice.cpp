#include "ink/bend_lattice.h"

#include <algorithm>
#include <cmath>
#include <queue>
#include <tuple>

namespace batten {
namespace {

constexpr int lines_around = 2, strips_around = 1;  // to either side: what is drawn bends no such bundle
constexpr double step_px = 0.5;
// From one strip or line to the next: 2 px over 32 are 3.6 degrees, more than paper bends that fits a polynomial.
constexpr int most_steps = 4;
// What a step to either side costs, as a share of a bundle that is printed all along: grain tells no direction.
constexpr double cost_of_step = 0.02;
// Bundles that show less than this share of the print tell nothing: they go with those beside them.
constexpr double least_share = 0.3;

// How much of the print each line shows in each strip when moved by so much. Drawn lines count no more than printed.
class Prints {
 public:
  Prints(const Strips& strips, const Lattice& lattice)
      : strips_(strips), lattice_(lattice), most_(0.5 * lattice.amplitude_px) {}

  // 0 no print .. 1 all of the lines around are printed there.
  double share(int line, int strip, double off_px) const {
    double sum = 0, count = 0;
    for (int i = std::max(0, line - lines_around); i <= std::min(lines() - 1, line + lines_around); ++i)
      for (int s = std::max(0, strip - strips_around); s <= std::min(strips_.mean.width - 1, strip + strips_around);
           ++s)
        sum += at(s, lattice_.y_px[i][s] + off_px), count += 1;
    return sum / (count * most_);
  }
  int lines() const { return int(lattice_.y_px.size()); }

 private:
  // A printed line is two pixels broad or more: half a pixel to either side of its middle is as dark.
  double at(int strip, double y) const {
    const int row = int(std::floor(y));
    if (row < 0 || row + 1 >= strips_.mean.height) return 0;
    const double part = y - row;
    return (1 - part) * shown(strip, row) + part * shown(strip, row + 1);
  }
  double shown(int strip, int row) const { return std::clamp<double>(strips_.sharp.at(strip, row), 0., most_); }

  const Strips& strips_;
  const Lattice& lattice_;
  double most_;
};

struct Cell {
  double share = 0;
  int line = 0, strip = 0;
  bool operator<(const Cell& other) const {  // the best first; ties from the top left on
    return std::tuple(share, -line, -strip) < std::tuple(other.share, -other.line, -other.strip);
  }
};

// Where one line was moved to in one strip.
struct Placed {
  double off_px = 0;
  bool known = false;
};
using Field = std::vector<std::vector<Placed>>;

double mean_around(const Field& field, int line, int strip) {
  double sum = 0, count = 0;
  for (int i = std::max(0, line - 1); i <= std::min(int(field.size()) - 1, line + 1); ++i)
    for (int s = std::max(0, strip - 1); s <= std::min(int(field[i].size()) - 1, strip + 1); ++s)
      if (field[i][s].known) sum += field[i][s].off_px, count += 1;
  return count > 0 ? sum / count : 0;
}

// Lines beyond the outermost, evenly on to the edges of the picture: a sheet that lies askew has short ones there.
void extend(int height, Lattice* lattice) {
  std::vector<std::vector<double>>& lines = lattice->y_px;
  const auto next = [](const std::vector<double>& last, const std::vector<double>& before) {
    std::vector<double> out(last.size());
    for (std::size_t s = 0; s < last.size(); ++s) out[s] = 2 * last[s] - before[s];
    return out;
  };
  if (lines.size() < 2) return;
  const auto within = [height](const std::vector<double>& line) {
    return std::any_of(line.begin(), line.end(), [height](double y) { return y >= 0 && y < height; });
  };
  // Never more than there can be, should neighbours meet.
  const auto most = std::size_t(2 * height / std::max(1., lattice->pitch_px));
  for (auto line = next(lines.back(), lines[lines.size() - 2]); within(line) && lines.size() < most;
       line = next(lines.back(), lines[lines.size() - 2]))
    lines.push_back(line);
  for (auto line = next(lines[0], lines[1]); within(line) && lines.size() < most; line = next(lines[0], lines[1]))
    lines.insert(lines.begin(), line);
}

}  // namespace

Lattice bend_lattice(const Strips& strips, Lattice lattice, const std::stop_token& stop) {
  extend(strips.mean.height, &lattice);
  const Prints prints(strips, lattice);
  const int lines = prints.lines(), n = strips.mean.width;
  Field field(lines, std::vector<Placed>(n));
  Cell start;
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < n; ++s) start = std::max(start, {prints.share(i, s, 0), i, s});
  std::priority_queue<Cell> open;
  const auto place = [&](int line, int strip, double expected_px) {
    Cell cell{-1, line, strip};
    double best_off = expected_px, best = -1;
    for (int k = -most_steps; k <= most_steps; ++k) {
      const double off = expected_px + k * step_px, share = prints.share(line, strip, off);
      if (share - cost_of_step * std::abs(k) > best)
        best = share - cost_of_step * std::abs(k), best_off = off, cell.share = share;
    }
    field[line][strip] = {cell.share < least_share ? expected_px : best_off, true};
    open.push(cell);
  };
  place(start.line, start.strip, 0);
  for (int rounds = 0; !open.empty(); ++rounds) {
    if (rounds % 64 == 0 && stop.stop_requested()) return lattice;
    const Cell cell = open.top();
    open.pop();
    const std::pair<int, int> beside[] = {{-1, 0}, {1, 0}, {0, -1}, {0, 1}};
    for (const auto& [i, s] : beside) {
      const int line = cell.line + i, strip = cell.strip + s;
      if (line < 0 || line >= lines || strip < 0 || strip >= n || field[line][strip].known) continue;
      place(line, strip, mean_around(field, line, strip));
    }
  }
  double farthest = 0;
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < n; ++s)
      if (prints.share(i, s, field[i][s].off_px) >= least_share)
        farthest = std::max(farthest, std::abs(field[i][s].off_px));
  if (farthest <= 1) return lattice;
  for (int i = 0; i < lines; ++i)
    for (int s = 0; s < n; ++s) lattice.y_px[i][s] += mean_around(field, i, s);
  return lattice;
}

}  // namespace batten
