// How honest the figures of a report are: letters of known outline, drawn by six hands, are traced, and what the report
// states (sigma_px, max_px, warnings) is held against where the outlines were meant to be.
//
//   calibration [--quick] [--dump FILE] [TIER...]     ten minutes; --quick: a third of the letters; --dump: one line of
//                                                     text for each outline
// "LEARNT": the first four hands together, to which what is learnt should look. "UNSEEN" are the last two, "FONTS" cuts
// that no other program looks at, drawn by all six. Debian packages: fonts-goudybookletter, fonts-texgyre,
// fonts-ebgaramond, fonts-cantarell.
//
// Columns: drawings; outlines without a pair; spread of the line and of the outline: 1.4826 times the median of the
// absolute errors over the stated sigma, at the median drawing (1 is honest); sigma_px at the median; share of drawings
// warned of; warnings that are right, of each kind; largest deviation reported and true, at the median outline; recall:
// of the drawings with an outline truly off by over the tolerance, those warned of.
#include "support/calibration.h"

#include <algorithm>
#include <cstdio>
#include <cstring>
#include <map>
#include <string>
#include <vector>

namespace {

using namespace batten;
using namespace batten::support;

constexpr const char* usual_fonts[] = {"GoudyBookletter1911", "texgyrebonum-bold", "texgyreheros-bold",
                                       "EBGaramond12-Italic"};
constexpr const char* other_fonts[] = {"texgyreschola-bolditalic", "texgyrepagella-bolditalic", "texgyreheroscn-italic",
                                       "EBGaramond12-Bold",        "texgyrecursor-italic",      "Cantarell-Bold"};
constexpr std::u32string_view letters = U"aRgkS3eB&MtyG5wn";

struct Kind {
  std::size_t said = 0, right = 0;
};

struct Row {
  std::size_t drawings = 0, not_paired = 0, warned = 0, off = 0, off_warned = 0;
  std::vector<double> line, curve, sigma, reported, truly;
  std::map<Finding::What, Kind> kinds;
};

double median(std::vector<double> v) {
  if (v.empty()) return 0;
  std::nth_element(v.begin(), v.begin() + std::ptrdiff_t(v.size() / 2), v.end());
  return v[v.size() / 2];
}

void add(const Calibrated& drawing, Row* row) {
  ++row->drawings, row->not_paired += drawing.not_paired;
  if (const auto s = line_spread(drawing)) row->line.push_back(*s);
  if (const auto s = curve_spread(drawing)) row->curve.push_back(*s);
  bool warned = false, off = false;
  for (const CalibratedOutline& o : drawing.outlines) {
    row->sigma.push_back(o.sigma_px);
    row->reported.push_back(o.reported_max_px), row->truly.push_back(o.true_max_px);
    off = off || o.truly_off;
    for (const Warning& w : o.warnings) {
      warned = true;
      ++row->kinds[w.what].said, row->kinds[w.what].right += w.right;
    }
  }
  row->warned += warned, row->off += off, row->off_warned += off && warned;
}

std::string share(std::size_t a, std::size_t b) { return std::to_string(a) + "/" + std::to_string(b); }

void print(const std::string& tier, const std::string& who, const Row& r) {
  const auto kind = [&](Finding::What what) {
    const auto k = r.kinds.find(what);
    return k == r.kinds.end() ? std::string("-") : share(k->second.right, k->second.said);
  };
  std::printf("%-12s %-8s %4zu %4zu %6.2f %6.2f %6.2f %8s %9s %9s %6.2f %6.2f %8s\n", tier.c_str(), who.c_str(),
              r.drawings, r.not_paired, median(r.line), median(r.curve), median(r.sigma),
              share(r.warned, r.drawings).c_str(), kind(Finding::What::tolerance_exceeded).c_str(),
              kind(Finding::What::tolerance_below_uncertainty).c_str(), median(r.reported), median(r.truly),
              share(r.off_warned, r.off).c_str());
  std::fflush(stdout);
}

void dump(std::FILE* file, const CalibrationCase& c, const Calibrated& drawing) {
  for (const CalibratedOutline& o : drawing.outlines) {
    std::fprintf(file, "%s %s %s %c %.4f %.3f %.3f %.3f", name_of(c.tier).c_str(), name_of(c.drawer).c_str(),
                 c.font.c_str(), char(c.characters[0]), o.sigma_px, o.band_px, o.reported_max_px, o.true_max_px);
    for (const Warning& w : o.warnings) std::fprintf(file, " %s:%d", name_of(w.what), int(w.right));
    for (const auto* off : {&o.line_off_px, &o.curve_off_px, &o.curve_place_off_px}) {
      std::fprintf(file, " |");
      for (const double d : *off) std::fprintf(file, " %.3f", d);
    }
    std::fprintf(file, "\n");
  }
}

// Everything for one kind of drawing.
struct Bench {
  bool quick = false;
  std::FILE* file = nullptr;

