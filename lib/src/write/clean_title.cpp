// Names of files as text: file names are bytes, titles are UTF-8 (RFC 3629; which bytes make a sequence: its section
// 4).

#include "batten/write.h"

namespace batten {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

// Bytes of the well-formed sequence that `text` begins with; 0 for none.
std::size_t sequence_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
  const auto follows = [&](std::size_t i, unsigned low = 0x80, unsigned high = 0xBF) {
    return byte(i) >= low && byte(i) <= high;
  };
  const unsigned first = byte(0);
  if (first < 0x80) return 1;
  if (first >= 0xC2 && first <= 0xDF) return follows(1) ? 2 : 0;
  if (first >= 0xE0 && first <= 0xEF) {  // no overlong forms, no surrogates
    const bool second = first == 0xE0 ? follows(1, 0xA0) : first == 0xED ? follows(1, 0x80, 0x9F) : follows(1);
    return second && follows(2) ? 3 : 0;
  }
  if (first >= 0xF0 && first <= 0xF4) {
    const bool second = first == 0xF0 ? follows(1, 0x90) : first == 0xF4 ? follows(1, 0x80, 0x8F) : follows(1);
    return second && follows(2) && follows(3) ? 4 : 0;
  }
  return 0;
}

}  // namespace

std::string clean_title(std::string_view name) {
  std::string title;
  while (!name.empty()) {
    const std::size_t length = sequence_length(name);
    const std::string_view sequence = name.substr(0, length);
    // XML 1.0 allows neither U+FFFE nor U+FFFF.
    const bool character = length > 0 && sequence != "\xEF\xBF\xBE" && sequence != "\xEF\xBF\xBF";
    if (!character)
      title += replacement;
    else if (length == 1 && (static_cast<unsigned char>(sequence[0]) < 0x20 || sequence[0] == 0x7f))
      title += ' ';
    else
      title += sequence;
    name.remove_prefix(length > 0 ? length : 1);
  }
  return title;
}

}  // namespace batten
