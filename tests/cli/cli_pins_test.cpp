// batten trace --pins as a process.

#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "support/process.h"
#include "support/scratch.h"

namespace batten {
namespace {

using namespace batten::testing;

class CliPins : public ::testing::Test {
 protected:
  Ran trace(const std::string& pins, std::vector<std::string> more = {}) {
    std::vector<std::string> arguments = {
        "trace",  BATTEN_DATA_DIR "/quombe-sheet.png", "--out",    scratch_ / "s.svg",
        "--pins", scratch_.put("pins.json", pins),     "--report", scratch_ / "s.json"};
    arguments.insert(arguments.end(), more.begin(), more.end());
    return run(BATTEN_CLI, arguments);
  }
  nlohmann::json report() const { return nlohmann::json::parse(contents(scratch_ / "s.json")); }
  Scratch scratch_;
};

std::string list(const std::string& pins) { return "{\"batten_pins\": 1, \"unit\": \"px\", \"pins\": [" + pins + "]}"; }

TEST_F(CliPins, SaysHowManyHeld) {
  const Ran ran = trace(list(R"({"pin": "not a corner", "at": [1248.5, 329.8]},
                                {"pin": "passes through", "at": [229, 160.6], "note": "too far"})"));
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find(", 1 of 2 pins held"), std::string::npos) << ran.out;
  EXPECT_NE(ran.err.find("Pin 2 (passes through)"), std::string::npos) << ran.err;
  const auto made = report();
  ASSERT_EQ(made["pins"].size(), 2u);
  EXPECT_EQ(made["pins"][0]["held"], true);
  EXPECT_EQ(made["pins"][1]["held"], false);
  EXPECT_GT(made["pins"][1]["distance_px"], 2.0);
  EXPECT_EQ(made["pins"][1]["decision"]["pin"], "passes through");
  EXPECT_EQ(made["pins"][1]["decision"]["note"], "too far");
}

TEST_F(CliPins, OfAPartOfTheScanLieOnTheWholeScan) {
  const std::string pins = list(R"({"pin": "node", "at": [656.8, 256.9], "along": "level"})");
  const Ran ran = trace(pins, {"--crop", "560,220,200,210"});
  ASSERT_EQ(ran.status, 0) << ran.err;
  EXPECT_NE(ran.out.find(", 1 of 1 pin held"), std::string::npos) << ran.out << ran.err;
  EXPECT_EQ(report()["pins"][0]["place"][0], 656.8);
}

TEST_F(CliPins, WrongListsAreRefusedBeforeAnythingIsWritten) {
  for (const std::string& pins : {std::string("no JSON"), list("{\"pin\": \"mood\", \"at\": [1, 1]}"),
                                  list("{\"pin\": \"node\", \"at\": [NaN, 1]}"), std::string(100000, '[')}) {
    const Ran ran = trace(pins);
    EXPECT_EQ(ran.status, 2) << ran.err;
    EXPECT_NE(ran.err.find("pins.json"), std::string::npos) << ran.err;
    EXPECT_FALSE(std::filesystem::exists(scratch_ / "s.svg"));
  }
  const Ran twice = run(BATTEN_CLI, {"trace", "a.png", "b.png", "--pins", scratch_ / "pins.json"});
  EXPECT_EQ(twice.status, 2);
  EXPECT_NE(twice.err.find("--pins"), std::string::npos);
}

}  // namespace
}  // namespace batten
