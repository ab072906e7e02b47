#include <gtest/gtest.h>

#include <fstream>

#include "batten/files.h"
#include "support/scratch.h"

namespace batten {
namespace {

std::string list(const std::string& pins) { return "{\"batten_pins\": 1, \"pins\": [" + pins + "]}"; }

Error refused(const std::string& text) {
  const auto pins = pins_from_json(text);
  EXPECT_FALSE(pins.ok()) << text;
  return pins.ok() ? Error{} : pins.error();
}

TEST(ReadPins, EveryKindIsReadAndWritten) {
  const std::string text = list(R"({"pin": "node", "at": [1.5, 2], "turn": "corner", "along": "level"},
    {"pin": "no node", "at": [1, 2], "within": 9}, {"pin": "corner", "at": [3, 4], "note": "the tip"},
    {"pin": "not a corner", "at": [3, 4]}, {"pin": "straight", "from": [0, 0], "to": [9, 0], "along": "level"},
    {"pin": "share x", "places": [[1, 1], [1, 9], [2, 20]]}, {"pin": "share y", "places": [[1, 1], [9, 1]]},
    {"pin": "equal distance", "first": [[0, 0], [9, 0]], "second": [[0, 5], [9, 5]]},
    {"pin": "passes through", "at": [5, 5]}, {"pin": "start", "at": [5, 5]},
    {"pin": "ignore", "region": [[0, 0], [9, 0], [9, 9]]},
    {"pin": "drawn as", "region": [[0, 0], [9, 0], [9, 9]], "as": "shaded"},
    {"pin": "ink", "region": [[0, 0], [9, 0], [9, 9]]}, {"pin": "paper", "region": [[0, 0], [9, 0], [9, 9], [0, 9]]},
    {"pin": "tolerance", "region": [[0, 0], [9, 0], [9, 9]], "length": 0.5},
    {"pin": "close gap", "from": [1, 1], "to": [2, 2]}, {"pin": "keep apart", "from": [1, 1], "to": [2, 2]})");
  const auto pins = pins_from_json(text);
  ASSERT_TRUE(pins.ok()) << pins.error().message;
  ASSERT_EQ(pins->size(), std::size_t(Pin::kind_count));
  for (int i = 0; i < Pin::kind_count; ++i) EXPECT_EQ((*pins)[std::size_t(i)].kind, Pin::Kind(i));
  EXPECT_TRUE((*pins)[0].places[0] == (Point{1.5, 2}));
  EXPECT_EQ((*pins)[0].turn, Pin::Turn::corner);
  EXPECT_EQ((*pins)[0].along, Pin::Along::level);
  EXPECT_EQ((*pins)[1].length_px, 9);
  EXPECT_EQ((*pins)[2].note, "the tip");
  EXPECT_EQ((*pins)[11].drawn, Pin::Drawn::shaded);
  const auto again = pins_from_json(to_json(*pins));
  ASSERT_TRUE(again.ok()) << again.error().message;
  EXPECT_EQ(to_json(*again), to_json(*pins));
}

TEST(ReadPins, MillimetresTakeTheResolution) {
  const std::string text =
      R"({"batten_pins": 1, "unit": "mm", "pins": [{"pin": "no node", "at": [25.4, 0], "within": 2.54}]})";
  const auto pins = pins_from_json(text, 300);
  ASSERT_TRUE(pins.ok());
  EXPECT_NEAR((*pins)[0].places[0].x, 300, 1e-9);
  EXPECT_NEAR((*pins)[0].length_px, 30, 1e-9);
  EXPECT_EQ(refused(text).code, ErrorCode::resolution_unknown);
}

TEST(ReadPins, WhatIsNoListIsRefusedInASentence) {
  for (const std::string& text :
       {std::string(),
        std::string("[]"),
        std::string("{}"),
        std::string("7"),
        std::string("\xff\xfe"),
        std::string("{\"batten_pins\": 2, \"pins\": []}"),
        std::string("{\"batten_pins\": 1, \"pins\": 3}"),
        std::string("{\"batten_pins\": 1, \"pins\": [], \"mood\": 1}"),
        std::string("{\"batten_pins\": 1, \"unit\": \"ell\", \"pins\": []}"),
        list("7"),
        list("{}"),
        list("{\"pin\": \"mood\", \"at\": [1, 1]}"),
        list("{\"pin\": \"corner\"}"),
        list("{\"pin\": \"corner\", \"at\": [1]}"),
        list("{\"pin\": \"corner\", \"at\": [1, NaN]}"),
        list("{\"pin\": \"corner\", \"at\": [1, 1e999]}"),
        list("{\"pin\": \"corner\", \"at\": [1, \"2\"]}"),
        list("{\"pin\": \"corner\", \"at\": [1, 2], \"within\": 3}"),
        list("{\"pin\": \"node\", \"at\": [1, 2], \"turn\": \"hard\"}"),
        list("{\"pin\": \"ignore\", \"region\": [[1, 2], [3, 4]]}"),
        list("{\"pin\": \"tolerance\", \"region\": [[1, 2], [3, 4], [5, 5]], \"length\": -1}"),
        list("{\"pin\": \"corner\", \"at\": [1e10, 2]}"),
        list("{\"pin\": \"corner\", \"at\": [1, 2]},")}) {
    const Error error = refused(text);
    EXPECT_EQ(error.code, ErrorCode::bad_option) << text;
    EXPECT_GT(error.message.size(), 20u);
    EXPECT_EQ(error.message.find('\n'), std::string::npos);
  }
  EXPECT_NE(
      refused(list("{\"pin\": \"corner\", \"at\": [1, 2]}, {\"pin\": \"mood\", \"at\": [1, 1]}")).message.find("pin 2"),
      std::string::npos);
}

TEST(ReadPins, DeepAndLargeOnesAreRefusedAtOnce) {
  EXPECT_NE(refused(std::string(1000000, '[')).message.find("nested"), std::string::npos);
  EXPECT_NE(refused(list("{\"pin\": \"corner\", \"at\": " + std::string(50000, '[') + "]}")).message.find("nested"),
            std::string::npos);
  EXPECT_NE(refused(std::string(9 << 20, ' ')).message.find("8 MB"), std::string::npos);
  std::string many;
  for (int i = 0; i < 1001; ++i) many += std::string(i ? "," : "") + "{\"pin\": \"corner\", \"at\": [1, 2]}";
  EXPECT_NE(refused(list(many)).message.find("1000"), std::string::npos);
}

TEST(ReadPins, Files) {
  const testing::Scratch folder;
  const std::string path = folder / "pins.json", large = folder / "large.json";
  std::ofstream(path) << list("{\"pin\": \"corner\", \"at\": [1, 2]}");
  const auto pins = read_pins(path);
  ASSERT_TRUE(pins.ok());
  EXPECT_EQ(pins->size(), 1u);
  EXPECT_EQ(read_pins(folder / "none.json").error().code, ErrorCode::file_not_found);
  EXPECT_FALSE(read_pins(folder.path()).ok());
  // A hundred megabytes, most of them a hole in the file: no more than eight are read.
  std::ofstream(large) << "{";
  ASSERT_EQ(::truncate(large.c_str(), 100 << 20), 0);
  EXPECT_NE(read_pins(large).error().message.find("8 MB"), std::string::npos);
}

}  // namespace
}  // namespace batten
