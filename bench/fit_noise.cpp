// Runs fit() on samples with noise: an ellipse, a star, a spiral, letters of open fonts 500 and 300 px tall, each at
// every tolerance that is at least 2.6 times the noise. A case fails that takes over 1.1 times the segments of the
// noise-free fit at the same tolerance, or has over 2 % of its length farther off the truth than the larger of the
// tolerance and 2.6 times the noise, or crosses itself.
//
//   fit_noise [--all] [--given] [KIND ...]     KIND: white, bell, mean, exponential, as the correlation falls (over
//                                              10 px); default all. --all: a line for each case; --given: fit() is told
//                                              the noise
#include <chrono>
#include <cmath>
#include <cstdio>
#include <map>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "batten/measure.h"
#include "support/font_outline.h"
#include "support/noise.h"
#include "support/random.h"
#include "support/shapes.h"

namespace {

using namespace batten;
using support::Random;
using Polylines = std::vector<std::vector<Point>>;

constexpr double alike_px = 10;

struct Shape {
  std::string name;
  Polylines loops;
  bool closed = true;
};

std::vector<Shape> shapes() {
  constexpr double pi = 3.14159265358979323846;
  std::vector<Point> ellipse, star, spiral;
  for (int i = 0; i < 1000; ++i)
    ellipse.push_back({300 + 100 * std::cos(2 * pi * i / 1000), 200 + 60 * std::sin(2 * pi * i / 1000)});
  for (int i = 0; i < 10; ++i) {
    const double a = pi * i / 5, r = i % 2 ? 45 : 100;
    star.push_back({200 + r * std::sin(a), 200 - r * std::cos(a)});
  }
  for (double a = 0; a < 6 * pi; a += 0.6 / (20 + 12 * a / pi)) {
    const double r = 20 + 20 * a / pi;
    spiral.push_back({300 + r * std::cos(a), 300 + r * std::sin(a)});
  }
  std::vector<Shape> out{
      {"ellipse", {ellipse}}, {"star", {support::points_of(support::polygon(star), 0.5)}}, {"spiral", {spiral}, false}};
  const std::pair<const char*, char32_t> letters[] = {
      {"texgyrepagella-italic.otf", U'a'}, {"GoudyBookletter1911.otf", U'R'}, {"GoudyBookletter1911.otf", U'g'},
      {"EBGaramond12-Regular.otf", U'&'},  {"Cantarell-Regular.otf", U'S'},   {"texgyreheros-bold.otf", U'B'}};
  for (const double height_px : {500.0, 300.0})
    for (const auto& [font, letter] : letters) {
      Shape s{std::string(font).substr(0, 9) + " " + char(letter) + " " + std::to_string(int(height_px)), {}};
      for (const Outline& o : support::glyph(support::font_file(font), letter, height_px, 20))
        s.loops.push_back(support::points_of(o, 0.5));
      if (!s.loops.empty()) out.push_back(s);
    }
  return out;
}

// Share of the length of all outlines that lies within near_px of the truth.
double share_within(const Drawing& drawing, const Polylines& truth, double near_px) {
  double near = 0, all = 0;
  for (const Outline& o : drawing.outlines)
    for (std::size_t i = 0; i < o.segment_count(); ++i) {
      const std::vector<Point> places = support::places_on(o.segment(i), 2);
      for (std::size_t k = 1; k < places.size(); ++k) {
        double least = 1e300;
        for (const auto& loop : truth)
          for (const Point q : loop) least = std::min(least, std::hypot(places[k].x - q.x, places[k].y - q.y));
        const double px = std::hypot(places[k].x - places[k - 1].x, places[k].y - places[k - 1].y);
        all += px, near += least <= near_px ? px : 0;
      }
    }
  return all > 0 ? near / all : 0;
}

struct Sum {
  std::size_t cases = 0, segments = 0, clean = 0, too_many = 0, too_far = 0, crossed = 0;
  double worst = 0, least_share = 1, seconds = 0;
};

struct Given {
  bool told = false, all = false;
};

std::size_t segments_of(const std::vector<PolylineView>& views, const Options& options) {
  const auto made = fit(views, options);
  return made ? made->report.segments : 0;
}

void run(const Shape& shape, support::Alike kind, double noise_px, double tolerance_px, const Given& given,
         std::size_t clean, Random* random, Sum* sum) {
  const Polylines noisy = support::with_noise(shape.loops, noise_px, kind, alike_px, random);
  std::vector<PolylineView> views;
  for (const auto& loop : noisy) {
    PolylineView& view = views.emplace_back(PolylineView{loop, shape.closed});
    if (given.told) view.sigma_px = noise_px;
  }
  Options options;
  options.tolerance_px = tolerance_px;
  const auto start = std::chrono::steady_clock::now();
  const auto made = fit(views, options);
  sum->seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  if (!made) return void(std::printf("%s: %s\n", shape.name.c_str(), made.error().message.c_str()));
  std::size_t crossed = 0;
  for (const Outline& o : made->drawing.outlines) crossed += crosses_itself(o);
  const double near_px = std::max(tolerance_px, 2.6 * noise_px);
  const double share = share_within(made->drawing, shape.loops, near_px);
  const std::size_t segments = made->report.segments;
  const double ratio = double(segments) / double(std::max<std::size_t>(1, clean));
  ++sum->cases, sum->segments += segments, sum->clean += clean;
  sum->too_many += ratio > 1.1 + 1e-9, sum->too_far += share < 0.98, sum->crossed += crossed;
  sum->worst = std::max(sum->worst, ratio), sum->least_share = std::min(sum->least_share, share);
  if (given.all)
    std::printf("  %-16s %.2f px, tolerance %.1f px: %zu segments for %zu, %.3f of the length within\n",
                shape.name.c_str(), noise_px, tolerance_px, segments, clean, share);
}

}  // namespace

