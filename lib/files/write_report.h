#pragma once
// Gives the report as a tree, for the files that hold it.

#include <nlohmann/json.hpp>

#include "batten/files.h"

namespace batten {

using Json = nlohmann::ordered_json;

/// The text as UTF-8: a name may hold any bytes, and those that are not UTF-8 become U+FFFD.
std::string utf8(const std::string& text);

/// As in a list of pins.
Json pin_json(const Pin& pin);

Json report_json(const Conversion& conversion, const ReportContext& context);

}  // namespace batten
