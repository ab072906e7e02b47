#pragma once
// Reads the values of options. An error is a sentence that names the option and says what it accepts.

#include <charconv>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "arguments.h"
#include "option_words.h"

namespace batten::cli {

/// "--dpi many is no resolution: ...".
Error bad(const std::string& option, const std::string& sentence);

/// A number that fills the whole text, or nothing. Independent of the locale.
template <class Number>
std::optional<Number> number(std::string_view text) {
  Number value{};
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

/// Does the name end so, in small letters or capitals?
bool has_ending(const std::string& path, const std::string& ending);
/// "a,b,c" -> a, b, c; empty parts stay.
std::vector<std::string> parts(std::string_view text);
/// A length over 0, "12", "12px" or "12mm", or nothing.
std::optional<Tolerance> parse_length(std::string_view text);
/// "1px", "0.1mm", "auto", or a bare number of px.
Result<Tolerance> parse_tolerance(const std::string& text);
/// "0.5px..4px" or "0.05mm..0.3mm".
Result<std::pair<Tolerance, Tolerance>> parse_range(const std::string& text);
/// "800MB", "2GB": bytes.
Result<double> parse_memory(const std::string& text);
Result<std::vector<Format>> parse_formats(const std::string& text);
/// "100,50,800,600": left, top, width, height.
Result<Crop> parse_crop(const std::string& text);
/// "all", "off", or words of `edits` with commas between.
Result<Options::Straighten> parse_straighten(const std::string& text);

/// The value of the word that was typed.
template <class Value, std::size_t count>
Result<Value> parse_word(const std::string& option, const std::string& text, const Word<Value> (&words)[count]) {
  std::vector<std::string> known;
  for (const Word<Value>& word : words) {
    if (text == word.text) return word.value;
    known.push_back(word.text);
  }
  return bad(option, text + " is not known: give " + listed(known) + ".");
}

}  // namespace batten::cli
