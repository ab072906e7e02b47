#pragma once
// Order statistics of a list of numbers: one member of the list each time, never a mean of two.

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

namespace batten {

/// The value at `index` (0 the smallest) once the list is sorted. The list must be longer than that.
template <class T>
T nth_smallest(std::vector<T> values, std::size_t index) {
  const auto at = values.begin() + std::ptrdiff_t(index);
  std::nth_element(values.begin(), at, values.end());
  return *at;
}

/// The middle value; of an even number of values the upper of the two in the middle. 0 for an empty list.
template <class T>
T median(std::vector<T> values) {
  const std::size_t middle = values.size() / 2;
  return values.empty() ? T(0) : nth_smallest(std::move(values), middle);
}

/// The largest value that at most the given share (0..1) of the others lie below: at 0 the smallest, at 1 the largest,
/// at 0.5 the median (of an even number of values the lower of the two in the middle). 0 for an empty list.
template <class T>
T quantile(std::vector<T> values, double share) {
  if (values.empty()) return T(0);
  const auto index = std::size_t(share * double(values.size() - 1));
  return nth_smallest(std::move(values), index);
}

}  // namespace batten
