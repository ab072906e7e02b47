// Rows by vertical overlap: the tallest shapes found the rows, smaller ones join the row they share most height with,
// and rows of nothing but small marks (dots, accents, commas) join the nearest row of letters.

#include "write/reading_order.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <tuple>

namespace batten {
namespace {

// As high as the shape that founded it.
struct ShapeRow {
  ShapeBox founder;
  std::vector<std::size_t> members;
};

// Half of the smaller height: a descender reaches less than half of its letter into the next row's ascenders
// (common practice, no source), while x-height letters share nearly all of theirs with their row.
constexpr double least_shared = 0.5;
// A shape that spans rows must not weld the rows it touches: a large initial is over twice as tall as the letters, a
// frame has several shapes within.
constexpr double spanning_height = 2.0;
constexpr std::size_t held_by_frame = 3;

bool is_frame(std::span<const ShapeBox> boxes, const ShapeBox& frame) {
  const auto within = [&](const ShapeBox& box) {
    return &box != &frame && box.left >= frame.left && box.right <= frame.right && box.top >= frame.top &&
           box.bottom <= frame.bottom;
  };
  return static_cast<std::size_t>(std::count_if(boxes.begin(), boxes.end(), within)) >= held_by_frame;
}

// The height at which half of all heights put together is reached: a letter's, however many dots and commas there are.
double letter_height_of(std::span<const ShapeBox> boxes) {
  std::vector<double> heights;
  for (const ShapeBox& box : boxes)
    if (!is_frame(boxes, box)) heights.push_back(box.height());
  std::sort(heights.begin(), heights.end());
  const double half = std::accumulate(heights.begin(), heights.end(), 0.0) / 2;
  double sum = 0;
  for (const double height : heights)
    if ((sum += height) >= half) return height;
  return 0;
}

// The row that shares most with the box, or none.
ShapeRow* best_row(std::vector<ShapeRow>& rows, const ShapeBox& box) {
  ShapeRow* best = nullptr;
  double most = 0;
  for (ShapeRow& row : rows) {
    const double smaller = std::max(1e-9, std::min(box.height(), row.founder.height()));
    const double shared = shared_height(box, row.founder) / smaller;
    if (shared >= least_shared && shared > most) most = shared, best = &row;
  }
  return best;
}

// A shape that spans rows belongs to the first of them, where its reader starts.
ShapeRow* first_row(std::vector<ShapeRow>& rows, const ShapeBox& box) {
  ShapeRow* first = nullptr;
  for (ShapeRow& row : rows)
    if (shared_height(box, row.founder) >= least_shared * row.founder.height() &&
        (!first || row.founder.top < first->founder.top))
      first = &row;
  return first;
}

// Rows whose shapes are all small marks join the nearest row of letters, if it is closer than a mark's height.
void adopt_marks(std::vector<ShapeRow>* rows, double letter_height) {
  const auto is_mark = [&](const ShapeRow& row) { return row.founder.height() < mark_height * letter_height; };
  for (ShapeRow& marks : *rows) {
    if (!is_mark(marks)) continue;
    ShapeRow* nearest = nullptr;
    double least_gap = mark_height * letter_height;
    for (ShapeRow& row : *rows) {
      const double gap = std::max(row.founder.top - marks.founder.bottom, marks.founder.top - row.founder.bottom);
      if (!is_mark(row) && gap < least_gap) least_gap = gap, nearest = &row;
    }
    if (!nearest) continue;
    nearest->members.insert(nearest->members.end(), marks.members.begin(), marks.members.end());
    marks.members.clear();
  }
  std::erase_if(*rows, [](const ShapeRow& row) { return row.members.empty(); });
}

}  // namespace

double shared_height(const ShapeBox& a, const ShapeBox& b) {
  return std::min(a.bottom, b.bottom) - std::max(a.top, b.top);
}

std::vector<std::vector<std::size_t>> reading_rows(std::span<const ShapeBox> boxes) {
  if (boxes.empty()) return {};
  std::vector<std::size_t> by_height(boxes.size());
  std::iota(by_height.begin(), by_height.end(), 0u);
  const double spans_from = spanning_height * letter_height_of(boxes);
  std::vector<char> spans;
  for (const ShapeBox& box : boxes) spans.push_back(box.height() > spans_from || is_frame(boxes, box));
  const auto spanning = [&](std::size_t i) { return spans[i] != 0; };
  std::stable_sort(by_height.begin(), by_height.end(), [&](std::size_t a, std::size_t b) {
    return std::tuple(spanning(a), -boxes[a].height(), boxes[a].top, boxes[a].left) <
           std::tuple(spanning(b), -boxes[b].height(), boxes[b].top, boxes[b].left);
  });

  std::vector<ShapeRow> rows;
  double letter_height = 0;
  for (const std::size_t i : by_height) {
    ShapeRow* row = spanning(i) ? first_row(rows, boxes[i]) : best_row(rows, boxes[i]);
    if (row) {
      row->members.push_back(i);
    } else {
      rows.push_back({boxes[i], {i}});
      if (!spanning(i)) letter_height = std::max(letter_height, boxes[i].height());
    }
  }
  adopt_marks(&rows, letter_height);

  std::stable_sort(rows.begin(), rows.end(),
                   [](const auto& a, const auto& b) { return a.founder.top < b.founder.top; });
  std::vector<std::vector<std::size_t>> order;
  for (ShapeRow& row : rows) {
    std::sort(row.members.begin(), row.members.end(), [&](std::size_t a, std::size_t b) {
      return std::tuple(boxes[a].left, boxes[a].top, a) < std::tuple(boxes[b].left, boxes[b].top, b);
    });
    order.push_back(std::move(row.members));
  }
  return order;
}

std::vector<std::size_t> reading_order(std::span<const ShapeBox> boxes) {
  std::vector<std::size_t> order;
  for (const std::vector<std::size_t>& row : reading_rows(boxes)) order.insert(order.end(), row.begin(), row.end());
  return order;
}

namespace {

// Widens [*low, *high] by the values that one coordinate of a cubic takes on its way.
void widen(double p0, double p1, double p2, double p3, double* low, double* high) {
  const auto take = [&](double v) { *low = std::min(*low, v), *high = std::max(*high, v); };
  take(p0), take(p3);
  const double a = 3 * (p3 - 3 * p2 + 3 * p1 - p0), b = 6 * (p2 - 2 * p1 + p0), c = 3 * (p1 - p0);
  const auto take_at = [&](double t) {
    if (!(t > 0 && t < 1)) return;
    const double s = 1 - t;
    take(s * s * s * p0 + 3 * s * s * t * p1 + 3 * s * t * t * p2 + t * t * t * p3);
  };
  const double root = std::sqrt(std::max(0.0, b * b - 4 * a * c));
  const double q = -0.5 * (b + std::copysign(root, b));  // avoids the cancellation of the school formula
  if (a != 0) take_at(q / a);
  if (q != 0) take_at(c / q);
}

}  // namespace

ShapeBox bounding_box(const Outline& outline) {
  if (outline.nodes.empty()) return {};
  const Point start = outline.nodes.front().at;
  ShapeBox box{start.x, start.y, start.x, start.y};
  for (std::size_t i = 0; i < outline.segment_count(); ++i) {
    const Cubic c = outline.segment(i);
    widen(c[0].x, c[1].x, c[2].x, c[3].x, &box.left, &box.right);
    widen(c[0].y, c[1].y, c[2].y, c[3].y, &box.top, &box.bottom);
  }
  return box;
}

}  // namespace batten
