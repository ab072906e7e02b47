// Makes text of names of files: those are bytes, titles are UTF-8 (RFC 3629; which bytes make a sequence: section 4).

#include "batten/write.h"

namespace batten {
namespace {

constexpr std::string_view replacement = "\xEF\xBF\xBD";  // U+FFFD

// Bytes of the well-formed sequence that `text` begins with; 0 for none.
std::size_t sequence_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
  const unsigned first = byte(0);
  const std::size_t length = first < 0x80   ? 1
                             : first < 0xC2 ? 0
                             : first < 0xE0 ? 2
                             : first < 0xF0 ? 3
                             : first < 0xF5 ? 4
                                            : 0;
  // The second byte rules out overlong forms, surrogates, and what lies beyond U+10FFFF.
  const unsigned low = first == 0xE0 ? 0xA0 : first == 0xF0 ? 0x90 : 0x80;
  const unsigned high = first == 0xED ? 0x9F : first == 0xF4 ? 0x8F : 0xBF;
  for (std::size_t i = 1; i < length; ++i)
    if (byte(i) < (i == 1 ? low : 0x80u) || byte(i) > (i == 1 ? high : 0xBFu)) return 0;
  return length;
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
