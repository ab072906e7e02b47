// Measures fit error against node count on the outlines of open fonts, sampled every 0.5 px: for batten with nodes at
// extremes required and free, for a recursive split (Schneider 1990, own implementation, which is told the designer's
// corners) and for the designer. Then it does so for the same outlines drawn with a pencil by the project's own
// generator (one careful line) and traced; the split is given the located loops. batten's lower bounds stand beside its
// counts.
//
//   error_vs_nodes FOLDER [--quick] [--threads N]
//
// writes FOLDER/error_vs_nodes.csv, error_vs_nodes.svg and pencil_error_vs_nodes.svg. It takes some twelve minutes of
// one core; --quick takes one letter of each font and a fifth of that. Glyphs are shared out to N threads; of what is
// written, only the milliseconds depend on N.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <atomic>
#include <chrono>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <thread>
#include <vector>

#include "batten/convert.h"
#include "batten/measure.h"
#include "batten/version.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/pencil_case.h"
#include "support/plot.h"
#include "support/recursive_split.h"
#include "support/score.h"

namespace {

using namespace batten;

using Loops = std::vector<std::vector<Point>>;

struct Fitted {
  std::vector<Outline> outlines;
  double ms = 0;
  LowerBound least;     ///< batten only
  Loops judged;         ///< the loops that the outlines were fitted to
  bool warned = false;  ///< batten's report names a place over the tolerance, or a tolerance finer than the pencil line
};

struct Sum {
  double segments = 0, designer = 0, squares = 0, length = 0, max_px = 0, ms = 0;
  std::size_t proven = 0, numerical = 0;
};
using Sums = std::map<std::string, std::map<double, Sum>>;
constexpr double tolerances[] = {0.25, 0.5, 1.0, 2.0, 4.0};

double ms_since(std::chrono::steady_clock::time_point start) {
  return std::chrono::duration<double, std::milli>(std::chrono::steady_clock::now() - start).count();
}

/// Indices of the points nearest to the designer's corners, of those within 8 px.
std::vector<std::size_t> corners_in(const Outline& truth, const std::vector<Point>& points) {
  std::vector<std::size_t> corners;
  for (std::size_t i = 0; i < truth.nodes.size(); ++i) {
    if (support::turn_deg(truth, i) <= 25) continue;
    std::size_t best = 0;
    const auto gap = [&](std::size_t k) {
      return std::hypot(points[k].x - truth.nodes[i].at.x, points[k].y - truth.nodes[i].at.y);
    };
    for (std::size_t k = 1; k < points.size(); ++k)
      if (gap(k) < gap(best)) best = k;
    if (gap(best) < 8) corners.push_back(best);
  }
  std::sort(corners.begin(), corners.end());
  corners.erase(std::unique(corners.begin(), corners.end()), corners.end());
  return corners;
}

Fitted taken(Result<Conversion> result, double ms) {
  if (!result) return {};
  Fitted fitted{std::move(result->drawing.outlines), ms, result->report.least, {}};
  for (const Finding& f : result->report.findings)
    fitted.warned = fitted.warned || f.what == Finding::What::tolerance_exceeded ||
                    f.what == Finding::What::tolerance_below_uncertainty;
  for (OutlineReport& r : result->report.outlines) fitted.judged.push_back(std::move(r.judged));
  return fitted;
}

Options options_of(double tolerance_px, Options::Extremes extremes) {
  Options options;
  options.tolerance_px = tolerance_px, options.extremes = extremes;
  options.hold_tolerance = true;  // or the rows of a pencil line would all be those of what the line tells
  return options;
}

Fitted by_fit(const Loops& loops, double tolerance_px, Options::Extremes extremes) {
  const auto start = std::chrono::steady_clock::now();
  auto result = fit(loops, options_of(tolerance_px, extremes));
  return taken(std::move(result), ms_since(start));
}

Fitted by_trace(const support::GrayImage& image, double tolerance_px, Options::Extremes extremes) {
  const auto start = std::chrono::steady_clock::now();
  auto result =
      convert({image.pixels.data(), image.width, image.height, image.width}, options_of(tolerance_px, extremes));
  return taken(std::move(result), ms_since(start));
}

/// The designer's outline whose points lie nearest to the loop's.
const Outline& aimed_at(const std::vector<Outline>& truth, const std::vector<Point>& loop) {
  const auto gap = [&](const Outline& o) {
    double sum = 0;
    for (const Node& n : o.nodes) {
      double nearest = 1e300;
      for (const Point p : loop) nearest = std::min(nearest, std::hypot(p.x - n.at.x, p.y - n.at.y));
      sum += nearest;
    }
    return sum / double(o.nodes.size());
  };
  return *std::min_element(truth.begin(), truth.end(),
                           [&](const Outline& a, const Outline& b) { return gap(a) < gap(b); });
}

Fitted by_split(const std::vector<Outline>& truth, const Loops& loops, double tolerance_px) {
  Fitted fitted;
  const auto start = std::chrono::steady_clock::now();
  for (const auto& loop : loops)
    fitted.outlines.push_back(support::recursive_split(loop, corners_in(aimed_at(truth, loop), loop), tolerance_px));
  fitted.ms = ms_since(start);
  return fitted;
}

/// Writes one row of the table and adds it to the sums; distances are to the designer's outlines.
void enter(std::ostream& csv, Sums& sums, const support::FontCase& c, const std::string& source,
           const std::string& method, double tolerance, const std::vector<Outline>& truth, const Fitted& fitted) {
  if (fitted.outlines.size() != truth.size()) return;  // a lost outline has no distance: the row is left out
  Sum one;
  for (const Outline& o : fitted.outlines) {
    const std::vector<Point> aim = support::points_of(aimed_at(truth, support::points_of(o, 2)), 0.5);
    const Deviation d = measure(o, aim);
    one.segments += double(o.segment_count());
    one.squares += d.rms_px * d.rms_px * double(aim.size()), one.length += double(aim.size());
    one.max_px = std::max(one.max_px, d.max_px);
  }
  for (const Outline& o : truth) one.designer += double(o.segment_count());
  csv << c.font << ',' << char(c.character) << ',' << source << ",\"" << method << "\"," << tolerance << ','
      << one.segments << ',' << one.designer << ',' << fitted.least.proven << ',' << fitted.least.numerical << ','
      << std::sqrt(one.squares / one.length) << ',' << one.max_px << ',' << fitted.warned << ',' << fitted.ms << '\n';
  Sum& s = sums[method][tolerance];
  s.segments += one.segments, s.designer += one.designer, s.squares += one.squares, s.length += one.length;
  s.ms += fitted.ms, s.max_px = std::max(s.max_px, one.max_px);
  s.proven += fitted.least.proven, s.numerical += fitted.least.numerical;
}

/// Prints the table and writes the chart.
void show(const Sums& sums, const char* title, const std::string& file) {
  support::Chart chart{title, "segments / the designer's segments", "rms distance to the designer's outline, px", {}};
  std::printf("%s\n%-28s %9s %9s %9s %9s %9s %9s %9s\n", title, "method", "tolerance", "segments", "proven",
              "numerical", "rms px", "max px", "ms");
  for (const auto& [method, by_tolerance] : sums) {
    support::Series series{method, {}, {}};
    for (const auto& [tolerance, s] : by_tolerance) {
      const double rms = std::sqrt(s.squares / s.length);
      std::printf("%-28s %9.2f %9.3f %9.3f %9.3f %9.3f %9.2f %9.0f\n", method.c_str(), tolerance,
                  s.segments / s.designer, double(s.proven) / s.designer, double(s.numerical) / s.designer, rms,
                  s.max_px, s.ms);
      series.points.push_back({s.segments / s.designer, std::max(rms, 1e-4)});
      char label[16];
      std::snprintf(label, sizeof label, "%g", tolerance);
      series.labels.push_back(label);
    }
    chart.series.push_back(std::move(series));
  }
  std::ofstream(file) << support::chart_svg(chart);
}

/// All rows of one glyph.
struct Glyph {
  std::ostringstream csv;
  Sums exact, pencil;
  bool missing = false;  ///< the font is not installed
};

void add(const Sums& one, Sums& all) {
  for (const auto& [method, by_tolerance] : one)
    for (const auto& [tolerance, s] : by_tolerance) {
      Sum& sum = all[method][tolerance];
      sum.segments += s.segments, sum.designer += s.designer, sum.squares += s.squares, sum.length += s.length;
      sum.ms += s.ms, sum.max_px = std::max(sum.max_px, s.max_px);
      sum.proven += s.proven, sum.numerical += s.numerical;
    }
}

void measure_glyph(const support::FontCase& c, Glyph& out) {
  constexpr int height_px = 300, margin_px = 20;
  const std::vector<Outline> truth = support::glyph(support::font_file(c.font), c.character, height_px, margin_px);
  out.missing = truth.empty();
  if (out.missing) return;
  Loops loops;
  for (const Outline& o : truth) loops.push_back(support::points_of(o, 0.5));
  support::PencilCase drawing;
  drawing.name = text_of(c), drawing.font = c.font.substr(0, c.font.find('.')),
  drawing.characters = std::string(1, char(c.character));
  drawing.hand = support::Hand::single, drawing.height_px = height_px;
  const support::Drawn drawn = support::draw_case(drawing);
  out.missing = drawn.truth.empty();
  if (out.missing) return;
  for (const double tolerance : tolerances) {
    for (const auto extremes : {Options::Extremes::required, Options::Extremes::free}) {
      const bool free = extremes == Options::Extremes::free;
      const char* name = free ? "batten, extremes free" : "batten, extremes required";
      enter(out.csv, out.exact, c, "outline", name, tolerance, truth, by_fit(loops, tolerance, extremes));
      const Fitted traced = by_trace(drawn.image, tolerance, extremes);
      enter(out.csv, out.pencil, c, "pencil", name, tolerance, drawn.truth, traced);
      if (!free && traced.judged.size() == drawn.truth.size())
        enter(out.csv, out.pencil, c, "pencil", "recursive split", tolerance, drawn.truth,
              by_split(drawn.truth, traced.judged, tolerance));
    }
    enter(out.csv, out.exact, c, "outline", "recursive split", tolerance, truth, by_split(truth, loops, tolerance));
  }
  std::fprintf(stderr, "%s\n", text_of(c).c_str());
}

std::vector<Glyph> measure_all(const std::vector<support::FontCase>& cases, int threads) {
  std::vector<Glyph> glyphs(cases.size());
  std::atomic<std::size_t> next = 0;
  const auto work = [&] {
    for (std::size_t i = next++; i < cases.size(); i = next++) measure_glyph(cases[i], glyphs[i]);
  };
  std::vector<std::thread> others;
  for (int k = 1; k < threads; ++k) others.emplace_back(work);
  work();
  for (std::thread& other : others) other.join();
  return glyphs;
}

}  // namespace

