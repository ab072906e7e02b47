// Files and messages are the same in a program that has chosen a locale with a decimal comma and grouped digits.

#include <gtest/gtest.h>

#include <clocale>
#include <cmath>
#include <cstdlib>
#include <locale>

#include "batten/files.h"
#include "batten/write.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

std::vector<std::string> all_texts() {
  std::vector<Point> ring;
  for (int i = 0; i < 200; ++i)
    ring.push_back({1500.25 + 1200.5 * std::cos(0.0314159265 * i), 1400 + 1100 * std::sin(0.0314159265 * i)});
  const std::vector<std::vector<Point>> loops{ring};
  Result<Conversion> traced = fit(loops, {.dpi = 300});
  EXPECT_TRUE(traced) << traced.error().message;
  if (!traced) return {};
  traced->drawing.width_px = traced->drawing.height_px = 3000;
  traced->report.edits.push_back({Edit::Kind::level, {{0, 0}}, 0.25, true});
  Sweep sweep;
  sweep.conversions = {*traced, *traced}, sweep.seconds = {0.5, 1.5};
  Drawing askew = traced->drawing;
  std::vector<std::string> texts = {to_svg(traced->drawing),         to_json(*traced),
                                    to_csv(sweep, {.dpi = 299.5}),   to_plot_svg(sweep),
                                    to_eps(traced->drawing).value(), decimal(1234567.125, 3)};
  const Result<GlyphSheet> glyphs = arrange_glyphs(traced->drawing);
  EXPECT_TRUE(glyphs);
  if (glyphs)
    for (const FolderFile& file : to_ufo(traced->drawing, *glyphs)) texts.push_back(file.bytes);
  Picture picture;
  picture.width = picture.height = 40, picture.stride_bytes = 40, picture.bytes.assign(1600, 255);
  texts.push_back(to_proof_page(picture, *traced).value());
  const Scratch scratch;
  const auto read = read_outlines(scratch.put("a.svg", texts[0]));
  EXPECT_TRUE(read) << read.error().message;
  if (read) texts.push_back(to_svg(read->drawing));
  const auto fine = fit(loops, {.tolerance_px = 0.001});
  if (fine)
    for (const Finding& finding : fine->report.findings) texts.push_back(finding.text);
  return texts;
}

TEST(Locale, ADecimalCommaChangesNothing) {
  const std::vector<std::string> plain = all_texts();
  const Scratch scratch;
  // localedef(1) of glibc and the definitions of Debian's package locales.
  if (run("localedef", {"-i", "de_DE", "-f", "UTF-8", scratch / "de_DE.UTF-8"}).status != 0)
    GTEST_SKIP() << "apt-get install locales";
  ::setenv("LOCPATH", scratch.path().c_str(), 1);
  ASSERT_TRUE(std::setlocale(LC_ALL, "de_DE.UTF-8"));
  char comma[16];
  std::snprintf(comma, sizeof comma, "%.1f", 0.5);
  EXPECT_STREQ(comma, "0,5") << "the locale is not what this test needs";
  const std::locale before = std::locale::global(std::locale("de_DE.UTF-8"));
  const std::vector<std::string> german = all_texts();
  std::locale::global(before);
  std::setlocale(LC_ALL, "C");
  ::unsetenv("LOCPATH");
  EXPECT_EQ(german, plain);
}

}  // namespace
}  // namespace batten
