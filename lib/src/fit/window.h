#pragma once
// Neighbouring nodes or segments of a closed outline, counted past its last one round to its first.

#include <algorithm>
#include <vector>

#include "fit/draft.h"

namespace batten {

/// The indices of `count` neighbouring nodes, or segments, of an outline, in order: `for (std::size_t i : window)`. A
/// window never holds an index twice: where it would be longer than the outline it is all of it.
class Window {
 public:
  /// From `first` on, which may be larger than the outline: it is taken round.
  Window(const DraftLoop& d, std::size_t first, std::size_t count)
      : size_(d.size()), first_(size_ ? first % size_ : 0), count_(std::min(count, size_)) {}
  /// From `before` steps before `centre` to `after` steps after it.
  static Window around(const DraftLoop& d, std::size_t centre, std::size_t before, std::size_t after) {
    return {d, d.previous(centre, before), before + 1 + after};
  }
  static Window all(const DraftLoop& d) { return {d, 0, d.size()}; }

  class Iterator {
   public:
    Iterator(std::size_t size, std::size_t at) : size_(size), at_(at) {}
    std::size_t operator*() const { return at_ < size_ ? at_ : at_ - size_; }
    Iterator& operator++() { return ++at_, *this; }
    bool operator==(const Iterator&) const = default;

   private:
    std::size_t size_, at_;  // at_: not yet taken round, so that all of an outline has an end
  };
  Iterator begin() const { return {size_, first_}; }
  Iterator end() const { return {size_, first_ + count_}; }

  /// One flag for each node (or segment) of the outline: is it in the window?
  std::vector<char> flags() const {
    std::vector<char> out(size_, 0);
    for (const std::size_t i : *this) out[i] = 1;
    return out;
  }

 private:
  std::size_t size_, first_, count_;
};

}  // namespace batten
