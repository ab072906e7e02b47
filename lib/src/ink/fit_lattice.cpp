#include "ink/fit_lattice.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

constexpr double least_pitch_px = 12;  // candidates nearer to one another are one line
// A line belongs to the lattice when it lies this near to a whole number of pitches; a third of all do so by chance.
constexpr double off_number = 0.16;
constexpr double farthest_px = 2.5;  // from the lattice to a line of it: paper bends more than the polynomial follows
// Typical distance from the polynomial, in pitches. Measured: 0.003 to 0.014 on flatbed scans, 0.026 to 0.043 on phone
// photos of sheets that did not lie flat. Lines without a common pitch are 0.37 off.
constexpr double most_uneven = 0.06;

// The distance of two neighbours of which most other distances are once to four times as much; the largest such one.
// Twice counts half and so on: a line drawn half-way between two printed ones makes every distance twice the half.
double pitch_of(const std::vector<double>& places) {
  double best = 0, most = 0;
  for (std::size_t i = 1; i < places.size(); ++i) {
    const double pitch = places[i] - places[i - 1];
    if (pitch < least_pitch_px) continue;
    double fits = 0;
    for (std::size_t j = 1; j < places.size(); ++j) {
      const double n = (places[j] - places[j - 1]) / pitch, whole = std::round(n);
      if (whole >= 1 && whole <= 4 && std::abs(n - whole) < off_number / 2) fits += 1 / whole;
    }
    if (fits > most || (fits == most && pitch > best)) most = fits, best = pitch;
  }
  return best;
}

constexpr int no_number = -1000000;

// Numbers the lines outwards from the pair whose distance is nearest to the pitch, which may change slowly along the
// sheet (perspective).
std::vector<int> numbers_of(const std::vector<double>& places, double pitch) {
  std::vector<int> number(places.size(), no_number);
  std::size_t start = 0;
  double nearest = 1e300;
  for (std::size_t i = 0; i + 1 < places.size(); ++i)
    if (const double off = std::abs(places[i + 1] - places[i] - pitch); off < nearest) nearest = off, start = i;
  number[start] = 0;
  for (const int sign : {1, -1}) {
    double at = places[start], p = pitch;
    int last = 0;
    for (auto i = std::ptrdiff_t(start) + sign; i >= 0 && i < std::ptrdiff_t(places.size()); i += sign) {
      const double n = sign * (places[i] - at) / p;
      if (std::round(n) < 1 || std::abs(n - std::round(n)) > off_number) continue;
      p += 0.3 * (sign * (places[i] - at) / std::round(n) - p);
      at = places[i], last += sign * int(std::round(n)), number[i] = last;
    }
  }
  return number;
}

// place = sum of c_ab u^a v^b, a + b <= degree; u by the number of the line, v along it, both about -1 .. 1.
struct Surface {
  double u_middle = 0, u_half = 1, v_middle = 0, v_half = 1;
  std::vector<double> c;

  std::array<double, 10> terms(double number, double x) const {
    const double u = (number - u_middle) / u_half, v = (x - v_middle) / v_half;
    return {1, u, v, u * u, u * v, v * v, u * u * u, u * u * v, u * v * v, v * v * v};
  }
  double at(double number, double x) const {
    const auto t = terms(number, x);
    double y = 0;
    for (std::size_t k = 0; k < c.size(); ++k) y += c[k] * t[k];
    return y;
  }
};

// Where a line was seen in one strip.
struct Sight {
  int number = 0;  // of the line
  double x = 0, y = 0;
};

void solve(const std::vector<Sight>& sights, double within_px, int degree, Surface* surface) {
  const int n = degree == 1 ? 3 : degree == 2 ? 6 : 10;
  cv::Mat1d a = cv::Mat1d::zeros(n, n), b = cv::Mat1d::zeros(n, 1), x;
  for (const Sight& s : sights) {
    if (!surface->c.empty() && std::abs(s.y - surface->at(s.number, s.x)) > within_px) continue;
    const auto t = surface->terms(s.number, s.x);
    for (int i = 0; i < n; ++i) {
      b(i) += t[i] * s.y;
      for (int j = 0; j < n; ++j) a(i, j) += t[i] * t[j];
    }
  }
  cv::solve(a, b, x, cv::DECOMP_SVD);
  surface->c.assign(x.begin(), x.end());
}

