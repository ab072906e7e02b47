// Numbers as text. std::to_chars knows no locale, where printf and streams would follow the caller's.

#include <charconv>
#include <cmath>

#include "batten/write.h"

namespace batten {

std::string decimal(double value, int decimals) {
  if (!std::isfinite(value)) return "unknown";
  char text[400];  // the largest double has 309 digits before the point
  const auto end = std::to_chars(text, text + sizeof text, value, std::chars_format::fixed, decimals).ptr;
  return {text, end};
}

}  // namespace batten