  void try_one(Tier tier, Drawer drawer, const char* font, std::size_t letter, Row* of_hand, Row* of_group) const {
    CalibrationCase c{tier, drawer, font, {}, unsigned(letter)};
    const std::size_t count = tier == Tier::page ? 4 : 1;
    for (std::size_t k = 0; k < count; ++k) c.characters += letters[(letter + 3 * k) % letters.size()];
    const CalibrationDrawing drawn = draw(c);
    if (drawn.truth.empty()) return;
    Options options;
    options.tolerance_px = tolerance_px(tier);
    const auto traced =
        convert({drawn.image.pixels.data(), drawn.image.width, drawn.image.height, drawn.image.width}, options);
    if (!traced) return;
    const Calibrated drawing = calibrated(drawn.truth, *traced, tolerance_px(tier));
    add(drawing, of_hand), add(drawing, of_group);
    if (file) dump(file, c, drawing);
  }

  void run(Tier tier) const {
    const int rounds = quick ? 1 : 3;
    std::size_t letter = std::size_t(tier);
    Row learnt, unseen, other, ignored;
    for (int drawer = 0; drawer < drawers; ++drawer) {
      const bool is_seen = drawer < drawers_to_learn_from;
      Row row;
      for (int round = 0; round < rounds; ++round)
        for (const char* font : usual_fonts)
          try_one(tier, Drawer(drawer), font, letter++ % letters.size(), &row, is_seen ? &learnt : &unseen);
      print(name_of(tier), name_of(Drawer(drawer)) + (is_seen ? "" : "*"), row);
    }
    for (int drawer = 0; drawer < drawers; ++drawer)
      for (int round = 0; round < rounds; ++round, ++letter)
        try_one(tier, Drawer(drawer), other_fonts[letter % std::size(other_fonts)], letter * 7 % letters.size(),
                &ignored, &other);
    print(name_of(tier), "LEARNT", learnt);
    print(name_of(tier), "UNSEEN*", unseen);
    print(name_of(tier), "FONTS*", other);
  }
};

}  // namespace

int main(int argc, char** argv) {
  Bench bench;
  std::vector<std::string> wanted;
  for (int i = 1; i < argc; ++i) {
    if (std::strcmp(argv[i], "--quick") == 0)
      bench.quick = true;
    else if (std::strcmp(argv[i], "--dump") == 0 && i + 1 < argc)
      bench.file = std::fopen(argv[++i], "w");
    else
      wanted.push_back(argv[i]);
  }
  std::printf("%-12s %-8s %4s %4s %6s %6s %6s %8s %9s %9s %6s %6s %8s\n", "tier", "hand", "n", "unp", "line", "curve",
              "sigma", "warned", "off right", "unc right", "max", "true", "recall");
  for (int t = 0; t < tiers; ++t) {
    const bool asked = std::find(wanted.begin(), wanted.end(), name_of(Tier(t))) != wanted.end();
    if (wanted.empty() || asked) bench.run(Tier(t));
  }
  if (bench.file) std::fclose(bench.file);
  return 0;
}
