#include "support/pencil_case.h"

#include <cmath>
#include <fstream>
#include <sstream>
#include <utility>

#include "support/font_outline.h"
#include "support/shapes.h"

namespace batten::support {
namespace {

bool read_hand(const std::string& word, PencilCase& c) {
  std::stringstream parts(word);
  std::string part;
  bool known = false;
  while (std::getline(parts, part, '+')) {
    if (part == "photo") {
      c.photo = true;
    } else if (part == "page") {
      c.page = true;
    } else if (part == "construction") {
      c.construction = true;
    } else if (part == "ruled" || part == "squared") {
      c.ruling = part == "ruled" ? Ruling::ruled : Ruling::squared;
    } else if (part == "shadow") {
      c.shadow = true;
    } else {
      for (const Hand hand : {Hand::clean, Hand::single, Hand::multistroke, Hand::loose, Hand::shaded, Hand::hatched})
        if (part == name_of(hand)) c.hand = hand, known = true;
    }
  }
  return known;
}

std::vector<Outline> line_of_letters(const PencilCase& c, const std::string& file, double margin_px) {
  std::vector<Outline> all;
  Point pen{margin_px, margin_px + 0.8 * c.height_px};
  for (const char character : c.characters) {
    double advance = 0;
    const int first = int(all.size());
    for (Outline o : glyph_on_line(file, char32_t(character), c.height_px, pen, &advance)) {
      if (o.parent >= 0) o.parent += first;
      all.push_back(o);
    }
    pen.x += 1.06 * advance + 10;  // loosely set: bands of neighbours stay apart
  }
  return all;
}

}  // namespace

std::vector<PencilCase> read_cases(const std::string& path, std::string* fault) {
  std::vector<PencilCase> cases;
  std::ifstream file(path);
  if (!file) *fault = "cannot read " + path;
  std::string line;
  while (std::getline(file, line)) {
    if (line.empty() || line[0] == '#') continue;
    PencilCase c;
    std::string hand;
    std::istringstream row(line);
    row >> c.name >> hand >> c.font >> c.characters >> c.height_px >> c.tolerance_px >> c.nodes >> c.rms_px >>
        c.max_px >> c.corners_lost >> c.false_corners >> c.missed_extremes >> c.bumps >> c.outlines_off >> c.crossing;
    if (!row || !read_hand(hand, c)) {
      *fault = path + ": not understood: " + line;
      return {};
    }
    cases.push_back(c);
  }
  return cases;
}

Drawn draw_case(const PencilCase& c) {
  const std::string file = font_file(c.font + ".otf");
  // Paper and construction lines run on beyond the letter, and must be seen to.
  const double margin_px = c.construction || c.ruling ? 110 : 40;
  Drawn drawn;
  drawn.truth = c.characters.size() == 1 ? glyph(file, char32_t(c.characters[0]), c.height_px, margin_px)
                                         : line_of_letters(c, file, margin_px);
  if (drawn.truth.empty()) return drawn;
  const Extent size = extent_of(drawn.truth, margin_px);
  Random random("pencil case", c.name);
  const bool bare = !c.page && !c.construction && !c.ruling && !c.shadow;
  if (bare) {
    drawn.image = pencil_drawing(size.width, size.height, drawn.truth, c.hand, c.photo, random);
    return drawn;
  }
  Sheet sheet(size.width, size.height, random.fork());
  if (c.ruling) sheet.print(*c.ruling);
  if (c.page)
    for (const double share : {0.8, 0.4, 0.15}) {  // baseline, x-height, capitals
      const double y = margin_px + share * c.height_px;
      sheet.rule({8, y + 1}, {size.width - 8.0, y - 1}, 0.35);
    }
  if (c.construction) sheet.construct({margin_px, margin_px}, {size.width - margin_px, size.height - margin_px});
  sheet.draw(drawn.truth, c.hand);
  if (c.page) {
    sheet.smear({28, 10}, 0.06);
    sheet.dust(size.width * size.height / 40000, 2);
  }
  drawn.image = c.photo ? sheet.photographed() : sheet.scanned();
  if (c.shadow) drawn.image = in_shadow(std::move(drawn.image), random.fork());
  return drawn;
}

}  // namespace batten::support
