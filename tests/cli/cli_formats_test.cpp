// The command's formats: what lies where, and that other programs can read it. Their pictures: formats_agree.

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;
using Names = std::vector<std::string>;

class CliFormats : public ::testing::Test {
 protected:
  Ran trace(std::vector<std::string> arguments) {
    arguments.insert(arguments.begin(), {"trace", scan_});
    return run(BATTEN_CLI, arguments);
  }
  // Files and, of fonts, folders right in the scratch folder's `out`.
  Names written() {
    Names names;
    for (const auto& entry : fs::directory_iterator(scratch_ / "out"))
      names.push_back(entry.path().filename().string());
    std::sort(names.begin(), names.end());
    return names;
  }
  nlohmann::json font(const std::string& name) {
    const Ran ran = run(BATTEN_PYTHON, {BATTEN_OUTSIDE_DIR "/ufo_says.py", scratch_ / name});
    EXPECT_EQ(ran.status, 0) << ran.err;
    return ran.status == 0 ? nlohmann::json::parse(ran.out) : nlohmann::json();
  }
  Scratch scratch_;
  std::string scan_ = scratch_.put("ring & disc.png", png(ring_and_disc(), {.dpi = 254}));
};

TEST_F(CliFormats, SeveralAtOnceGoToAFolder) {
  const Ran ran = trace({"--format", "svg,pdf,eps,json,ufo", "--out", scratch_ / "out"});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(written(),
            (Names{"ring & disc.eps", "ring & disc.json", "ring & disc.pdf", "ring & disc.svg", "ring & disc.ufo"}));
  EXPECT_EQ(std::count(ran.out.begin(), ran.out.end(), '\n'), 1);
  EXPECT_NE(ran.out.find("ring & disc.svg, "), std::string::npos) << ran.out;

  const Ran lint = run("xmllint", {"--noout", scratch_ / "out/ring & disc.svg"});
  EXPECT_EQ(lint.status, 0) << "apt-get install libxml2-utils: " << lint.err;
  const Ran title = run("xmllint", {"--xpath", "string(//*[local-name()='title'])", scratch_ / "out/ring & disc.svg"});
  EXPECT_EQ(title.out, "ring & disc\n");
  // 420 px at 254 dpi are 42 mm: 119.055 points.
  EXPECT_NE(run("pdfinfo", {scratch_ / "out/ring & disc.pdf"}).out.find("119.055 x 68.0315 pts"), std::string::npos);
  const auto json = nlohmann::json::parse(contents(scratch_ / "out/ring & disc.json"));
  EXPECT_EQ(json["outlines"].size(), 3u);
  EXPECT_FALSE(json.contains("seconds")) << "the same scan gives the same bytes";
  EXPECT_EQ(font("out/ring & disc.ufo")["family"], "ring & disc");
}

TEST_F(CliFormats, TheEndingOfOutDecides) {
  for (const char* name : {"out/a.svg", "out/b.PDF", "out/c.eps", "out/d.json", "out/e.ufo", "out/f.ufo/"})
    EXPECT_EQ(trace({"--out", scratch_ / name}).status, 0) << name;
  EXPECT_EQ(written(), (Names{"a.svg", "b.PDF", "c.eps", "d.json", "e.ufo", "f.ufo"}));
  EXPECT_TRUE(contents(scratch_ / "out/b.PDF").starts_with("%PDF-1.4"));
  EXPECT_TRUE(contents(scratch_ / "out/c.eps").starts_with("%!PS-Adobe-3.0 EPSF-3.0"));
  EXPECT_EQ(contents(scratch_ / "out/d.json")[0], '{');
}