double typical_off(const std::vector<Sight>& sights, const Surface& surface) {
  std::vector<double> off;
  for (const Sight& s : sights) off.push_back(std::abs(s.y - surface.at(s.number, s.x)));
  return 1.4826 * median(std::move(off));
}

Surface fit_surface(const std::vector<Sight>& sights, const Strips& strips, double pitch, int lines) {
  int low = sights.front().number, high = low;
  for (const Sight& s : sights) low = std::min(low, s.number), high = std::max(high, s.number);
  Surface surface;
  surface.u_middle = (low + high) / 2., surface.u_half = std::max(1., (high - low) / 2.);
  surface.v_middle = strips.middle_px(strips.mean.width / 2), surface.v_half = std::max(1., surface.v_middle);
  solve(sights, 0, 1, &surface);
  // From coarse to fine, each time without what the last fit left far off: lines drawn beside the printed ones.
  solve(sights, std::max(0.3 * pitch, 4 * typical_off(sights, surface)), 2, &surface);
  const int degree = lines >= 12 ? 3 : 2;  // a cubic needs many lines to stay tame between them
  for (int round = 0; round < 3; ++round)
    solve(sights, std::max(1., 4 * typical_off(sights, surface)), degree, &surface);
  return surface;
}

// How far each line found lies from the polynomial as a whole; lines between them get the mean of their neighbours.
class LineOffsets {
 public:
  LineOffsets(const std::vector<Sight>& sights, const Surface& surface) {
    std::map<int, std::vector<double>> all;
    for (const Sight& s : sights) all[s.number].push_back(s.y - surface.at(s.number, s.x));
    for (auto& [number, off] : all)
      if (const double m = median(std::move(off)); std::abs(m) < farthest_px) of_line_[number] = m;
  }
  double at(int number) const {
    const auto after = of_line_.lower_bound(number);
    if (after != of_line_.end() && after->first == number) return after->second;
    const double a = after == of_line_.end() ? 0 : after->second;
    const double b = after == of_line_.begin() ? 0 : std::prev(after)->second;
    return (a + b) / 2;
  }

 private:
  std::map<int, double> of_line_;
};

}  // namespace

std::optional<Lattice> fit_lattice(const Strips& strips, const std::vector<GuideTrack>& tracks,
                                   std::size_t least_lines) {
  if (tracks.size() < least_lines) return std::nullopt;
  const double middle = strips.middle_px(strips.mean.width / 2);
  std::vector<double> places;
  for (const GuideTrack& t : tracks) places.push_back(t.at_zero_px + t.slope * middle);
  const double pitch = pitch_of(places);
  if (pitch <= 0) return std::nullopt;
  const std::vector<int> number = numbers_of(places, pitch);
  std::vector<Sight> sights;
  std::vector<double> amplitudes;
  int low = 0, high = 0;
  for (std::size_t i = 0; i < tracks.size(); ++i) {
    if (number[i] == no_number) continue;
    low = std::min(low, number[i]), high = std::max(high, number[i]);
    amplitudes.push_back(tracks[i].amplitude_px);
    for (std::size_t s = 0; s < tracks[i].seen.size(); ++s)
      if (tracks[i].seen[s]) sights.push_back({number[i], strips.middle_px(int(s)), tracks[i].y_px[s]});
  }
  const std::size_t found = amplitudes.size();
  if (found < least_lines || 2 * found <= std::size_t(high - low + 1)) return std::nullopt;
  const Surface surface = fit_surface(sights, strips, pitch, int(found));
  Lattice out;
  out.pitch_px = (surface.at(high, middle) - surface.at(low, middle)) / (high - low);
  out.uneven = typical_off(sights, surface) / out.pitch_px;
  if (out.uneven > most_uneven) return std::nullopt;
  out.amplitude_px = median(std::move(amplitudes));
  out.found = found;
  const LineOffsets offsets(sights, surface);
  // A step or two beyond those found: at the edges of the sheet a line may be too short or too faint to be found alone.
  for (int k = low - 2; k <= high + 2; ++k) {
    std::vector<double> line(strips.mean.width);
    for (int s = 0; s < strips.mean.width; ++s) line[s] = surface.at(k, strips.middle_px(s)) + offsets.at(k);
    const auto [least, most] = std::minmax(line.front(), line.back());
    if (most >= 0 && least <= strips.mean.height - 1) out.y_px.push_back(std::move(line));
  }
  return out;
}

}  // namespace batten
