#pragma once
// Lists the formats of outlines once, with the words of --format and the endings of files.

#include <string>
#include <vector>

namespace batten::cli {

enum class Format { svg, pdf, eps, json, ufo };

struct FormatEntry {
  Format format;
  const char* word;    ///< of --format
  const char* ending;  ///< of a file's name
};
inline constexpr FormatEntry formats[] = {{Format::svg, "svg", ".svg"},
                                          {Format::pdf, "pdf", ".pdf"},
                                          {Format::eps, "eps", ".eps"},
                                          {Format::json, "json", ".json"},
                                          {Format::ufo, "ufo", ".ufo"}};

inline const FormatEntry& entry_of(Format format) {
  for (const FormatEntry& entry : formats)
    if (entry.format == format) return entry;
  return formats[0];
}

/// "a, b or c".
inline std::string listed(const std::vector<std::string>& words) {
  std::string text;
  for (std::size_t i = 0; i < words.size(); ++i)
    text += (i == 0 ? "" : i + 1 == words.size() ? " or " : ", ") + words[i];
  return text;
}

inline std::string known_words() {
  std::vector<std::string> words;
  for (const FormatEntry& entry : formats) words.push_back(entry.word);
  return listed(words);
}

inline std::string known_endings() {
  std::vector<std::string> endings;
  for (const FormatEntry& entry : formats) endings.push_back(entry.ending);
  return listed(endings);
}

}  // namespace batten::cli
