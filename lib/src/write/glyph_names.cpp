#include "write/glyph_names.h"

#include <algorithm>
#include <array>
#include <charconv>
#include <cstdio>

namespace batten {
namespace {

struct Named {
  std::string_view name;
  char32_t character;
};

constexpr Named named[] = {
#include "write/glyph_list.inc"
};
static_assert(std::is_sorted(std::begin(named), std::end(named),
                             [](const Named& a, const Named& b) { return a.name < b.name; }));

bool is_letter(char32_t c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z'); }

// Four to six digits of upper case hexadecimal that name a character, as the list's specification wants them.
std::optional<char32_t> hexadecimal(std::string_view digits) {
  if (digits.size() < 4 || digits.size() > 6) return std::nullopt;
  if (digits.find_first_not_of("0123456789ABCDEF") != std::string_view::npos) return std::nullopt;
  unsigned value = 0;
  std::from_chars(digits.data(), digits.data() + digits.size(), value, 16);
  const bool surrogate = value >= 0xD800 && value <= 0xDFFF;
  return surrogate || value > 0x10FFFF ? std::nullopt : std::optional<char32_t>(value);
}

// The one character that well-formed UTF-8 `text` consists of, or nothing.
std::optional<char32_t> only_character(std::string_view text) {
  if (text.empty()) return std::nullopt;
  const auto first = static_cast<unsigned char>(text[0]);
  const std::size_t length = first < 0x80 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : 4;
  if (text.size() != length) return std::nullopt;
  char32_t value = length == 1 ? first : first & (0xFFu >> (length + 1));
  for (const char c : text.substr(1)) value = value << 6 | (static_cast<unsigned char>(c) & 0x3Fu);
  return value;
}

}  // namespace

std::optional<char32_t> character_of(std::string_view glyph_name) {
  if (glyph_name.size() == 1 && is_letter(glyph_name[0])) return glyph_name[0];
  const auto found = std::lower_bound(std::begin(named), std::end(named), glyph_name,
                                      [](const Named& entry, std::string_view name) { return entry.name < name; });
  if (found != std::end(named) && found->name == glyph_name) return found->character;
  if (glyph_name.starts_with("uni") && glyph_name.size() == 7) return hexadecimal(glyph_name.substr(3));
  if (glyph_name.starts_with("u")) return hexadecimal(glyph_name.substr(1));
  return std::nullopt;
}

std::string glyph_name_of(std::string_view text) {
  const std::optional<char32_t> character = only_character(text);
  if (!character || is_letter(*character)) return std::string(text);
  for (const Named& entry : named)
    if (entry.character == *character) return std::string(entry.name);
  char name[16];
  std::snprintf(name, sizeof name, *character > 0xFFFF ? "u%X" : "uni%04X", static_cast<unsigned>(*character));
  return name;
}

}  // namespace batten
