// Runs fit() on the outlines of open fonts, sampled every 0.5 px. There are no pixels, so every fault is the fitter's.
//
//   fit_fonts [--all] [TOLERANCE_PX ...]      default 0.5 1 2; one line per tolerance, and one per glyph that is not
//                                             within tolerance, lost an outline, or took over 1.05 x the designer's
//                                             segments (--all: one per glyph)
#include <chrono>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "batten/convert.h"
#include "batten/measure.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/score.h"
#include "support/shapes.h"

int main(int argc, char** argv) {
  using namespace batten;
  using Clock = std::chrono::steady_clock;
  std::vector<double> tolerances;
  bool all = false;
  for (int i = 1; i < argc; ++i) {
    if (std::string(argv[i]) == "--all")
      all = true;
    else
      tolerances.push_back(std::atof(argv[i]));
  }
  if (tolerances.empty()) tolerances = {0.5, 1, 2};
  for (const double tolerance : tolerances) {
    support::Score total;
    std::size_t glyphs = 0, beyond = 0;
    double seconds = 0;
    for (const support::FontCase& c : support::font_cases(U"aegRSB&3")) {
      const std::vector<Outline> truth = support::glyph(support::font_file(c.font), c.character, 300, 20);
      std::vector<std::vector<Point>> loops;
      for (const Outline& o : truth) loops.push_back(support::points_of(o, 0.5));
      Options options;
      options.tolerance_px = tolerance;
      const auto start = Clock::now();
      const Result<Conversion> result = fit(loops, options);
      seconds += std::chrono::duration<double>(Clock::now() - start).count();
      if (!result) {
        std::printf("%s: %s\n", text_of(c).c_str(), result.error().message.c_str());
        continue;
      }
      const support::Score s = support::score(truth, result->drawing.outlines);
      double worst = 0;
      for (std::size_t i = 0; i < loops.size(); ++i)
        worst = std::max(worst, measure(result->drawing.outlines[i], loops[i]).max_px);
      beyond += worst > 1.01 * tolerance;
      if (all || worst > 1.01 * tolerance || s.nodes() > 1.05 || s.missing() + s.extra() + s.crossing + s.kinks > 0)
        std::printf("  %s: %.2f px off, tolerance %.2f px; %s\n", text_of(c).c_str(), worst, tolerance,
                    text_of(s).c_str());
      total = glyphs++ ? sum(total, s) : s;
    }
    std::printf("tolerance %.2f px, %zu glyphs, %zu of them farther off, %.0f ms each: %s\n", tolerance, glyphs, beyond,
                1e3 * seconds / double(glyphs), text_of(total).c_str());
    std::fflush(stdout);
  }
  return 0;
}
