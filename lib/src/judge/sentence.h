#pragma once
// Gives the text of a finding with its figures put in.

#include <cstdio>
#include <string>

namespace batten {

/// As printf does; at most 240 bytes.
template <class... Figures>
std::string sentence(const char* format, Figures... figures) {
  char text[240];
  std::snprintf(text, sizeof text, format, figures...);
  return text;
}

}  // namespace batten
