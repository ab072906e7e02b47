#include "glyph_file_names.h"

#include <array>
#include <set>
#include <string_view>

namespace batten {
namespace {

constexpr std::string_view ending = ".glif";
constexpr std::size_t longest = 255;
constexpr std::string_view not_allowed = "\"*+/:<>?[\\]()|";
constexpr std::array<std::string_view, 23> reserved = {"con",  "prn",  "aux",  "clock$", "nul",  "com1", "com2", "com3",
                                                       "com4", "com5", "com6", "com7",   "com8", "com9", "lpt1", "lpt2",
                                                       "lpt3", "lpt4", "lpt5", "lpt6",   "lpt7", "lpt8", "lpt9"};

bool is_upper(char c) { return c >= 'A' && c <= 'Z'; }

std::string lower(std::string text) {
  for (char& c : text)
    if (is_upper(c)) c = static_cast<char>(c - 'A' + 'a');
  return text;
}

// Bytes over 0x7F are parts of letters of other scripts, which all file systems of today accept. Where a name is cut to
// the longest length, such a letter stays whole.
std::string cut(std::string text, std::size_t length) {
  if (text.size() <= length) return text;
  while (length > 0 && (static_cast<unsigned char>(text[length]) & 0xC0) == 0x80) --length;
  text.resize(length);
  return text;
}

std::string without_illegal(const std::string& name) {
  std::string legal;
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (byte < 0x20 || byte == 0x7f || not_allowed.find(c) != std::string_view::npos)
      legal += '_';
    else if (is_upper(c))
      legal.append({c, '_'});
    else
      legal += c;
  }
  return legal;
}

// Each part between full stops that a system reserves for a device gets a line before it.
std::string without_reserved(const std::string& name) {
  std::string result;
  for (std::size_t begin = 0;;) {
    const std::size_t stop = name.find('.', begin);
    const std::string part = name.substr(begin, stop - begin);
    for (const std::string_view word : reserved)
      if (lower(part) == word) result += '_';
    result += part;
    if (stop == std::string::npos) return result;
    result += '.';
    begin = stop + 1;
  }
}

std::string numbered(const std::string& name, int number) {
  constexpr std::size_t digits = 15;
  std::string count = std::to_string(number);
  count.insert(0, digits - count.size(), '0');
  return cut(name, longest - ending.size() - digits) + count;
}

}  // namespace

std::vector<std::string> glyph_file_names(const std::vector<std::string>& glyph_names) {
  std::set<std::string> taken;  // in lower case
  std::vector<std::string> files;
  for (const std::string& glyph_name : glyph_names) {
    std::string name = glyph_name.starts_with('.') ? "_" + glyph_name.substr(1) : glyph_name;
    name = without_reserved(cut(without_illegal(name), longest - ending.size()));
    std::string file = name + std::string(ending);
    for (int number = 1; !taken.insert(lower(file)).second; ++number)
      file = numbered(name, number) + std::string(ending);
    files.push_back(file);
  }
  return files;
}

}  // namespace batten