int main(int argc, char** argv) {
  Given given;
  std::vector<std::string> kinds;
  for (int i = 1; i < argc; ++i) {
    const std::string word = argv[i];
    if (word == "--all")
      given.all = true;
    else if (word == "--given")
      given.told = true;
    else
      kinds.push_back(word);
  }
  if (kinds.empty()) kinds = {"white", "bell", "mean", "exponential"};
  const std::map<std::string, support::Alike> names = {{"white", support::Alike::no},
                                                       {"bell", support::Alike::bell},
                                                       {"mean", support::Alike::mean},
                                                       {"exponential", support::Alike::exponential}};
  const std::vector<Shape> all = shapes();
  std::map<std::pair<std::string, double>, std::size_t> clean;
  for (const std::string& kind : kinds) {
    if (!names.contains(kind)) return std::printf("unknown: %s\n", kind.c_str()), 2;
    for (const double noise_px : {0.05, 0.1, 0.2, 0.3, 0.5}) {
      Random random("FitNoise", kind);
      Sum sum;
      for (const Shape& shape : all)
        for (const double tolerance_px : {0.5, 1.0, 2.0, 3.0}) {
          if (tolerance_px < 2.6 * noise_px) continue;
          const auto key = std::make_pair(shape.name, tolerance_px);
          if (!clean.contains(key)) {
            std::vector<PolylineView> views;
            for (const auto& loop : shape.loops) views.push_back({loop, shape.closed});
            Options options;
            options.tolerance_px = tolerance_px;
            clean[key] = segments_of(views, options);
          }
          run(shape, names.at(kind), noise_px, tolerance_px, given, clean[key], &random, &sum);
        }
      std::printf(
          "%-11s %.2f px: %zu cases, %.3f of the segments without noise (at most %.2f; %zu over 1.1), "
          "%.3f of the length within at least (%zu below 0.98), %zu crossed, %.2f s each\n",
          kind.c_str(), noise_px, sum.cases, double(sum.segments) / double(sum.clean), sum.worst, sum.too_many,
          sum.least_share, sum.too_far, sum.crossed, sum.seconds / double(sum.cases));
      std::fflush(stdout);
    }
  }
  return 0;
}
