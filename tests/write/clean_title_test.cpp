#include <gtest/gtest.h>

#include "batten/write.h"

namespace batten {
namespace {

const std::string replaced = "\xEF\xBF\xBD";

TEST(CleanTitle, TextStaysAsItIs) {
  EXPECT_EQ(clean_title(""), "");
  EXPECT_EQ(clean_title("Büro 第1頁 😀"), "Büro 第1頁 😀");
}

TEST(CleanTitle, ControlCharactersBecomeSpaces) {
  EXPECT_EQ(clean_title("a\nb\x7f\x1b"), "a b  ");
  EXPECT_EQ(clean_title(std::string_view("a\0b", 3)), "a b");
}

// Ill-formed sequences from the Unicode Standard 15.0, tables 3-8 (overlong forms), 3-9 (surrogates) and 3-10 (beyond
// U+10FFFF), and lone bytes. There each byte of them counts for itself, as here.
TEST(CleanTitle, WhatIsNotUtf8IsReplacedByteByByte) {
  for (const char* one : {"\x80", "\xC2", "\xFF", "\xE0"}) EXPECT_EQ(clean_title(one), replaced);
  EXPECT_EQ(clean_title("\xC0\xAF"), replaced + replaced);
  EXPECT_EQ(clean_title("\xED\xA0\x80"), replaced + replaced + replaced);
  EXPECT_EQ(clean_title("\xF4\x91\x92\x93"), replaced + replaced + replaced + replaced);
  EXPECT_EQ(clean_title("a\xC2"
                        "b"),
            "a" + replaced + "b");
  EXPECT_EQ(clean_title("\xEF\xBF\xBF"), replaced) << "U+FFFF is no character of XML";
}

}  // namespace
}  // namespace batten
