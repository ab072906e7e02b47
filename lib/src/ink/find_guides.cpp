#include "ink/find_guides.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <tuple>

#include "base/statistics.h"

namespace batten {
namespace {

constexpr int follow_px = 3;  // within this distance of the straight line the line is looked for in each strip
constexpr int slopes_each_way = 80;
constexpr double slope_step = 0.0005;

Plane<float> without_median(const Plane<float>& mean) {
  constexpr int beside = 5;
  Plane<float> out(mean.width, mean.height);
  for (int s = 0; s < mean.width; ++s) {
    std::array<float, 2 * beside + 1> sorted;  // the window round a row
    auto end = sorted.begin();
    for (int y = -beside; y < mean.height; ++y) {
      if (y > beside) {
        const auto gone = std::lower_bound(sorted.begin(), end, mean.at(s, y - beside - 1));
        end = std::copy(gone + 1, end, gone);
      }
      if (const int next = y + beside; next < mean.height) {
        const auto place = std::upper_bound(sorted.begin(), end, mean.at(s, next));
        std::copy_backward(place, end, end + 1);
        *place = mean.at(s, next), ++end;
      }
      if (y >= 0) out.at(s, y) = mean.at(s, y) - sorted[std::size_t(end - sorted.begin()) / 2];
    }
  }
  return out;
}

// A straight line through the strips: row y in the middle of the sheet, slope in steps of slope_step.
struct StraightRow {
  double score = 0;
  int y = 0, slope = 0;
};

int row_at(const Strips& strips, int y, int slope, int s) {
  const double from_middle = strips.middle_px(s) - strips.middle_px(strips.mean.width / 2);
  return y + int(std::lround(slope * slope_step * from_middle));
}

// What each row of a strip adds to the lines through it.
struct Votes {
  std::vector<double> value;  // in sigma; letters must not outvote the line, so 6 is the most
  std::vector<int> lit;       // 1 where the row stands out
};

std::vector<Votes> votes_of(const Strips& strips) {
  const int n = strips.mean.width, h = strips.mean.height;
  std::vector<Votes> out(n, {std::vector<double>(h), std::vector<int>(h)});
  for (int y = 0; y < h; ++y)
    for (int s = 0; s < n; ++s) {
      const double v = strips.sharp.at(s, y) / strips.noise;
      out[s].value[y] = std::clamp(v, -3., 6.), out[s].lit[y] = v > 1.5;
    }
  return out;
}

std::vector<StraightRow> candidates_of(const Strips& strips, const std::stop_token& stop) {
  const int n = strips.mean.width, h = strips.mean.height;
  const std::vector<Votes> votes = votes_of(strips);
  std::vector<StraightRow> out;
  std::vector<double> sum(h);
  std::vector<int> lit(h), inside(h);
  for (int slope = -slopes_each_way; slope <= slopes_each_way && !stop.stop_requested(); ++slope) {
    std::fill(sum.begin(), sum.end(), 0.), std::fill(lit.begin(), lit.end(), 0);
    std::fill(inside.begin(), inside.end(), 0);
    for (int s = 0; s < n; ++s) {  // a strip at a time: whole columns are added up
      const int shift = row_at(strips, 0, slope, s), from = std::max(0, -shift), to = std::min(h, h - shift);
      if (from >= to) continue;
      const double* const value = votes[s].value.data() + shift;
      const int* const mark = votes[s].lit.data() + shift;
      for (int y = from; y < to; ++y) sum[y] += value[y], lit[y] += mark[y], ++inside[y];
    }
    for (int y = 0; y < h; ++y) {
      if (inside[y] < 0.6 * n || sum[y] <= 2 * inside[y] || lit[y] <= 0.6 * inside[y]) continue;
      out.push_back({sum[y] / inside[y], y, slope});
    }
  }
  std::sort(out.begin(), out.end(), [](const StraightRow& a, const StraightRow& b) {
    return std::tuple(-a.score, a.y, a.slope) < std::tuple(-b.score, b.y, b.slope);
  });
  std::vector<StraightRow> kept;
  for (const StraightRow& c : out) {
    // Two lines of one sheet are at least 12 px apart; the same line shows at many slopes.
    const bool again =
        std::any_of(kept.begin(), kept.end(), [&](const StraightRow& k) { return std::abs(k.y - c.y) < 12; });
    if (!again) kept.push_back(c);
    if (kept.size() >= 100) break;
  }
  return kept;
}

void fit_straight(const Strips& strips, const std::vector<double>& y, GuideTrack* track) {
  double n = 0, sx = 0, sy = 0, sxx = 0, sxy = 0;
  for (std::size_t s = 0; s < y.size(); ++s) {
    if (!track->seen[s]) continue;
    const double x = strips.middle_px(int(s));
    n += 1, sx += x, sy += y[s], sxx += x * x, sxy += x * y[s];
  }
  const double det = n * sxx - sx * sx;
  track->slope = det > 0 ? (n * sxy - sx * sy) / det : 0;
  track->at_zero_px = n > 0 ? (sy - track->slope * sx) / n : 0;
}

GuideTrack follow(const Strips& strips, const StraightRow& c) {
  const int n = strips.mean.width, h = strips.mean.height;
  std::vector<double> y(n, 0), amplitude(n, 0);
  std::vector<float> amplitudes;
  GuideTrack track;
  track.seen.assign(n, false);
  for (int s = 0; s < n; ++s) {
    const int row = row_at(strips, c.y, c.slope, s);
    double sum = 0, moment = 0;
    for (int v = std::max(0, row - follow_px); v <= std::min(h - 1, row + follow_px); ++v) {
      const double a = std::max(0.f, strips.sharp.at(s, v));
      sum += a, moment += a * v;
    }
    amplitude[s] = sum;
    y[s] = sum > 0 ? moment / sum : row;
    amplitudes.push_back(float(sum));
  }
  // The lower third stands for the typical amplitude of the bare line, since drawn things only add to it.
  std::sort(amplitudes.begin(), amplitudes.end());
  track.amplitude_px = amplitudes[amplitudes.size() / 3];
  for (int s = 0; s < n; ++s) {
    const double off = y[s] - row_at(strips, c.y, c.slope, s);
    track.seen[s] =
        amplitude[s] > 0.4 * track.amplitude_px && amplitude[s] < 1.8 * track.amplitude_px && std::abs(off) < 1.5;
  }
  fit_straight(strips, y, &track);
  track.y_px = filled_in(y, track.seen, 3);
  track.gain = filled_in(amplitude, track.seen, 3);
  double mean = 0, seen = 0;
  for (int s = 0; s < n; ++s)
    if (track.seen[s]) mean += amplitude[s], seen += 1;
  for (double& g : track.gain) g = mean > 0 ? g * seen / mean : 1;
  return track;
}

}  // namespace

Strips strips_of(const Plane<float>& ink) {
  const int n = ink.width / Strips::strip_px;
  Strips out;
  if (n < 1) return out;
  out.mean = Plane<float>(n, ink.height);
  for (int y = 0; y < ink.height; ++y)
    for (int s = 0; s < n; ++s) {
      float sum = 0;
      const float* strip = ink.row(y) + s * Strips::strip_px;
      for (int x = 0; x < Strips::strip_px; ++x) sum += strip[x];
      out.mean.at(s, y) = sum / Strips::strip_px;
    }
  out.sharp = without_median(out.mean);
  std::vector<float> rest;
  for (const float v : out.sharp.values) rest.push_back(std::abs(v));
  out.noise = std::max(1.4826 * median(std::move(rest)), 2e-4);
  return out;
}

std::vector<double> filled_in(const std::vector<double>& v, const std::vector<bool>& seen, double spread) {
  std::vector<double> out(v.size());
  for (std::size_t i = 0; i < v.size(); ++i)
    for (const double sigma : {spread, 8., 30., 1e4}) {
      double sum = 0, weight = 0;
      for (std::size_t j = 0; j < v.size(); ++j) {
        if (!seen[j]) continue;
        const double d = (double(i) - double(j)) / sigma, w = std::exp(-0.5 * d * d);
        sum += w * v[j], weight += w;
      }
      if (weight > 0.5) {
        out[i] = sum / weight;
        break;
      }
    }
  return out;
}

std::vector<GuideTrack> find_guides(const Strips& strips, const std::stop_token& stop) {
  std::vector<GuideTrack> out;
  for (const StraightRow& c : candidates_of(strips, stop)) {
    if (stop.stop_requested()) break;
    GuideTrack track = follow(strips, c);
    if (2 * std::count(track.seen.begin(), track.seen.end(), true) >= std::ptrdiff_t(track.seen.size()))
      out.push_back(std::move(track));
  }
  std::sort(out.begin(), out.end(),
            [](const GuideTrack& a, const GuideTrack& b) { return a.at_zero_px < b.at_zero_px; });
  return out;
}

}  // namespace batten
