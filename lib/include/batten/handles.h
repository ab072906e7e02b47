#pragma once
/// \file
/// From the handles of the C interface to C++ and back, for programs that use both.

#include <cstdint>
#include <optional>
#include <vector>

#include "batten/batten.h"
#include "batten/batten_judge.h"
#include "batten/batten_pins.h"
#include "batten/convert.h"
#include "batten/error.h"
#include "batten/export.h"
#include "batten/sweep.h"

namespace batten {

/// What the handle holds, for as long as it lives; null for null.
BATTEN_EXPORT const Conversion* conversion_of(const batten_drawing* drawing);

/// A handle for C, to be released with batten_drawing_free().
BATTEN_EXPORT batten_drawing* handle_for(Conversion conversion);

/// A list of pins for C, to be released with batten_pins_free().
BATTEN_EXPORT batten_pins* handle_for(std::vector<Pin> pins);

/// A copy of what the handle holds; empty for null.
BATTEN_EXPORT std::optional<Sweep> sweep_of(const batten_sweep* sweep);

/// Puts an error into the caller's memory, if there is some, and returns its number.
BATTEN_EXPORT std::int32_t tell(const Error& e, batten_error* error);

}  // namespace batten