int main(int argc, char** argv) {
  CLI::App app("Fit error against node count: batten, a recursive split and the designer, on open fonts' outlines.");
  std::string folder;
  bool quick = false;
  int threads = 1;
  app.add_option("folder", folder, "where the tables and charts go; made if it is not there")->required();
  app.add_flag("--quick", quick, "the letter a of each font only");
  app.add_option("--threads", threads, "glyphs measured at once")->check(CLI::Range(1, 64))->capture_default_str();
  CLI11_PARSE(app, argc, argv);
  std::error_code fault;  // reported before the work begins
  std::filesystem::create_directories(folder, fault);
  if (fault) return std::fprintf(stderr, "Cannot make the folder %s: %s\n", folder.c_str(), fault.message().c_str()), 1;
  const std::vector<support::FontCase> cases = support::font_cases(quick ? U"a" : U"aRS3&");
  const std::vector<Glyph> glyphs = measure_all(cases, threads);
  std::ofstream csv(folder + "/error_vs_nodes.csv");
  csv << "# batten " BATTEN_VERSION
         "; outline: fit() on polylines sampled every 0.5 px; pencil: convert() on one careful line, drawn by "
         "bench/support; glyphs 300 px high; default options except tolerance and extremes; distances both ways to the "
         "designer's outline, px; glyphs measured at once: "
      << threads
      << "\nfont,character,source,method,tolerance_px,segments,designer_segments,proven_least,numerical_least,rms_px,"
         "max_px,warned,ms\n";
  Sums exact, pencil;
  for (std::size_t i = 0; i < glyphs.size(); ++i) {
    if (glyphs[i].missing) return std::fprintf(stderr, "Missing font: %s\n", cases[i].font.c_str()), 1;
    csv << glyphs[i].csv.str();
    add(glyphs[i].exact, exact), add(glyphs[i].pencil, pencil);
  }
  show(exact, "Fit error against node count, open fonts' outlines (labels: tolerance, px)",
       folder + "/error_vs_nodes.svg");
  show(pencil, "The same outlines drawn with a pencil and traced (labels: tolerance, px)",
       folder + "/pencil_error_vs_nodes.svg");
  return csv.good() ? 0 : 1;
}
