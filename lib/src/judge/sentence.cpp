#include "judge/sentence.h"

#include "batten/write.h"

namespace batten {

std::string sentence(std::string_view format, std::initializer_list<double> figures) {
  std::string text;
  for (const double figure : figures) {
    const std::size_t open = format.find('{');
    if (open == format.npos || open + 2 >= format.size()) break;
    text += format.substr(0, open);
    text += decimal(figure, format[open + 1] - '0');
    format.remove_prefix(open + 3);
  }
  return text.append(format);
}

}  // namespace batten
