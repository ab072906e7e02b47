// batten refit as a process.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <nlohmann/json.hpp>

#include "support/pictures.h"
#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;
namespace fs = std::filesystem;

class CliRefit : public ::testing::Test {
 protected:
  CliRefit() : paths_(scratch_.put("o.svg", svg("M10 10h10h10h10v10v30h-30z"))) {}
  static std::string svg(const std::string& d) {
    return "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 99 99'><path d='" + d + "'/></svg>\n";
  }
  Ran batten(std::vector<std::string> arguments) { return run(BATTEN_CLI, arguments); }
  Scratch scratch_;
  std::string paths_;
};

TEST_F(CliRefit, WritesBesideTheFileAndSaysWhatChanged) {
  const std::string before = contents(paths_);
  const Ran ran = batten({"refit", paths_, "--tolerance", "0.25px"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(contents(scratch_ / "o-refit.svg"), svg("M10 10H40V50H10Z"));
  EXPECT_EQ(contents(paths_), before);
  EXPECT_NE(ran.out.find("o.svg: 1 of 1 path refitted, 7 -> 4 nodes, change at most 0.00 px"), std::string::npos)
      << ran.out;
}

TEST_F(CliRefit, OnStandardOutputWithAReport) {
  const Ran ran = batten({"refit", paths_, "-t", "0.25", "--out", "-", "--report", scratch_ / "r.json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_EQ(ran.out, svg("M10 10H40V50H10Z"));
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_EQ(report["refit"]["nodes_before"], 7);
  EXPECT_EQ(report["refit"]["nodes_after"], 4);
  EXPECT_EQ(report["outlines"][0]["nodes"].size(), 4u);
}

TEST_F(CliRefit, OverAScan) {
  const std::string scan = scratch_.put("scan.png", png(ring_and_disc(), {.dpi = 254}));
  // A polygon round the disc, 2 px too large, and a triangle on bare paper.
  std::string round = "M";
  for (int i = 0; i < 60; ++i)
    round += std::to_string(320 + 62 * std::cos(6.2831853 * i / 60)) + " " +
             std::to_string(120 + 62 * std::sin(6.2831853 * i / 60)) + " ";
  const std::string paths =
      scratch_.put("p.svg", "<svg xmlns='http://www.w3.org/2000/svg' viewBox='0 0 420 240'><path class='a' d='" +
                                round + "z'/><path id='t' d='M240 10h5h5h5v20z'/></svg>");
  const Ran ran = batten({"refit", paths, "--over", scan, "-t", "auto", "--report", scratch_ / "r.json"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find("p.svg: 2 of 2 paths refitted, 65 -> 7 nodes, change at most 2."), std::string::npos)
      << ran.out;
  EXPECT_NE(ran.out.find(", 1 outline without it, "), std::string::npos) << ran.out;
  EXPECT_NE(ran.out.find("not drawn at (240.0, 10.0), outline 2: No line was drawn"), std::string::npos) << ran.out;
  const std::string made = contents(scratch_ / "p-refit.svg");
  EXPECT_NE(made.find("<path class='a' d='M"), std::string::npos) << made;
  EXPECT_NE(made.find("<path id='t' d='M240 10H255V30Z'/>"), std::string::npos) << made;
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_EQ(report["refit"]["over_scan"]["placed"], 1);
  EXPECT_EQ(report["refit"]["over_scan"]["not_placed"], 1);
  EXPECT_GT(report["refit"]["over_scan"]["rms_before_px"].get<double>(), 1.7);
  EXPECT_LT(report["refit"]["over_scan"]["rms_after_px"].get<double>(), 0.15);
  double right_px = 0;
  for (const auto& node : report["outlines"][0]["nodes"]) right_px = std::max(right_px, node["at"][0].get<double>());
  EXPECT_NEAR(right_px, 380, 0.2);
}

TEST_F(CliRefit, PinsAndAProof) {
  const std::string pins =
      scratch_.put("pins.json", R"({"batten_pins": 1, "unit": "px", "pins": [{"pin": "start", "at": [40, 50]}]})");
  for (const char* proof : {"p.html", "p.png", "p.pdf"}) {
    const Ran ran = batten(
        {"refit", paths_, "-t", "0.25", "--pins", pins, "--proof", scratch_ / proof, "--report", scratch_ / "r.json"});
    ASSERT_EQ(ran.status, 0) << ran.err;
    EXPECT_EQ(contents(scratch_ / "o-refit.svg"), svg("M40 50H10V10H40Z"));
    EXPECT_NE(ran.out.find(", 1 of 1 pin held, "), std::string::npos) << ran.out;
    EXPECT_GT(contents(scratch_ / proof).size(), 2000u);
  }
  const auto report = nlohmann::json::parse(contents(scratch_ / "r.json"));
  EXPECT_EQ(report["pins"][0]["held"], true);
  EXPECT_EQ(report["pins"][0]["decision"]["pin"], "start");
  const std::string page = contents(scratch_ / "p.html");
  const std::size_t data = page.find("id=\"data\">") + 10;
  const auto shown = nlohmann::json::parse(page.substr(data, page.find("</script>", data) - data));
  EXPECT_EQ(shown["reports"][0]["before"][0]["nodes"].size(), 7u);
  EXPECT_EQ(shown["reports"][0]["outlines"][0]["nodes"].size(), 4u);
  const std::string region = scratch_.put(
      "region.json", R"({"batten_pins": 1, "unit": "px", "pins": [{"pin": "ignore", "region": [[0,0],[9,0],[9,9]]}]})");
  const Ran refused = batten({"refit", paths_, "-t", "0.25", "--pins", region});
  EXPECT_EQ(refused.status, 2);
  EXPECT_NE(refused.err.find("Pin 1 (ignore) is about a scan"), std::string::npos) << refused.err;
  EXPECT_EQ(batten({"refit", paths_, "-t", "1", "--pins", pins, "--out", pins}).status, 2);
}

TEST_F(CliRefit, WhatOnlyAScanCanBeAsked) {
  for (const std::vector<std::string>& more :
       {std::vector<std::string>{"-t", "auto"}, {"-t", "1", "--drawing", "lines"}, {"-t", "1", "--dpi", "300"}}) {
    std::vector<std::string> arguments = {"refit", paths_};
    arguments.insert(arguments.end(), more.begin(), more.end());
    const Ran ran = batten(arguments);
    EXPECT_EQ(ran.status, 2);
    EXPECT_NE(ran.err.find("--over SCAN"), std::string::npos) << ran.err;
  }
  EXPECT_EQ(batten({"refit", paths_, "-t", "1", "--over", scratch_ / "none.png"}).status, 3);
}

TEST_F(CliRefit, SaysWhatWasLeftAlone) {
  const std::string odd = scratch_.put("odd.svg", svg("M10 10h10h10q"));
  const Ran ran = batten({"refit", odd, "-t", "1"});
  EXPECT_EQ(ran.status, 0);
  EXPECT_NE(ran.out.find("left as it was at (10.0, 10.0): The path stays: its data are not SVG 1.1."),
            std::string::npos)
      << ran.out;
  EXPECT_EQ(contents(scratch_ / "odd-refit.svg"), contents(odd));
}

TEST_F(CliRefit, NothingIsWrittenWhereSomethingIsWrong) {
  EXPECT_EQ(batten({"refit", paths_}).status, 2);
  for (const char* wrong : {"auto", "0", "-1px", "1cm", "nan"})
    EXPECT_EQ(batten({"refit", paths_, "-t", wrong}).status, 2) << wrong;
  EXPECT_EQ(batten({"refit", paths_, "-t", "1", "--out", paths_}).status, 2);
  EXPECT_EQ(batten({"refit", paths_, "-t", "1", "--out", scratch_ / "o.png"}).status, 2);
  EXPECT_EQ(batten({"refit", scratch_ / "none.svg", "-t", "1"}).status, 3);
  EXPECT_EQ(batten({"refit", scratch_.put("half.svg", svg("M1 1").substr(0, 80)), "-t", "1"}).status, 3);
  EXPECT_EQ(batten({"refit", paths_, "-t", "1", "--out", scratch_ / "o.svg/sub.svg"}).status, 5);
  EXPECT_FALSE(fs::exists(scratch_ / "o-refit.svg") || fs::exists(scratch_ / "half-refit.svg"));
  const Ran help = batten({"refit", "--help"});
  EXPECT_EQ(help.status, 0);
  EXPECT_NE(help.out.find("batten refit outline.svg --tolerance 0.25px"), std::string::npos);
}

}  // namespace
}  // namespace batten
