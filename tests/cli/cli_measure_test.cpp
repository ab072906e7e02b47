// batten sweep and batten measure as processes.

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

#include "batten/files.h"
#include "batten/write.h"
#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

class CliMeasure : public ::testing::Test {
 protected:
  CliMeasure() : scan_(scratch_.put("scan.png", png(ring_and_disc(), {.dpi = 254}))) {}
  Ran batten(std::vector<std::string> arguments) { return run(BATTEN_CLI, arguments); }
  bool has(const std::string& name) { return fs::exists(scratch_ / name); }
  // The drawing that the scan was made from: circles by their own element.
  std::string truth(const std::string& disc_radius = "60") {
    return scratch_.put("truth.svg",
                        "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 420 240'><circle cx='120' cy='120' "
                        "r='90'/><circle cx='120' cy='120' r='50'/><circle cx='320' cy='120' r='" +
                            disc_radius + "'/></svg>");
  }
  Scratch scratch_;
  std::string scan_;
};

TEST_F(CliMeasure, CirclesLieOnTheScanOfThemselves) {
  const Ran ran = batten({"measure", truth(), scan_, "--report", scratch_ / "r.json", "--proof", scratch_ / "p.html"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find("3 outlines, 12 nodes (3 left, 3 right, 3 top, 3 bottom)"), std::string::npos) << ran.out;
  EXPECT_TRUE(has("r.json") && has("p.html"));
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_LE(report["rms_px"].get<double>(), 0.1);
}

TEST_F(CliMeasure, APartOfTheScan) {
  const Ran ran = batten({"measure", truth(), scan_, "--crop", "240,20,180,200", "--report", scratch_ / "r.json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find("1 outline, 4 nodes"), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("2 outlines lie outside --crop"), std::string::npos) << ran.out;
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_LE(report["rms_px"].get<double>(), 0.1);
  EXPECT_EQ(report["width_px"], 420);
  double right_px = 0;  // the disc lies where it does on the whole scan
  for (const auto& node : report["outlines"][0]["nodes"]) right_px = std::max(right_px, node["at"][0].get<double>());
  EXPECT_NEAR(right_px, 380, 1e-6);
  EXPECT_EQ(batten({"measure", truth(), scan_, "--crop", "400,0,100,100"}).status, 2);
}

TEST_F(CliMeasure, AgainstTheRightOutline) {
  const std::string right = truth(), other = scratch_.put("o.svg", contents(right));
  const std::string grown = (truth("63"), scratch_ / "truth.svg");
  const Ran ran = batten({"measure", grown, "--against", other});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(
      ran.out.find(
          "3 outlines in both, 0 missing, 0 extra; 12 segments, the right outlines have 12; deviation at most 3.0"),
      std::string::npos)
      << ran.out;
  EXPECT_EQ(ran.out.find("on scan"), std::string::npos);
}

// Figures that do not exist are not numbers: an outline on nothing drawn is not 0.00 px off.
TEST_F(CliMeasure, OutlinesOnNothingHaveNoFigures) {
  const std::string square = "<path d='M2 2h9v9h-9z'/>";
  const auto svg = [&](const std::string& body) {
    return "<svg xmlns='http://www.w3.org/2000/svg'>" + body + "</svg>";
  };
  const std::string alone = scratch_.put("alone.svg", svg(square)), report = scratch_ / "r.json";
  Ran ran = batten({"measure", alone, scan_, "--report", report});
  EXPECT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find("4 nodes (4 corner), on nothing that was drawn\n"), std::string::npos) << ran.out;
  EXPECT_EQ(ran.out.find("deviation"), std::string::npos) << ran.out;
  for (const char* figure : {"\n  \"max_px\": null", "\n  \"rms_px\": null", "\n  \"p95_px\": null"})
    EXPECT_NE(contents(report).find(figure), std::string::npos) << figure;

  std::string both = contents(truth());
  both.insert(both.rfind("</svg>"), square);
  ran = batten({"measure", scratch_.put("both.svg", both), scan_, "--report", report});
  EXPECT_NE(ran.out.find(", 1 on nothing that was drawn, the others deviation at most 0."), std::string::npos)
      << ran.out;
  EXPECT_NE(contents(report).find("\n  \"max_px\": null"), std::string::npos);

  ran = batten({"measure", alone, "--against", scratch_.put("far.svg", svg("<circle cx='80' cy='80' r='9'/>"))});
  EXPECT_NE(ran.out.find("0 outlines in both, 1 missing, 1 extra\n"), std::string::npos) << ran.out;
}

TEST_F(CliMeasure, FoldersPipesAndPlacesBeyondAnySheet) {
  const auto expect_unreadable = [&](const std::string& path, const std::string& says) {
    const Ran ran = batten({"measure", path, scan_});
    EXPECT_EQ(ran.status, 3) << path << ran.err;
    EXPECT_NE(ran.err.find(says), std::string::npos) << ran.err;
    EXPECT_EQ(ran.out, "");
  };
  expect_unreadable(scratch_.path(), "is a folder");
  expect_unreadable("/dev/null", "is not a regular file");
  std::string overflow = "<path d='M5 5h20v20z'/>";
  for (int i = 0; i < 3; ++i) overflow = "<g transform='scale(1e200)'>" + overflow + "</g>";
  expect_unreadable(scratch_.put("o.svg", "<svg xmlns='http://www.w3.org/2000/svg'>" + overflow + "</svg>"),
                    "coordinates are below 1e9");
}

TEST_F(CliMeasure, SaysWhatIsWrong) {
  EXPECT_EQ(batten({"measure", truth()}).status, 2);
  EXPECT_EQ(batten({"measure", scratch_ / "none.svg", scan_}).status, 3);
  EXPECT_EQ(batten({"measure", scan_, scan_}).status, 3);
  EXPECT_EQ(batten({"measure", truth(), scan_, "--proof", "a.txt"}).status, 2);
  const Ran over = batten({"measure", truth(), scan_, "--report", scratch_ / "truth.svg"});
  EXPECT_EQ(over.status, 2) << "never over what is read";
  const Ran help = batten({"measure", "--help"});
  EXPECT_EQ(help.status, 0);
  EXPECT_NE(help.out.find("--against"), std::string::npos);
}

TEST_F(CliMeasure, ASweepWritesTableChartAndPage) {
  const Ran ran = batten({"sweep", scan_, "--tolerance", "0.05mm..0.2mm", "--steps", "3", "--out", scratch_ / "d/s.csv",
                          "--plot", scratch_ / "s.svg", "--proof", scratch_ / "s.html"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.out, "");
  EXPECT_TRUE(has("d/s.csv") && has("s.svg") && has("s.html"));
  const std::string csv = contents(scratch_ / "d/s.csv");
  for (const char* row : {"\n0.5000,", "\n1.0000,", "\n2.0000,"}) EXPECT_NE(csv.find(row), std::string::npos) << csv;
}

// Tolerances are held in a sweep, unless it is told to do as trace does.
TEST_F(CliMeasure, ASweepHoldsWhatIsFinerThanTheLineIsKnown) {
  const auto rows = [&](std::vector<std::string> more) {
    std::vector<std::string> arguments{"sweep", scan_, "--tolerance", "0.02px..4px", "--steps", "2"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Ran ran = batten(arguments);
    EXPECT_EQ(ran.status, 0) << ran.err;
    return ran.out;
  };
  const std::string held = rows({}), raised = rows({"--hold-tolerance=off"});
  EXPECT_NE(held.find(": a finer tolerance was held all the same"), std::string::npos) << held;
  EXPECT_EQ(raised.find("held all the same"), std::string::npos) << raised;
  const auto segments = [](const std::string& csv) { return std::stoi(csv.substr(csv.find("\n0.0200,") + 8)); };
  EXPECT_GT(segments(held), segments(raised));
}

// The options of trace that say what is straightened mean the same here: with the ruler off and on another grid the
// figures are those of a trace with the same options.
TEST_F(CliMeasure, ASweepStraightensAsATraceDoes) {
  const auto row_of = [&](std::vector<std::string> more) {
    std::vector<std::string> arguments{"sweep", scan_, "--tolerance", "1px..1px", "--steps", "1"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Ran ran = batten(arguments);
    EXPECT_EQ(ran.status, 0) << ran.err;
    const std::size_t at = ran.out.find("\n1.0000,");
    EXPECT_NE(at, std::string::npos);
    return ran.out.substr(at + 1);
  };
  const auto traced = [&](std::vector<std::string> more) {
    std::vector<std::string> arguments{"trace", scan_, "--out", scratch_ / "t.svg", "--report", scratch_ / "t.json"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    EXPECT_EQ(batten(arguments).status, 0);
    return nlohmann::json::parse(contents(scratch_ / "t.json"));
  };
  const std::vector<std::vector<std::string>> choices{
      {},
      {"--straighten", "off", "--symmetry", "off"},
      {"--symmetry", "on", "--deskew", "on"},
      {"--grid", "4", "--direction", "anticlockwise", "--start", "extreme"}};
  std::vector<std::string> all;
  for (const auto& choice : choices) {
    const std::string row = row_of(choice);
    const auto report = traced(choice);
    char figures[40];
    std::snprintf(figures, sizeof figures, "%.4f", report["max_px"].get<double>());
    EXPECT_NE(row.find(figures), std::string::npos) << row << " has no " << figures;
    all.push_back(figures);
  }
  EXPECT_NE(all[0], all[3]) << "a grid of 4 px moves nodes";
  EXPECT_EQ(batten({"sweep", scan_, "--straighten", "everything"}).status, 2);
  EXPECT_EQ(batten({"sweep", scan_, "--grid", "0"}).status, 2);
}

TEST_F(CliMeasure, ASweepSaysWhatIsWrong) {
  for (const char* range : {"1px", "4px..1px", "1px..0.1mm", "auto..auto", "..", "0px..1px"})
    EXPECT_EQ(batten({"sweep", scan_, "--tolerance", range}).status, 2) << range;
  for (const char* steps : {"0", "201", "x"}) EXPECT_EQ(batten({"sweep", scan_, "--steps", steps}).status, 2) << steps;
  EXPECT_EQ(batten({"sweep", scan_, scan_}).status, 2);
  EXPECT_EQ(batten({"sweep", scan_, "--out", "a.txt"}).status, 2);
  EXPECT_EQ(batten({"sweep", scratch_ / "none.png"}).status, 3);
  const std::string unknown = scratch_.put("u.png", png(ring_and_disc()));
  EXPECT_EQ(batten({"sweep", unknown, "--tolerance", "0.1mm..0.2mm"}).status, 6);
  EXPECT_NE(batten({"sweep", "--help"}).out.find("knee"), std::string::npos);
}

TEST_F(CliMeasure, TheProofIsWrittenAsItsEndingSays) {
  for (const char* name : {"p.html", "p.png", "p.pdf", "P.PNG"})
    ASSERT_EQ(batten({"trace", scan_, "--out", scratch_ / "o.svg", "--proof", scratch_ / name}).status, 0) << name;
  EXPECT_EQ(contents(scratch_ / "p.html").rfind("<!doctype html>", 0), 0u);
  EXPECT_EQ(contents(scratch_ / "p.png").substr(1, 3), "PNG");
  EXPECT_EQ(contents(scratch_ / "P.PNG").substr(1, 3), "PNG");
  EXPECT_EQ(contents(scratch_ / "p.pdf").rfind("%PDF", 0), 0u);
  EXPECT_EQ(batten({"trace", scan_, "--proof", scratch_ / "p.gif"}).status, 2);
  ASSERT_EQ(batten({"trace", scan_, "--out", scratch_ / "o.svg", "--proof", scratch_ / "folder"}).status, 0);
  EXPECT_TRUE(has("folder/scan.html"));
}

}  // namespace
}  // namespace batten
