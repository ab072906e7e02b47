// Traces the cases of data/pencil_cases.txt and prints what each reaches beside its bars.
//
//   pencil_scores CASES.txt [FOLDER]     FOLDER: also write each drawing (PNG) and its trace (SVG)
#include <chrono>
#include <cstdio>
#include <fstream>
#include <string>

#include "batten/convert.h"
#include "batten/write.h"
#include "support/pencil_case.h"
#include "support/png.h"

int main(int argc, char** argv) {
  using namespace batten;
  if (argc < 2)
    return std::fprintf(stderr, "Give the list of cases: pencil_scores data/pencil_cases.txt [FOLDER]\n"), 2;
  std::string fault;
  const std::vector<support::PencilCase> cases = support::read_cases(argv[1], &fault);
  if (cases.empty()) return std::fprintf(stderr, "No cases: %s\n", fault.c_str()), 1;
  std::printf("%-26s %13s %13s %13s %9s %9s %9s %9s %9s %6s\n", "case", "nodes (bar)", "rms", "max", "cor.lost",
              "cor.false", "extremes", "bumps", "outlines", "s");
  for (const support::PencilCase& c : cases) {
    const support::Drawn drawn = support::draw_case(c);
    Options options;
    options.tolerance_px = c.tolerance_px;
    const auto start = std::chrono::steady_clock::now();
    const auto result =
        convert({drawn.image.pixels.data(), drawn.image.width, drawn.image.height, drawn.image.width}, options);
    const double seconds = std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    if (!result) {
      std::printf("%-26s %s\n", c.name.c_str(), result.error().message.c_str());
      continue;
    }
    const support::Score s = support::score(drawn.truth, result->drawing.outlines);
    std::printf(
        "%-26s %5.3f (%5.3f) %5.2f (%5.2f) %5.2f (%5.2f) %3zu (%3zu) %3zu (%3zu) %3zu (%3zu) %3zu (%3zu) %3zu (%3zu) "
        "%6.2f%s%s%s\n",
        c.name.c_str(), s.nodes(), c.nodes, s.rms_px, c.rms_px, s.max_px, c.max_px, s.truth_corners - s.corners_found,
        c.corners_lost, s.false_corners, c.false_corners, s.missed_extremes, c.missed_extremes, s.bumps, c.bumps,
        s.missing() + s.extra(), c.outlines_off, seconds, s.kinks ? " KINKS" : "",
        s.crossing > c.crossing ? " CROSSING" : "", s.wrong_way ? " WRONG WAY" : "");
    std::fflush(stdout);
    if (argc < 3) continue;
    const std::string base = std::string(argv[2]) + "/" + c.name;
    std::ofstream(base + ".png", std::ios::binary) << support::png_bytes(drawn.image, 300);
    std::ofstream(base + ".svg", std::ios::binary) << to_svg(result->drawing);
  }
  return 0;
}
