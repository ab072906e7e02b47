// Fit error against node count on the outlines of open fonts, sampled every 0.5 px: batten with nodes at extremes
// required and free, a recursive split (Schneider 1990, own implementation, told the designer's corners), and the
// designer.
//
//   error_vs_nodes FOLDER [--quick]     writes FOLDER/error_vs_nodes.csv and .svg; takes some minutes (--quick: one)
#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <fstream>
#include <map>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/version.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/plot.h"
#include "support/recursive_split.h"
#include "support/score.h"

namespace {

using namespace batten;

struct Fitted {
  std::vector<Outline> outlines;
  double ms = 0;
};

struct Sum {
  double segments = 0, squares = 0, length = 0, max_px = 0, ms = 0;
};

std::vector<std::size_t> corners_in(const Outline& truth, const std::vector<Point>& points) {
  std::vector<std::size_t> corners;
  for (std::size_t i = 0; i < truth.nodes.size(); ++i)
    if (support::turn_deg(truth, i) > 25)
      for (std::size_t k = 0; k < points.size(); ++k)
        if (points[k] == truth.nodes[i].at) {
          corners.push_back(k);
          break;
        }
  std::sort(corners.begin(), corners.end());
  return corners;
}

Fitted by_batten(const std::vector<std::vector<Point>>& loops, double tolerance_px, Options::Extremes extremes) {
  Options options;
  options.tolerance_px = tolerance_px;
  options.extremes = extremes;
  const auto start = std::chrono::steady_clock::now();
  auto result = fit(loops, options);
  const double ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  if (!result) return {};
  return {std::move(result->drawing.outlines), ms};
}

Fitted by_split(const std::vector<Outline>& truth, const std::vector<std::vector<Point>>& loops, double tolerance_px) {
  Fitted fitted;
  const auto start = std::chrono::steady_clock::now();
  for (std::size_t i = 0; i < loops.size(); ++i)
    fitted.outlines.push_back(support::recursive_split(loops[i], corners_in(truth[i], loops[i]), tolerance_px));
  fitted.ms = std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
  return fitted;
}

}  // namespace

int main(int argc, char** argv) {
  if (argc < 2) return std::fprintf(stderr, "Give the folder to write to: error_vs_nodes FOLDER [--quick]\n"), 2;
  const bool quick = argc > 2 && std::string(argv[2]) == "--quick";
  const std::string folder = argv[1];
  std::ofstream csv(folder + "/error_vs_nodes.csv");
  csv << "# batten " BATTEN_VERSION
         "; fit() on polylines sampled every 0.5 px; glyphs 300 px high; distances both ways, px\n"
      << "font,character,method,tolerance_px,segments,designer_segments,rms_px,max_px,ms\n";
  std::map<std::string, std::map<double, Sum>> sums;
  double designer = 0;
  for (const support::FontCase& c : support::font_cases(quick ? U"a" : U"aRS3&")) {
    const std::vector<Outline> truth = support::glyph(support::font_file(c.font), c.character, 300, 20);
    if (truth.empty()) return std::fprintf(stderr, "Missing font: %s\n", c.font.c_str()), 1;
    std::vector<std::vector<Point>> loops;
    std::size_t own = 0;
    for (const Outline& o : truth) loops.push_back(support::points_of(o, 0.5)), own += o.segment_count();
    designer += double(own);
    for (const double tolerance : {0.25, 0.5, 1.0, 2.0, 4.0}) {
      const std::pair<const char*, Fitted> results[] = {
          {"batten, extremes required", by_batten(loops, tolerance, Options::Extremes::required)},
          {"batten, extremes free", by_batten(loops, tolerance, Options::Extremes::free)},
          {"recursive split", by_split(truth, loops, tolerance)}};
      for (const auto& [method, fitted] : results) {
        if (fitted.outlines.size() != loops.size()) continue;
        Sum one;
        for (std::size_t i = 0; i < loops.size(); ++i) {
          const Deviation d = measure(fitted.outlines[i], loops[i]);
          one.segments += double(fitted.outlines[i].segment_count());
          one.squares += d.rms_px * d.rms_px * double(loops[i].size()), one.length += double(loops[i].size());
          one.max_px = std::max(one.max_px, d.max_px);
        }
        csv << c.font << ',' << char(c.character) << ",\"" << method << "\"," << tolerance << ',' << one.segments << ','
            << own << ',' << std::sqrt(one.squares / one.length) << ',' << one.max_px << ',' << fitted.ms << '\n';
        Sum& s = sums[method][tolerance];
        s.segments += one.segments, s.squares += one.squares, s.length += one.length, s.ms += fitted.ms;
        s.max_px = std::max(s.max_px, one.max_px);
      }
    }
    std::fprintf(stderr, "%s\n", text_of(c).c_str());
  }
  support::Chart chart{"Fit error against node count, open fonts' outlines (labels: tolerance, px)",
                       "segments / the designer's segments",
                       "rms distance to the designer's outline, px",
                       {}};
  std::printf("%-28s %9s %9s %9s %9s %9s\n", "method", "tolerance", "segments", "rms px", "max px", "ms");
  for (const auto& [method, by_tolerance] : sums) {
    support::Series series{method, {}, {}};
    for (const auto& [tolerance, s] : by_tolerance) {
      const double rms = std::sqrt(s.squares / s.length);
      std::printf("%-28s %9.2f %9.3f %9.3f %9.2f %9.0f\n", method.c_str(), tolerance, s.segments / designer, rms,
                  s.max_px, s.ms);
      series.points.push_back({s.segments / designer, std::max(rms, 1e-4)});
      char label[16];
      std::snprintf(label, sizeof label, "%g", tolerance);
      series.labels.push_back(label);
    }
    chart.series.push_back(std::move(series));
  }
  std::ofstream(folder + "/error_vs_nodes.svg") << support::chart_svg(chart);
  return 0;
}
