// Shapes of a sheet -> glyphs: pieces joined, rows, baselines, one scale for all.

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string_view>

#include "batten/glyphs.h"
#include "batten/write.h"
#include "write/baselines.h"
#include "write/glyph_names.h"
#include "write/group_marks.h"
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

struct Letter {
  std::vector<std::size_t> outlines;
  Box box;   // of all pieces
  Box body;  // of its tallest piece: the letter without its marks
  double baseline_px = 0;
};
using Row = std::vector<Letter>;

Error refused(const std::string& sentence, const std::string& place) {
  return {ErrorCode::bad_option, sentence, place};
}

void widen(Box& box, const Box& by) {
  box = {std::min(box.left, by.left), std::min(box.top, by.top), std::max(box.right, by.right),
         std::max(box.bottom, by.bottom)};
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

// Outlines of each shape that nothing surrounds, together with all that lies in it.
std::vector<std::vector<std::size_t>> whole_shapes(const Drawing& drawing) {
  const std::vector<std::vector<std::size_t>> all = shapes(drawing);
  std::vector<std::vector<std::size_t>> whole;
  std::vector<std::size_t> place(drawing.outlines.size(), all.size());  // of an outermost outline in `whole`
  for (const auto& shape : all)
    if (outermost(drawing, shape.front()) == shape.front()) place[shape.front()] = whole.size(), whole.push_back(shape);
  for (const auto& shape : all) {
    const std::size_t root = outermost(drawing, shape.front());
    if (root == shape.front()) continue;
    if (place[root] == all.size()) place[root] = whole.size(), whole.emplace_back();  // its own outline was left out
    whole[place[root]].insert(whole[place[root]].end(), shape.begin(), shape.end());
  }
  return whole;
}

std::vector<Row> rows_of_letters(const Drawing& drawing) {
  const std::vector<std::vector<std::size_t>> wholes = whole_shapes(drawing);
  std::vector<Box> boxes;
  for (const auto& whole : wholes) boxes.push_back(bounding_box(drawing.outlines[whole.front()]));
  std::vector<Row> rows;
  for (const std::vector<std::size_t>& members : reading_rows(boxes)) {
    std::vector<Box> row_boxes;
    for (const std::size_t i : members) row_boxes.push_back(boxes[i]);
    Row& row = rows.emplace_back();
    for (const std::vector<std::size_t>& group : group_marks(row_boxes)) {
      Letter letter{{}, row_boxes[group.front()], row_boxes[group.front()]};
      for (const std::size_t i : group) {
        widen(letter.box, row_boxes[i]);
        const auto& outlines = wholes[members[i]];
        letter.outlines.insert(letter.outlines.end(), outlines.begin(), outlines.end());
      }
      row.push_back(std::move(letter));
    }
  }
  return rows;
}

double tallest_body(const Row& row) {
  double tallest = 0;
  for (const Letter& letter : row) tallest = std::max(tallest, letter.body.height());
  return tallest;
}

std::optional<Error> place_baselines(std::vector<Row>& rows, const Drawing& drawing, const GlyphOptions& options) {
  const std::size_t given = options.baselines_px.size();
  if (given != 0 && given != rows.size())
    return refused("The sheet has " + std::to_string(rows.size()) + (rows.size() == 1 ? " row" : " rows") +
                       " of letters, but " + std::to_string(given) +
                       " baselines are given: give one y for each row, from the top down, or none.",
                   "baselines_px");
  for (std::size_t i = 0; i < rows.size(); ++i) {
    std::vector<Box> bodies;
    for (const Letter& letter : rows[i]) bodies.push_back(letter.body);
    const Guide line =
        given ? Guide{options.baselines_px[i], 0} : find_baseline(bodies, tallest_body(rows[i]), drawing.guides);
    for (Letter& letter : rows[i])
      letter.baseline_px = line.y0_px + line.slope * (letter.body.left + letter.body.right) / 2;
  }
  return std::nullopt;
}

// Height of a letter above its baseline; that of the ruled line where it reaches one.
double height_above(const Letter& letter, const std::vector<Guide>& guides) {
  const double height = letter.baseline_px - letter.body.top, x = (letter.body.left + letter.body.right) / 2;
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

double find_em_px(const std::vector<Row>& rows, const Drawing& drawing, const std::vector<std::string>& names) {
  std::vector<double> heights;
  for (const Row& row : rows)
    for (const Letter& letter : row) heights.push_back(height_above(letter, drawing.guides));
  std::sort(heights.begin(), heights.end());
  const double middle = heights[heights.size() / 2];
  while (heights.size() > 1 && heights.back() > outsize * middle && middle > 0) heights.pop_back();
  const double share = all_of_x_height(names) ? x_height_em : tallest_em;
  // Nothing stands above the line given: the whole height must do.
  double tallest = heights.back();
  if (!(tallest > 0))
    for (const Row& row : rows) tallest = std::max(tallest, tallest_body(row));
  return std::max(tallest, 1.0) / share;
}

}  // namespace

Result<GlyphSheet> arrange_glyphs(const Drawing& drawing, const GlyphOptions& options) {
  if (auto error = check(options)) return *error;
  std::vector<std::string> names;
  for (const std::string& text : options.names) names.push_back(glyph_name_of(text));
  std::vector<Row> rows = rows_of_letters(drawing);
  if (rows.empty()) return Error{ErrorCode::no_ink_found, "The drawing has no shapes to make glyphs of.", ""};
  std::size_t count = 0;
  for (const Row& row : rows) count += row.size();
  if (!names.empty() && names.size() != count)
    return Error{
        ErrorCode::names_mismatch,
        "The sheet has " + std::to_string(count) + " glyphs, but " + std::to_string(names.size()) +
            " names are given: give one for each in reading order, or none to see them as shape-1, shape-2 ...",
        "names"};
  if (auto error = place_baselines(rows, drawing, options)) return *error;

  const double em_px = options.em_px > 0 ? options.em_px : find_em_px(rows, drawing, names);
  GlyphSheet sheet{options.units_per_em, options.units_per_em / em_px, {}};
  const double bearing_px = std::round(options.side_bearing_em * options.units_per_em) / sheet.units_per_px;
  for (Row& row : rows)
    for (Letter& letter : row) {
      Glyph glyph;
      glyph.name = names.empty() ? "shape-" + std::to_string(sheet.glyphs.size() + 1) : names[sheet.glyphs.size()];
      glyph.character = character_of(glyph.name).value_or(0);
      glyph.outlines = std::move(letter.outlines);
      glyph.origin = {letter.box.left - bearing_px, letter.baseline_px};
      const double width_px = letter.box.right - letter.box.left + 2 * bearing_px;
      glyph.advance_px = std::max(0.0, std::round(width_px * sheet.units_per_px)) / sheet.units_per_px;
      sheet.glyphs.push_back(std::move(glyph));
    }
  return sheet;
}

}  // namespace batten
