#include "write/group_marks.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

namespace batten {
namespace {

// Letters side by side share little width, even where one reaches over its neighbour (To, fi); pieces above one another
// share most of the narrower one's.
constexpr double stacked_share = 0.5;
// A dot or an accent is no farther from its letter than half the row's tallest.
constexpr double farthest_mark = 0.5;
// A mark may stand beside its letter with this share of its height: accents on slanted letters do a little.
constexpr double beside_share = 0.3;

double shared_width(const ShapeBox& a, const ShapeBox& b) {
  return std::min(a.right, b.right) - std::max(a.left, b.left);
}

bool stacked(const ShapeBox& a, const ShapeBox& b) {
  return shared_width(a, b) >= stacked_share * std::min(a.width(), b.width());
}

// May `mark` be a dot or an accent of `letter`? It stands over or under it, its centre within the letter, or no more
// than the mark's own width outside (the two dots of a narrow i).
bool belongs(const ShapeBox& mark, const ShapeBox& letter, double tallest) {
  const double x = mark.middle_x(), spare = mark.width();
  const bool centred = x >= letter.left - spare && x <= letter.right + spare;
  const double shared = shared_height(mark, letter);
  return centred && shared <= beside_share * mark.height() && -shared <= farthest_mark * tallest;
}

// Two strokes of a quotation mark: vertical, alike, level, and no farther apart than they are wide.
bool paired(const ShapeBox& a, const ShapeBox& b) {
  const double taller = std::max(a.height(), b.height()), wider = std::max(a.width(), b.width());
  constexpr double alike = 0.75, vertical = 1.3;
  return std::min(a.height(), b.height()) >= alike * taller && std::min(a.height(), b.height()) >= vertical * wider &&
         shared_height(a, b) >= alike * taller && -shared_width(a, b) <= wider;
}

// For each shape the first one of its group.
using PieceGroups = std::vector<std::size_t>;

void join(std::size_t a, std::size_t b, PieceGroups* groups) {
  const std::size_t first = std::min((*groups)[a], (*groups)[b]), other = std::max((*groups)[a], (*groups)[b]);
  std::replace(groups->begin(), groups->end(), other, first);
}

double tallest_of(std::span<const ShapeBox> boxes) {
  double tallest = 0;
  for (const ShapeBox& box : boxes) tallest = std::max(tallest, box.height());
  return tallest;
}

void join_marks(std::span<const ShapeBox> boxes, PieceGroups* groups) {
  const double tallest = tallest_of(boxes);
  const auto is_mark = [&](std::size_t i) { return boxes[i].height() < mark_height * tallest; };
  std::vector<std::size_t> alone;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    if (!is_mark(i)) continue;
    std::size_t letter = i;
    for (std::size_t k = 0; k < boxes.size(); ++k) {
      if (is_mark(k) || !belongs(boxes[i], boxes[k], tallest)) continue;
      const auto distance = [&](std::size_t l) { return std::fabs(boxes[i].middle_x() - boxes[l].middle_x()); };
      if (letter == i || distance(k) < distance(letter)) letter = k;
    }
    if (letter != i)
      join(i, letter, groups);
    else
      alone.push_back(i);
  }
  for (const std::size_t a : alone)
    for (const std::size_t b : alone)
      if (a < b && paired(boxes[a], boxes[b])) join(a, b, groups);
}

}  // namespace

std::vector<std::vector<std::size_t>> group_marks(std::span<const ShapeBox> boxes) {
  PieceGroups groups(boxes.size());
  std::iota(groups.begin(), groups.end(), std::size_t{0});
  for (std::size_t a = 0; a < boxes.size(); ++a)
    for (std::size_t b = a + 1; b < boxes.size(); ++b)
      if (stacked(boxes[a], boxes[b])) join(a, b, &groups);
  join_marks(boxes, &groups);

  std::vector<std::vector<std::size_t>> members(boxes.size());
  for (std::size_t i = 0; i < boxes.size(); ++i) members[groups[i]].push_back(i);
  std::erase_if(members, [](const auto& group) { return group.empty(); });
  for (auto& group : members)
    std::stable_sort(group.begin(), group.end(),
                     [&](std::size_t a, std::size_t b) { return boxes[a].height() > boxes[b].height(); });
  std::stable_sort(members.begin(), members.end(),
                   [&](const auto& a, const auto& b) { return boxes[a.front()].left < boxes[b.front()].left; });
  return members;
}

}  // namespace batten
