#pragma once
/// \file
/// Errors are values: a number, a sentence that says what to do, and the place. Nothing is thrown at the caller.

#include <string>
#include <utility>
#include <variant>

namespace batten {

/// Fixed for ever; a block of a hundred for each part of the library.
enum class ErrorCode : int {
  ok = 0,
  bad_option = 1,
  cancelled = 2,
  out_of_memory = 3,
  internal = 4,
  bad_polyline = 5,
  file_not_found = 100,
  not_an_image = 101,
  image_too_large = 102,
  image_truncated = 103,
  resolution_unknown = 104,
  bad_pixels = 105,
  no_ink_found = 200,
  names_mismatch = 300,
  cannot_write = 400
};

struct Error {
  ErrorCode code = ErrorCode::internal;
  std::string message;  ///< one sentence, no line break: what is wrong and what to try
  std::string place;    ///< file, option or stage; may be empty
};

/// A value or an Error.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : held_(std::move(value)) {}
  Result(Error error) : held_(std::move(error)) {}
  bool ok() const { return held_.index() == 0; }
  explicit operator bool() const { return ok(); }
  T& value() { return std::get<0>(held_); }
  const T& value() const { return std::get<0>(held_); }
  T& operator*() { return value(); }
  const T& operator*() const { return value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }
  const Error& error() const { return std::get<1>(held_); }

 private:
  std::variant<T, Error> held_;
};

}  // namespace batten
