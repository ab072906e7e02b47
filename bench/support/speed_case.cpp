#include "support/speed_case.h"

#include <algorithm>
#include <cmath>

#include "support/font_outline.h"
#include "support/pencil.h"

namespace batten::support {

GrayImage draw_sheet(const SpeedCase& c) {
  const std::string file = font_file("GoudyBookletter1911.otf");
  constexpr char letters[] = "nokabgReSd";
  const int columns = std::max(1, int(std::lround(std::sqrt(double(c.letters) * c.width / c.height))));
  const int rows = (c.letters + columns - 1) / columns;
  std::vector<Outline> all;
  for (int i = 0; i < c.letters; ++i) {
    std::vector<Outline> letter = glyph(file, char32_t(letters[i % 10]), c.letter_px, 0);
    if (letter.empty()) return {};
    const Point corner{(i % columns + 0.5) * c.width / columns - 0.45 * c.letter_px,
                       (i / columns + 0.5) * c.height / rows - 0.5 * c.letter_px};
    const int first = int(all.size());
    for (Outline& o : letter) {
      if (o.parent >= 0) o.parent += first;
      for (Node& n : o.nodes)
        n.at = n.at + corner, n.handle_before = n.handle_before + corner, n.handle_after = n.handle_after + corner;
      all.push_back(o);
    }
  }
  Manner manner;
  for (double* length : {&manner.shortest_px, &manner.longest_px, &manner.least_overlap_px, &manner.most_overlap_px,
                         &manner.spread, &manner.waver_px, &manner.width, &manner.grain, &manner.blur})
    *length *= c.pencil;
  Sheet sheet(c.width, c.height, Random("speed", c.name), manner);
  sheet.draw(all, c.multistroke ? Hand::multistroke : Hand::single);
  return sheet.scanned();
}

}  // namespace batten::support
