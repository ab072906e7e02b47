// Makes glyphs of the shapes of a sheet: their pieces joined, in rows, on baselines, in one scale for all. Checks the
// options first.

#include <algorithm>
#include <cmath>
#include <set>
#include <string_view>

#include "batten/glyphs.h"
#include "batten/write.h"
#include "write/baselines.h"
#include "write/glyph_names.h"
#include "write/group_marks.h"
#include "write/letter_heights.h"
#include "write/reading_order.h"

namespace batten {
namespace {

// Share of the em that the tallest letter takes above the baseline: capitals 0.65 to 0.75, x-height letters 0.4 to 0.5
// in text faces (common practice, no source).
constexpr double tallest_em = 0.70, x_height_em = 0.48;
constexpr std::string_view x_height_names = "acegmnopqrsuvwxyz";
// A shape over twice as tall as the middle one is a frame or an ornament and says nothing about the letters' size.
constexpr double outsize = 2.0;
// A letter reaches its upper ruled line where it ends within 4 % of its height from it: overshoot, and a hand's.
constexpr double reaches_line = 0.04;

Error refused(const std::string& sentence, const std::string& place) {
  return {ErrorCode::bad_option, sentence, place};
}

std::optional<Error> check_names(const std::vector<std::string>& names) {
  std::set<std::string> seen;
  for (const std::string& text : names) {
    const bool printable = !text.empty() && clean_title(text) == text && text.find(' ') == std::string::npos;
    if (!printable || text.size() > 200)
      return refused("\"" + clean_title(text.substr(0, 40)) +
                         "\" is no name for a glyph: give 1 to 200 bytes of UTF-8 without spaces, such as ampersand.",
                     "names");
    const std::string name = glyph_name_of(text);
    if (!seen.insert(name).second)
      return refused("The name " + name + " is given twice: each glyph needs its own, such as a and a.alt.", "names");
  }
  return std::nullopt;
}

struct Letter {
  std::vector<std::size_t> outlines;
  ShapeBox box;   // of all pieces
  ShapeBox body;  // of its tallest piece: the letter without its marks
  double baseline_px = 0;
};
using LetterRow = std::vector<Letter>;

ShapeBox box_of_both(const ShapeBox& a, const ShapeBox& b) {
  return {std::min(a.left, b.left), std::min(a.top, b.top), std::max(a.right, b.right), std::max(a.bottom, b.bottom)};
}

// The outermost outline round outline `index`; itself where the parents run in a ring.
std::size_t outermost(const Drawing& drawing, std::size_t index) {
  const auto count = static_cast<int>(drawing.outlines.size());
  std::size_t at = index;
  for (int steps = 0; steps <= count; ++steps) {
    const int parent = drawing.outlines[at].parent;
    if (parent < 0 || parent >= count) return at;
    at = static_cast<std::size_t>(parent);
  }
  return index;
}

// Outlines of each shape that nothing surrounds, its own first, together with all that lies in it.
std::vector<std::vector<std::size_t>> whole_shapes(const Drawing& drawing) {
  std::vector<std::vector<std::size_t>> whole;
  std::vector<std::size_t> place(drawing.outlines.size(),
                                 drawing.outlines.size());  // where an outermost one is in `whole`
  for (const std::vector<std::size_t>& shape : shapes(drawing)) {
    if (drawing.outlines[shape.front()].is_line()) continue;  // a font has areas only
    const std::size_t root = outermost(drawing, shape.front());
    if (place[root] == place.size()) place[root] = whole.size(), whole.emplace_back();
    std::vector<std::size_t>& outlines = whole[place[root]];
    outlines.insert(root == shape.front() ? outlines.begin() : outlines.end(), shape.begin(), shape.end());
  }
  return whole;
}

std::vector<LetterRow> rows_of_letters(const Drawing& drawing) {
  const std::vector<std::vector<std::size_t>> wholes = whole_shapes(drawing);
  std::vector<ShapeBox> boxes;
  for (const auto& whole : wholes) boxes.push_back(bounding_box(drawing.outlines[whole.front()]));
  std::vector<LetterRow> rows;
  for (const std::vector<std::size_t>& members : reading_rows(boxes)) {
    std::vector<ShapeBox> row_boxes;
    for (const std::size_t i : members) row_boxes.push_back(boxes[i]);
    LetterRow& row = rows.emplace_back();
    for (const std::vector<std::size_t>& group : group_marks(row_boxes)) {
      Letter letter{{}, row_boxes[group.front()], row_boxes[group.front()]};
      for (const std::size_t i : group) {
        letter.box = box_of_both(letter.box, row_boxes[i]);
        const auto& outlines = wholes[members[i]];
        letter.outlines.insert(letter.outlines.end(), outlines.begin(), outlines.end());
      }
      row.push_back(std::move(letter));
    }
  }
  return rows;
}

double tallest_body(const LetterRow& row) {
  double tallest = 0;
  for (const Letter& letter : row) tallest = std::max(tallest, letter.body.height());
  return tallest;
}

// "1 row", "3 rows".
std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::optional<Error> place_baselines(const Drawing& drawing, const GlyphOptions& options,
                                     std::vector<LetterRow>* rows) {
  const std::size_t given = options.baselines_px.size();
  if (given != 0 && given != rows->size())
    return refused("The sheet has " + counted(rows->size(), "row") + " of letters, but " + counted(given, "baseline") +
                       (given == 1 ? " is" : " are") + " given: give one y for each row, from the top down, or none.",
                   "baselines_px");
  for (const double y : options.baselines_px)
    if (drawing.height_px > 0 && !(y >= drawing.origin.y && y <= drawing.origin.y + drawing.height_px))
      return refused("A baseline at " + decimal(y, 0) + " px is off the sheet, which is " +
                         decimal(drawing.height_px, 0) + " px high: give y in px from its top.",
                     "baselines_px");
  for (std::size_t i = 0; i < rows->size(); ++i) {
    LetterRow& row = (*rows)[i];
    std::vector<ShapeBox> bodies;
    for (const Letter& letter : row) bodies.push_back(letter.body);
    const Guide line =
        given ? Guide{options.baselines_px[i], 0} : find_baseline(bodies, tallest_body(row), drawing.guides);
    for (Letter& letter : row) letter.baseline_px = line.y0_px + line.slope * letter.body.middle_x();
  }
  return std::nullopt;
}

// Height of a letter above its baseline; that of the ruled line where it reaches one.
double height_above(const Letter& letter, const std::vector<Guide>& guides) {
  const double height = letter.baseline_px - letter.body.top, x = letter.body.middle_x();
  double best = height, least = reaches_line * height;
  for (const Guide& guide : guides) {
    const double ruled = letter.baseline_px - (guide.y0_px + guide.slope * x);
    if (std::fabs(ruled - height) <= least) best = ruled, least = std::fabs(ruled - height);
  }
  return best;
}

bool all_of_x_height(const std::vector<std::string>& names) {
  return !names.empty() && std::all_of(names.begin(), names.end(), [](const std::string& name) {
    return name.size() == 1 && x_height_names.find(name[0]) != std::string_view::npos;
  });
}

double find_em_px(const std::vector<LetterRow>& rows, const Drawing& drawing, const std::vector<std::string>& names) {
  std::vector<double> heights;
  for (const LetterRow& row : rows)
    for (const Letter& letter : row) heights.push_back(height_above(letter, drawing.guides));
  std::sort(heights.begin(), heights.end());
  const double middle = heights[heights.size() / 2];
  while (heights.size() > 1 && heights.back() > outsize * middle && middle > 0) heights.pop_back();
  const double share = all_of_x_height(names) ? x_height_em : tallest_em;
  // Nothing stands above the line given: the whole height must do.
  double tallest = heights.back();
  if (!(tallest > 0))
    for (const LetterRow& row : rows) tallest = std::max(tallest, tallest_body(row));
  return std::max(tallest, 1.0) / share;
}

// Letters are a little smaller than the em, dots much, ornaments larger: a hundred times either way is a slip in the
// unit, and coordinates that no font can hold.
std::optional<Error> check_em(const std::vector<LetterRow>& rows, double em_px) {
  constexpr double most = 100;
  double tallest = 0;
  for (const LetterRow& row : rows)
    for (const Letter& letter : row) tallest = std::max({tallest, letter.box.height(), letter.box.width()});
  const double share = tallest / em_px;
  if (share > 1 / most && share < most) return std::nullopt;
  return refused("The em given does not fit letters of " + decimal(tallest, 0) +
                     " px: give the height of the em on the sheet, such as " +
                     decimal(std::ceil(tallest / tallest_em), 0) + " px.",
                 "em_px");
}

}  // namespace

std::optional<Error> check(const GlyphOptions& options) {
  if (options.units_per_em < 16 || options.units_per_em > 16384)
    return refused("Units per em must be between 16 and 16384: try 1000.", "units_per_em");
  if (!(options.em_px >= 0) || !std::isfinite(options.em_px))
    return refused("The height of the em must be a finite number over 0, or 0 to find it from the letters.", "em_px");
  if (!(std::fabs(options.side_bearing_em) <= 1))
    return refused("The side bearing must lie between -1 and 1 em: try 0.06.", "side_bearing_em");
  for (const double y : options.baselines_px)
    if (!std::isfinite(y)) return refused("A baseline must be a finite number of px.", "baselines_px");
  return check_names(options.names);
}

Result<GlyphSheet> arrange_glyphs(const Drawing& drawing, const GlyphOptions& options) {
  if (auto error = check(options)) return *error;
  std::vector<std::string> names;
  for (const std::string& text : options.names) names.push_back(glyph_name_of(text));
  std::vector<LetterRow> rows = rows_of_letters(drawing);
  if (rows.empty()) return Error{ErrorCode::no_ink_found, "The drawing has no shapes to make glyphs of.", ""};
  std::size_t count = 0;
  for (const LetterRow& row : rows) count += row.size();
  if (!names.empty() && names.size() != count)
    return Error{ErrorCode::names_mismatch,
                 "The sheet has " + counted(count, "glyph") + ", but " + counted(names.size(), "name") +
                     (names.size() == 1 ? " is" : " are") +
                     " given: give one for each in reading order, or none to see them as shape-1, shape-2 ...",
                 "names"};
  if (auto error = place_baselines(drawing, options, &rows)) return *error;

  const double em_px = options.em_px > 0 ? options.em_px : find_em_px(rows, drawing, names);
  if (auto error = check_em(rows, em_px)) return *error;
  GlyphSheet sheet{options.units_per_em, options.units_per_em / em_px, {}};
  std::vector<DrawnLetter> drawn;
  const double bearing_px = std::round(options.side_bearing_em * options.units_per_em) / sheet.units_per_px;
  for (LetterRow& row : rows)
    for (Letter& letter : row) {
      Glyph glyph;
      glyph.name = names.empty() ? "shape-" + std::to_string(sheet.glyphs.size() + 1) : names[sheet.glyphs.size()];
      glyph.character = character_of(glyph.name).value_or(0);
      glyph.outlines = std::move(letter.outlines);
      glyph.origin = {letter.box.left - bearing_px, letter.baseline_px};
      const double width_px = letter.box.width() + 2 * bearing_px;
      glyph.advance_px = std::max(0.0, std::round(width_px * sheet.units_per_px)) / sheet.units_per_px;
      drawn.push_back({names.empty() ? "" : glyph.name, height_above(letter, drawing.guides), glyph.advance_px});
      sheet.glyphs.push_back(std::move(glyph));
    }
  const LetterHeights heights = letter_heights(drawn);
  sheet.x_height_px = heights.x_height_px, sheet.cap_height_px = heights.cap_height_px;
  sheet.space_px = std::round(heights.space_px * sheet.units_per_px) / sheet.units_per_px;
  return sheet;
}

}  // namespace batten