TEST_F(CliFormats, LettersGetNamesScaleAndBaseline) {
  // The ring is 180 px tall from y = 30 to 210, the disc 120 px from 60 to 180: an em of 20 mm is 200 px.
  ASSERT_EQ(trace({"--out", scratch_ / "a.ufo", "--names", "O,.", "--em", "20mm", "--units-per-em", "1000",
                   "--baseline", "210", "--grid", "1"})
                .status,
            0);
  const auto glyphs = font("a.ufo")["glyphs"];
  ASSERT_TRUE(glyphs.contains("O") && glyphs.contains("period")) << glyphs;
  EXPECT_NEAR(glyphs["O"]["bounds"][1].get<double>(), 0, 2);
  EXPECT_NEAR(glyphs["O"]["bounds"][3].get<double>(), 900, 2);
  EXPECT_NEAR(glyphs["period"]["bounds"][1].get<double>(), 150, 2);
  EXPECT_EQ(glyphs["period"]["unicodes"], nlohmann::json::array({0x2E}));
  for (const char* name : {"O", "period"})
    for (const auto& contour : glyphs[name]["points"])
      for (const auto& point : contour)
        for (int axis : {0, 1}) EXPECT_EQ(point[axis].get<double>(), std::round(point[axis].get<double>()));
}

// x of vertical straights as (left, right) pairs of the stem each letter begins with, in units.
std::vector<double> stems_of(const nlohmann::json& glyph, double least_units) {
  std::vector<double> places;
  for (const auto& contour : glyph["points"])
    for (std::size_t i = 0; i < contour.size(); ++i) {
      const auto &a = contour[i], &b = contour[(i + 1) % contour.size()];
      if (b[2] == "line" && a[0] == b[0] && std::abs(a[1].get<double>() - b[1].get<double>()) > least_units)
        places.push_back(a[0].get<double>());
    }
  std::sort(places.begin(), places.end());
  std::vector<double> widths;
  for (std::size_t i = 0; i + 1 < places.size(); i += 2) widths.push_back(places[i + 1] - places[i]);
  return widths;
}

// Four stems at places where each edge alone would round its own way: whatever the grid and the scale, all are equally
// many units wide, and so are feet and tops.
TEST_F(CliFormats, EqualStemsAreEqualInUnits) {
  Raster raster = paper(520, 240);
  const auto stem = [&](double left, double right) {  // edges soft over one pixel
    for (int y = 30; y < 210; ++y)
      for (int x = 0; x < raster.width; ++x) {
        const double ink = std::clamp(std::min(right, x + 1.) - std::max(left, double(x)), 0.0, 1.0);
        raster.at(x, y, 0) = static_cast<std::uint16_t>(std::lround(raster.at(x, y, 0) * (1 - ink)));
      }
  };
  stem(40.3, 70.3), stem(150.5, 180.9), stem(260.1, 290.0), stem(370.7, 400.6);
  const std::string scan = scratch_.put("stems.png", png(raster));
  for (const std::string grid : {"1", "2", "5"})
    for (const std::string em : {"237px", "300px", "411px"}) {
      const Ran ran = run(
          BATTEN_CLI, {"trace", scan, "--out", scratch_ / "s.ufo", "--names", "a,b,c,d", "--grid", grid, "--em", em});
      ASSERT_EQ(ran.status, 0) << ran.err;
      const auto glyphs = font("s.ufo")["glyphs"];
      std::vector<double> widths;
      for (const char* name : {"a", "b", "c", "d"}) {
        const std::vector<double> own = stems_of(glyphs[name], 300);
        ASSERT_EQ(own.size(), 1u) << name << ' ' << glyphs[name];
        widths.push_back(own[0]);
        EXPECT_EQ(glyphs[name]["bounds"][1], glyphs["a"]["bounds"][1]) << "one baseline";
        EXPECT_EQ(glyphs[name]["bounds"][3], glyphs["a"]["bounds"][3]) << "one height";
      }
      for (const double w : widths) EXPECT_EQ(w, widths[0]) << "grid " << grid << ", em " << em;
      EXPECT_EQ(std::remainder(widths[0], std::stod(grid)), 0);
      EXPECT_NEAR(widths[0], 30.05 * 1000 / std::stod(em), std::stod(grid) + 1);
    }
  ASSERT_EQ(run(BATTEN_CLI, {"trace", scan, "--out", scratch_ / "s.ufo", "--names", "a,b,c,d", "--grid", "1", "--em",
                             "237px", "--straighten", "off"})
                .status,
            0);
  const auto bare = font("s.ufo")["glyphs"];
  EXPECT_NE(stems_of(bare["a"], 300), stems_of(bare["b"], 300)) << "drawn with 0.4 px between them, 1.7 units";
}

