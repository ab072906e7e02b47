#include "parse_values.h"

#include <algorithm>
#include <cmath>
#include <filesystem>

namespace batten::cli {

Error bad(const std::string& option, const std::string& sentence) {
  return {ErrorCode::bad_option, option + " " + sentence, option};
}

bool has_ending(const std::string& path, const std::string& ending) {
  std::string last = std::filesystem::path(path).extension().string();
  for (char& c : last)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  return last == ending;
}

std::vector<std::string> parts(std::string_view text) {
  std::vector<std::string> found;
  for (std::size_t comma = 0; comma != std::string_view::npos;) {
    comma = text.find(',');
    found.emplace_back(text.substr(0, comma));
    text.remove_prefix(comma == std::string_view::npos ? text.size() : comma + 1);
  }
  return found;
}

std::optional<Tolerance> parse_length(std::string_view text) {
  Tolerance length;
  if (text.ends_with("mm")) length.unit = Tolerance::Unit::mm;
  if (text.ends_with("px") || text.ends_with("mm")) text.remove_suffix(2);
  while (text.ends_with(' ')) text.remove_suffix(1);
  const std::optional<double> value = number<double>(text);
  if (!value || !std::isfinite(*value) || *value <= 0) return std::nullopt;
  length.value = *value;
  return length;
}

Result<Tolerance> parse_tolerance(const std::string& text) {
  if (text == "auto") return Tolerance{Tolerance::Unit::automatic, 0};
  const std::optional<Tolerance> tolerance = parse_length(text);
  constexpr double largest = 10000;  // as check(Options) has it, in px
  if (!tolerance || tolerance->value > largest)
    return bad("--tolerance", text + " is no length over 0: try 1px, 0.1mm or auto.");
  return *tolerance;
}

Result<std::pair<Tolerance, Tolerance>> parse_range(const std::string& text) {
  const std::size_t dots = text.find("..");
  if (dots == std::string::npos) return bad("--tolerance", text + " is no range: try 0.5px..4px.");
  const Result<Tolerance> least = parse_tolerance(text.substr(0, dots)), most = parse_tolerance(text.substr(dots + 2));
  if (!least) return least.error();
  if (!most) return most.error();
  if (least->unit != most->unit || least->unit == Tolerance::Unit::automatic || most->value < least->value)
    return bad("--tolerance", text + " is no range: give a finer and a wider length in one unit, such as 0.5px..4px.");
  return std::pair(*least, *most);
}

Result<double> parse_memory(const std::string& text) {
  std::string_view size = text;
  double unit = 0;
  for (const auto& [word, bytes] : {std::pair("MB", 1e6), std::pair("GB", 1e9)})
    if (size.ends_with(word)) unit = bytes;
  if (unit > 0) size.remove_suffix(2);
  while (size.ends_with(' ')) size.remove_suffix(1);
  const double value = number<double>(size).value_or(0) * unit;
  if (value > 0 && value <= 1e15) return value;
  return bad("--most-memory", text + " is no amount of memory: try 800MB or 2GB.");
}

Result<std::vector<Format>> parse_formats(const std::string& text) {
  std::vector<Format> chosen;
  for (const std::string& word : parts(text)) {
    const auto* const found = std::find_if(std::begin(formats), std::end(formats),
                                           [&](const FormatEntry& entry) { return word == entry.word; });
    if (found == std::end(formats))
      return bad("--format", word + " is not known: give " + known_words() + ", or several with commas.");
    if (std::find(chosen.begin(), chosen.end(), found->format) != chosen.end())
      return bad("--format", word + " is given twice.");
    chosen.push_back(found->format);
  }
  return chosen;
}

Result<Crop> parse_crop(const std::string& text) {
  std::vector<int> numbers;
  for (const std::string& part : parts(text)) numbers.push_back(number<int>(part).value_or(-1));
  if (numbers.size() != 4 || numbers[0] < 0 || numbers[1] < 0 || numbers[2] < 1 || numbers[3] < 1)
    return bad("--crop", text +
                             " is no part of a scan: give its left edge, top edge, width and height in whole px, "
                             "such as 100,50,800,600.");
  return Crop{numbers[0], numbers[1], numbers[2], numbers[3]};
}

Result<Options::Straighten> parse_straighten(const std::string& text) {
  Options::Straighten out;
  if (text == "all") return out;
  for (const auto& word : edits) out.*word.value = false;
  if (text == "off") return out;
  for (const std::string& part : parts(text)) {
    const auto edit = parse_word("--straighten", part, edits);
    if (!edit) return edit.error();
    out.** edit = true;
  }
  return out;
}

}  // namespace batten::cli
