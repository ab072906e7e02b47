// Fits the weights of lib/src/corners/corner_evidence.cpp: draws letters of open fonts in four hands, reads every place
// of every drawing, labels it by the outlines that were aimed at, and fits the rule. Prints the rows to paste, and how
// many places are told right when the font that is judged was left out (the figure to expect on other letters).
//
//   learn_corners [--quick]     some ten minutes; --quick: a tenth of the drawings. Needs a static build.
// Debian packages: fonts-junicode, fonts-linuxlibertine, fonts-texgyre, fonts-ebgaramond, fonts-cantarell.
#include <array>
#include <cmath>
#include <cstdio>
#include <cstring>
#include <string>
#include <vector>

#include "api/pixel_pipeline.h"
#include "corners/corner_places.h"
#include "corners/levenberg_marquardt.h"
#include "support/field.h"
#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/shapes.h"

namespace {

using namespace batten;

constexpr const char* fonts[] = {"JunicodeTwoBeta-Regular",
                                 "JunicodeTwoBeta-BoldItalic",
                                 "LinLibertine_R",
                                 "LinLibertine_RBI",
                                 "LinBiolinum_RI",
                                 "LinBiolinum_RB",
                                 "texgyretermes-bold",
                                 "texgyretermes-regular",
                                 "texgyreschola-italic",
                                 "texgyrepagella-regular",
                                 "texgyrebonum-italic",
                                 "texgyreheroscn-bold",
                                 "texgyreadventor-bolditalic",
                                 "texgyrecursor-bold",
                                 "EBGaramond08-Regular",
                                 "Cantarell-Light"};
constexpr std::u32string_view letters = U"RkaxM47Zzn&gGw";
struct HandOf {
  support::Hand hand;
  bool photo;
  double height_px;
};
constexpr HandOf hands[] = {{support::Hand::single, false, 520},
                            {support::Hand::multistroke, false, 640},
                            {support::Hand::loose, false, 760},
                            {support::Hand::multistroke, true, 620}};

struct Example {
  Evidence evidence;
  int label = 1;  // corners: 0, 1, 2
  int font = 0;
};

// Corners that were aimed at: turns above 25 degrees.
std::vector<Point> corners_of(const std::vector<Outline>& outlines) {
  std::vector<Point> out;
  for (const Outline& o : outlines)
    for (std::size_t i = 0; i < o.nodes.size(); ++i) {
      const Cubic before = o.segment((i + o.nodes.size() - 1) % o.nodes.size()), after = o.segment(i);
      const double turn = turn_between(support::derivative(before, 0.999), support::derivative(after, 0.001));
      if (std::abs(degrees(turn)) > 25) out.push_back(o.nodes[i].at);
    }
  return out;
}

void add_examples(const support::GrayImage& image, const std::vector<Outline>& truth, int font,
                  std::vector<Example>* out) {
  Options options;
  options.tolerance_px = 2;
  const Job job;
  std::vector<Finding> findings;
  const auto loops = loops_from_pixels(
      {image.pixels.data(), image.width, image.height, image.width, PixelFormat::gray8}, options, job, findings);
  if (!loops) return;
  Progress progress(job, Stage::corners, 0, 1);
  const auto spaced = space_loops(*loops, options, progress);
  const auto corners = find_corners(*spaced, loops->ink, loops->ink_noise, progress);
  const std::vector<CornerPlace> places = corner_places(*spaced, *corners, loops->ink, progress);
  std::vector<int> count(places.size(), 0);
  for (Point c : corners_of(truth)) {
    int best = -1;
    double nearest = 1e300;
    for (std::size_t k = 0; k < places.size(); ++k) {
      const CornerPlace& p = places[k];
      const SpacedLoop& l = spaced->loops[p.loop];
      const double span = l.curve.ahead(p.first_arc, p.last_arc), mid = p.first_arc + 0.5 * span;
      const double arc = nearest_arc(l.curve, c, mid, 0.5 * span + 3 * l.band_px);
      if (distance(l.curve.at(arc), c) > 3.5 * l.band_px) continue;
      const double off = std::max(0.0, std::abs(l.curve.signed_arc_px(mid, arc)) - 0.5 * span) / l.band_px;
      if (off < 1.3 && off + 0.3 * distance(l.curve.at(arc), c) / l.band_px < nearest)
        nearest = off + 0.3 * distance(l.curve.at(arc), c) / l.band_px, best = int(k);
    }
    if (best >= 0) ++count[std::size_t(best)];
  }
  for (std::size_t k = 0; k < places.size(); ++k)
    if (places[k].read && places[k].facts.two.valid && places[k].facts.round.valid && count[k] < 3)
      out->push_back({evidence_of(places[k].facts), count[k], font});
}

constexpr std::size_t columns = evidence_count + 1;
struct Rule {
  double weight[2][columns];  // none, two; against one; the last is the constant
};

void odds(const Rule& rule, const double* x, double* none, double* two) {
  double a = 0, b = 0;
  for (std::size_t i = 0; i < columns; ++i) a += rule.weight[0][i] * x[i], b += rule.weight[1][i] * x[i];
  const double top = std::max({a, 0.0, b}), ea = std::exp(a - top), eo = std::exp(-top), eb = std::exp(b - top);
  *none = ea / (ea + eo + eb), *two = eb / (ea + eo + eb);
}

// Newton on the ridge-penalised likelihood, evidence standardised; weights returned in its own units.
Rule learn(const std::vector<Example>& all, int left_out) {
  constexpr std::size_t n = 2 * columns;
  double mean[columns] = {}, sd[columns] = {}, used = 0;
  for (const Example& e : all)
    if (e.font != left_out) {
      ++used;
      for (std::size_t i = 0; i < evidence_count; ++i) mean[i] += e.evidence[i], sd[i] += e.evidence[i] * e.evidence[i];
    }
  for (std::size_t i = 0; i < evidence_count; ++i) {
    mean[i] /= used;
    sd[i] = std::sqrt(std::max(sd[i] / used - mean[i] * mean[i], 1e-12));
  }
  Rule rule{};
  for (int round = 0; round < 25; ++round) {
    std::array<std::array<double, n>, n> h{};
    std::array<double, n> gradient{}, step;
    for (const Example& e : all) {
      if (e.font == left_out) continue;
      double x[columns];
      for (std::size_t i = 0; i < evidence_count; ++i) x[i] = (e.evidence[i] - mean[i]) / sd[i];
      x[evidence_count] = 1;
      double p[2];
      odds(rule, x, &p[0], &p[1]);
      const double g[2] = {(e.label == 0) - p[0], (e.label == 2) - p[1]};
      for (int a = 0; a < 2; ++a)
        for (std::size_t i = 0; i < columns; ++i) {
          gradient[a * columns + i] += g[a] * x[i];
          for (int b = 0; b < 2; ++b)
            for (std::size_t j = 0; j < columns; ++j)
              h[a * columns + i][b * columns + j] += p[a] * ((a == b) - p[b]) * x[i] * x[j];
        }
    }
    for (std::size_t k = 0; k < n; ++k) {
      const std::size_t i = k % columns;
      const double ridge = i < evidence_count ? 1 : 1e-6;
      h[k][k] += ridge;
      gradient[k] -= ridge * rule.weight[k / columns][i];
    }
    if (!solve_cholesky(h, gradient, &step)) break;
    for (std::size_t k = 0; k < n; ++k) rule.weight[k / columns][k % columns] += step[k];
  }
  for (auto& w : rule.weight)
    for (std::size_t i = 0; i < evidence_count; ++i) w[i] /= sd[i], w[evidence_count] -= w[i] * mean[i];
  return rule;
}

}  // namespace

