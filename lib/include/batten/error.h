#pragma once
/// \file
/// Errors are values: a number, a sentence that says what to do, and the place. Nothing is thrown at the caller.

#include <string>
#include <utility>
#include <variant>

#include "batten/export.h"

namespace batten {

/// The numbers never change; each part of the library has a block of a hundred.
enum class ErrorCode : int {
  ok = 0,                    ///< no error
  bad_option = 1,            ///< an option is out of its range; Error::place names it
  cancelled = 2,             ///< the job was asked to stop
  out_of_memory = 3,         ///< not enough memory
  internal = 4,              ///< an error inside batten
  bad_polyline = 5,          ///< too few points, or one that is not finite
  file_not_found = 100,      ///< no such file, or it may not be read
  not_an_image = 101,        ///< a file of another kind, or a damaged one
  image_too_large = 102,     ///< more pixels than allowed
  image_truncated = 103,     ///< the file ends early
  resolution_unknown = 104,  ///< a length in mm, but no dpi
  bad_pixels = 105,          ///< no pixels, a size below 1, rows that overlap
  not_a_drawing = 106,       ///< no SVG, or one without closed outlines
  no_ink_found = 200,        ///< a blank sheet
  names_mismatch = 300,      ///< more or fewer names than glyphs
  cannot_write = 400         ///< no such folder, no permission, no room
};

/// "bad option", "no ink found" ...: the number in words.
BATTEN_EXPORT const char* name_of(ErrorCode code);

/// What went wrong.
struct Error {
  ErrorCode code = ErrorCode::internal;  ///< for programs
  std::string message;                   ///< one sentence, no line break: what is wrong and what to try
  std::string place;                     ///< file, option or stage; may be empty
};

/// A value or an Error. Check ok() first: asking for the one that is not there throws std::bad_variant_access.
///
/// \snippet polyline.cpp fit
template <class T>
class [[nodiscard]] Result {
 public:
  /// Holds a value.
  Result(T value) : held_(std::move(value)) {}
  /// Holds an error.
  Result(Error error) : held_(std::move(error)) {}
  /// Is there a value?
  bool ok() const { return held_.index() == 0; }
  /// The same, for `if (result)`.
  explicit operator bool() const { return ok(); }
  /// The value.
  T& value() & { return std::get<0>(held_); }
  /// The value.
  const T& value() const& { return std::get<0>(held_); }
  /// The value, to be moved from: `auto drawing = fit(...).value()` copies nothing.
  T&& value() && { return std::get<0>(std::move(held_)); }
  /// The value.
  T& operator*() & { return value(); }
  /// The value.
  const T& operator*() const& { return value(); }
  /// The value, to be moved from: what a moved Result gives is not copied.
  T&& operator*() && { return std::move(*this).value(); }
  /// The value's members.
  T* operator->() { return &value(); }
  /// The value's members.
  const T* operator->() const { return &value(); }
  /// The error.
  const Error& error() const { return std::get<1>(held_); }

 private:
  std::variant<T, Error> held_;
};

}  // namespace batten
