#include "write/group_marks.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

namespace batten {
namespace {

// Below half of the row's tallest a shape may be a mark: dots and accents are far smaller, x-height letters are taller
// (common practice, no source).
constexpr double mark_height = 0.5;
// Letters side by side share little width, even where one reaches over its neighbour (To, fi); pieces above one another
// share most of the narrower one's.
constexpr double stacked_share = 0.5;
// A dot or an accent is no farther from its letter than half the row's tallest.
constexpr double farthest_mark = 0.5;
// Of its height, what a mark may reach down beside its letter: accents on slanted letters do a little.
constexpr double beside_share = 0.3;

double width(const Box& box) { return box.right - box.left; }
double centre(const Box& box) { return (box.left + box.right) / 2; }
double shared_width(const Box& a, const Box& b) { return std::min(a.right, b.right) - std::max(a.left, b.left); }
double shared_height(const Box& a, const Box& b) { return std::min(a.bottom, b.bottom) - std::max(a.top, b.top); }

bool stacked(const Box& a, const Box& b) { return shared_width(a, b) >= stacked_share * std::min(width(a), width(b)); }

// May `mark` be a dot or an accent of `letter`? It stands over or under it, its centre within the letter, or no more
// than the mark's own width outside (the two dots of a narrow i).
bool belongs(const Box& mark, const Box& letter, double tallest) {
  const bool centred = centre(mark) >= letter.left - width(mark) && centre(mark) <= letter.right + width(mark);
  const double shared = shared_height(mark, letter);
  return centred && shared <= beside_share * mark.height() && -shared <= farthest_mark * tallest;
}

// Two strokes of a quotation mark: vertical, alike, level, and no farther apart than they are wide.
bool paired(const Box& a, const Box& b) {
  const double taller = std::max(a.height(), b.height()), wider = std::max(width(a), width(b));
  constexpr double alike = 0.75, vertical = 1.3;
  return std::min(a.height(), b.height()) >= alike * taller && std::min(a.height(), b.height()) >= vertical * wider &&
         shared_height(a, b) >= alike * taller && -shared_width(a, b) <= wider;
}

class Groups {
 public:
  explicit Groups(std::size_t count) : parent_(count) { std::iota(parent_.begin(), parent_.end(), 0u); }
  std::size_t of(std::size_t i) const { return parent_[i] == i ? i : of(parent_[i]); }
  void join(std::size_t a, std::size_t b) { parent_[std::max(of(a), of(b))] = std::min(of(a), of(b)); }

 private:
  std::vector<std::size_t> parent_;
};

double tallest_of(std::span<const Box> boxes) {
  double tallest = 0;
  for (const Box& box : boxes) tallest = std::max(tallest, box.height());
  return tallest;
}

void join_marks(std::span<const Box> boxes, Groups& groups) {
  const double tallest = tallest_of(boxes);
  const auto is_mark = [&](std::size_t i) { return boxes[i].height() < mark_height * tallest; };
  std::vector<std::size_t> alone;
  for (std::size_t i = 0; i < boxes.size(); ++i) {
    if (!is_mark(i)) continue;
    std::size_t letter = i;
    for (std::size_t k = 0; k < boxes.size(); ++k) {
      if (is_mark(k) || !belongs(boxes[i], boxes[k], tallest)) continue;
      const auto distance = [&](std::size_t l) { return std::fabs(centre(boxes[i]) - centre(boxes[l])); };
      if (letter == i || distance(k) < distance(letter)) letter = k;
    }
    if (letter != i)
      groups.join(i, letter);
    else
      alone.push_back(i);
  }
  for (const std::size_t a : alone)
    for (const std::size_t b : alone)
      if (a < b && paired(boxes[a], boxes[b])) groups.join(a, b);
}

}  // namespace

std::vector<std::vector<std::size_t>> group_marks(std::span<const Box> boxes) {
  Groups groups(boxes.size());
  for (std::size_t a = 0; a < boxes.size(); ++a)
    for (std::size_t b = a + 1; b < boxes.size(); ++b)
      if (stacked(boxes[a], boxes[b])) groups.join(a, b);
  join_marks(boxes, groups);

  std::vector<std::vector<std::size_t>> members(boxes.size());
  for (std::size_t i = 0; i < boxes.size(); ++i) members[groups.of(i)].push_back(i);
  std::erase_if(members, [](const auto& group) { return group.empty(); });
  for (auto& group : members)
    std::stable_sort(group.begin(), group.end(),
                     [&](std::size_t a, std::size_t b) { return boxes[a].height() > boxes[b].height(); });
  std::stable_sort(members.begin(), members.end(),
                   [&](const auto& a, const auto& b) { return boxes[a.front()].left < boxes[b.front()].left; });
  return members;
}

}  // namespace batten
