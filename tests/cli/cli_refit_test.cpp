// batten refit as a process.

#include <gtest/gtest.h>

#include <filesystem>
#include <nlohmann/json.hpp>

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