TEST_F(CliFormats, SideBearingsAreAsAsked) {
  const auto sides = [&](std::vector<std::string> more) {
    std::vector<std::string> arguments{"--out", scratch_ / "b.ufo", "--names", "O,period", "--grid", "1"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    EXPECT_EQ(trace(arguments).status, 0);
    const auto glyph = font("b.ufo")["glyphs"]["O"];
    return std::pair(glyph["bounds"][0].get<double>(), glyph["width"].get<double>() - glyph["bounds"][2].get<double>());
  };
  // To a unit: the letter itself comes to lie on whole units.
  const auto [left, right] = sides({});
  EXPECT_NEAR(left, 60, 1);
  EXPECT_NEAR(right, 60, 1);
  const auto [none_left, none_right] = sides({"--side-bearing", "0"});
  EXPECT_NEAR(none_left, 0, 1);
  EXPECT_NEAR(none_right, 0, 1);
  const auto [overlap_left, overlap_right] = sides({"--side-bearing", "-0.025", "--units-per-em", "2000"});
  EXPECT_NEAR(overlap_left, -50, 1);
  EXPECT_NEAR(overlap_right, -50, 1);
  for (const char* wrong : {"2", "x", "6%", "nan"})
    EXPECT_EQ(trace({"--out", scratch_ / "b.ufo", "--side-bearing", wrong}).status, 2) << wrong;
  const Ran svg = trace({"--out", scratch_ / "b.svg", "--side-bearing", "0.1"});
  EXPECT_EQ(svg.status, 2) << "of fonts alone, like --names";
}

TEST_F(CliFormats, AFontIsReplacedWholeAndRunsGiveTheSameBytes) {
  ASSERT_EQ(trace({"--out", scratch_ / "a.ufo", "--names", "O,x"}).status, 0);
  const std::string first = contents(scratch_ / "a.ufo/glyphs/O_.glif");
  ASSERT_EQ(trace({"--out", scratch_ / "a.ufo", "--names", "O,y"}).status, 0);
  EXPECT_EQ(contents(scratch_ / "a.ufo/glyphs/O_.glif"), first);
  EXPECT_FALSE(fs::exists(scratch_ / "a.ufo/glyphs/x.glif"));
  for (const char* name : {"1.pdf", "2.pdf", "1.eps", "2.eps", "1.json", "2.json"})
    ASSERT_EQ(trace({"--out", scratch_ / name}).status, 0);
  for (const std::string ending : {".pdf", ".eps", ".json"})
    EXPECT_EQ(contents(scratch_ / ("1" + ending)), contents(scratch_ / ("2" + ending)));
}

TEST_F(CliFormats, NodesInTheSvgAreDotsWithTheirReasons) {
  ASSERT_EQ(trace({"--out", scratch_ / "plain.svg"}).status, 0);
  ASSERT_EQ(trace({"--out", scratch_ / "dots.svg", "--nodes"}).status, 0);
  const auto dots = [&](const std::string& name) {
    return run("xmllint", {"--xpath", "count(//*[local-name()='circle'])", scratch_ / name}).out;
  };
  EXPECT_EQ(dots("plain.svg"), "0\n");
  EXPECT_EQ(dots("dots.svg"), "12\n") << "three circles of four nodes";
  EXPECT_EQ(contents(scratch_ / "dots.svg").find("stroke"), std::string::npos);
  EXPECT_EQ(run("xmllint", {"--xpath", "string(//*[local-name()='circle'][1])", scratch_ / "dots.svg"}).status, 0);
}

}  // namespace
}  // namespace batten
