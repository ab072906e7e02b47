#include "refine/joint_blocks.h"

#include <algorithm>
#include <cmath>
#include <numeric>

namespace batten {
namespace {

constexpr Quantity quantities[] = {Quantity::x,  Quantity::y,  Quantity::angle, Quantity::h0,
                                   Quantity::h1, Quantity::a0, Quantity::a1};

void unite(std::vector<std::size_t>* of, std::size_t a, std::size_t b) {
  const std::size_t from = (*of)[b], to = (*of)[a];
  std::replace(of->begin(), of->end(), from, to);
}

// Those who share a value start from their mean.
void average(const std::vector<std::size_t>& of, std::vector<double>* v) {
  std::vector<double> sum(v->size(), 0);
  std::vector<int> count(v->size(), 0);
  for (std::size_t i = 0; i < v->size(); ++i) sum[of[i]] += (*v)[i], ++count[of[i]];
  for (std::size_t i = 0; i < v->size(); ++i) (*v)[i] = sum[of[i]] / count[of[i]];
}

}  // namespace

JointBlocks::JointBlocks(const DraftLoop& d, std::vector<char> freed) : d_(d), freed_(std::move(freed)) {
  const std::size_t n = d.size();
  x_of_.resize(n), y_of_.resize(n);
  std::iota(x_of_.begin(), x_of_.end(), 0u);
  std::iota(y_of_.begin(), y_of_.end(), 0u);
  for (std::size_t i = 0; i < n; ++i) {
    if (!d.segments[i].straight) continue;
    if (d.segments[i].vertical) unite(&x_of_, i, d.next(i));
    if (d.segments[i].level) unite(&y_of_, i, d.next(i));
  }
  for (const Quantity q : quantities)
    for (std::size_t i = 0; i < n; ++i) values(q).push_back(value_of(d, q, i));
  average(x_of_, &values(Quantity::x));
  average(y_of_, &values(Quantity::y));
  x_free_ = y_free_ = std::vector<char>(n, 1);
  for (std::size_t i = 0; i < n; ++i) {  // pinned: whatever shares the coordinate comes to it
    if (d.nodes[i].fixed_x) values(Quantity::x)[x_of_[i]] = d.nodes[i].at.x, x_free_[x_of_[i]] = 0;
    if (d.nodes[i].fixed_y) values(Quantity::y)[y_of_[i]] = d.nodes[i].at.y, y_free_[y_of_[i]] = 0;
  }
  for (std::size_t i = 0; i < n; ++i) {
    if (free(i) || touched(i)) concerned_.push_back(i);
    // The ends of an open line stay where they are: other lines may end there.
    if (!free(i) || is_line_end(d, i)) x_free_[x_of_[i]] = y_free_[y_of_[i]] = 0;
  }
}

std::size_t JointBlocks::owner(Quantity of, std::size_t index) const {
  return of == Quantity::x ? x_of_[index] : of == Quantity::y ? y_of_[index] : index;
}

double* JointBlocks::block_of(Quantity of, std::size_t index) { return &values(of)[owner(of, index)]; }

Slot JointBlocks::slot_of(Quantity of, std::size_t index) {
  const std::size_t at = owner(of, index);
  const bool moves = of == Quantity::x   ? x_free_[at]
                     : of == Quantity::y ? y_free_[at]
                                         : of != Quantity::angle || free(index);
  double* const block = &values(of)[at];
  return {moves ? block : nullptr, *block};
}

bool JointBlocks::all_finite() const {
  for (const auto& v : values_)
    if (!std::all_of(v.begin(), v.end(), [](double q) { return std::isfinite(q); })) return false;
  return true;
}

void JointBlocks::read_back(DraftLoop* out) const {
  for (const Quantity q : quantities)
    for (std::size_t i = 0; i < d_.size(); ++i) set_value(out, q, i, values(q)[owner(q, i)]);
  settle_angles(out);
}

}  // namespace batten
