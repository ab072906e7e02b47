// Runs refit() on the outlines of open fonts that were spoiled first: every segment cut into eight, every segment cut
// into straights, or sampled every px with noise. The designer's own number of segments is the bar.
//
//   refit_fonts [--all] cut TOLERANCE_PX              default 0.25; one line per glyph that is not as it should be
//   refit_fonts [--all] straights TOLERANCE_PX
//   refit_fonts [--all] noise TOLERANCE_PX [SIGMA_PX]  default 0.2
#include <chrono>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <string>
#include <vector>

#include "batten/measure.h"
#include "batten/refit.h"
#include "support/font_cases.h"
#include "support/font_outline.h"
#include "support/random.h"
#include "support/score.h"
#include "support/shapes.h"
#include "support/spoil.h"

int main(int argc, char** argv) {
  using namespace batten;
  using Clock = std::chrono::steady_clock;
  std::vector<std::string> words(argv + 1, argv + argc);
  const bool all = !words.empty() && words[0] == "--all";
  if (all) words.erase(words.begin());
  const std::string how = words.empty() ? "cut" : words[0];
  const double tolerance = words.size() > 1 ? std::atof(words[1].c_str()) : 0.25,
               sigma = words.size() > 2 ? std::atof(words[2].c_str()) : 0.2;
  support::Score total;
  std::size_t glyphs = 0, beyond = 0, before = 0, kept = 0;
  double seconds = 0;
  for (const support::FontCase& c : support::font_cases(U"aegRSB&3")) {
    const std::vector<Outline> truth = support::glyph(support::font_file(c.font), c.character, 300, 20);
    support::Random random("refit", text_of(c));
    std::vector<Outline> given;
    for (const Outline& o : truth)
      given.push_back(how == "noise"       ? support::sampled(o, 1, sigma, &random)
                      : how == "straights" ? support::flattened(o, 0.1)
                                           : support::cut_up(o, 8));
    Options options;
    options.tolerance_px = tolerance;
    const auto start = Clock::now();
    const Result<Refitted> result = refit(given, options);
    seconds += std::chrono::duration<double>(Clock::now() - start).count();
    if (!result) {
      std::printf("%s: %s\n", text_of(c).c_str(), result.error().message.c_str());
      continue;
    }
    const support::Score s = support::score(truth, result->conversion.drawing.outlines);
    double worst = 0;
    std::size_t left = 0;
    for (std::size_t i = 0; i < given.size(); ++i) {
      worst = std::max(worst, result->outlines[i].change_px);
      before += given[i].segment_count();
      left += result->outlines[i].outcome != Refitting::Outcome::refitted && given[i].segment_count() > 2;
    }
    beyond += worst > tolerance, kept += left;
    if (all || worst > tolerance || left > 0 || s.nodes() > 1.0 || s.missing() + s.extra() + s.crossing + s.kinks > 0 ||
        s.missed_extremes > 0 || s.corners_found < s.truth_corners || s.false_corners > 0)
      std::printf("  %s: %zu left, change %.3f px; %s\n", text_of(c).c_str(), left, worst, text_of(s).c_str());
    total = glyphs++ ? sum(total, s) : s;
  }
  std::printf(
      "%s, tolerance %.2f px, %zu glyphs, %zu nodes before, %zu outlines left, %zu farther off, %.0f ms each: %s\n",
      how.c_str(), tolerance, glyphs, before, kept, beyond, 1e3 * seconds / double(glyphs), text_of(total).c_str());
  return 0;
}