int main(int argc, char** argv) {
  const bool quick = argc > 1 && !std::strcmp(argv[1], "--quick");
  std::vector<Example> all;
  int drawings = 0;
  for (int f = 0; f < int(std::size(fonts)); ++f) {
    const std::string file = support::font_file(std::string(fonts[f]) + ".otf");
    if (file.empty()) return std::fprintf(stderr, "Font %s is not installed.\n", fonts[f]), 1;
    for (std::size_t h = 0; h < std::size(hands); ++h)
      for (int k = 0; k < (quick ? 1 : 10); ++k) {
        if (hands[h].photo && (f + k) % 2) continue;
        const char32_t letter = letters[std::size_t(f * 5 + k * 3 + int(h) * 7) % letters.size()];
        const double height = hands[h].height_px * (k < 5 ? 1 : 0.8);
        const auto truth = support::glyph(file, letter, height, 60);
        if (truth.empty()) continue;
        const support::Extent size = support::extent_of(truth, 60);
        add_examples(support::pencil_drawing(size.width, size.height, truth, hands[h].hand, hands[h].photo,
                                             support::Random("learn_corners", fonts[f], std::uint64_t(h * 100 + k))),
                     truth, f, &all);
        ++drawings;
      }
    std::fprintf(stderr, "%s: %zu places so far\n", fonts[f], all.size());
  }
  const Rule rule = learn(all, -1);
  std::printf("%d drawings, %zu places\n", drawings, all.size());
  for (std::size_t i = 0; i < columns; ++i)
    std::printf("    {%.2f, %.2f}%s\n", rule.weight[0][i], rule.weight[1][i], i < evidence_count ? "," : "  constant");
  int told[3][3] = {};
  for (int f = 0; f < int(std::size(fonts)); ++f) {
    const Rule other = learn(all, f);
    for (const Example& e : all) {
      if (e.font != f) continue;
      double x[columns], none, two;
      std::copy(e.evidence.begin(), e.evidence.end(), x);
      x[evidence_count] = 1;
      odds(other, x, &none, &two);
      ++told[e.label][two > two_from ? 2 : 1 - two - none > one_from * (1 - two) ? 1 : 0];
    }
  }
  std::printf("fonts left out     called none   one   two\n");
  for (int label = 0; label < 3; ++label)
    std::printf("truth %s        %8d %5d %5d\n",
                label == 0   ? "none"
                : label == 1 ? "one "
                             : "two ",
                told[label][0], told[label][1], told[label][2]);
  return 0;
}
