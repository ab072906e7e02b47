#pragma once
// The report as a tree, for the files that hold it.

#include <nlohmann/json.hpp>

#include "batten/files.h"

namespace batten {

using Json = nlohmann::ordered_json;

/// A name need not be UTF-8, and what holds it must be: what is not becomes U+FFFD.
std::string utf8(const std::string& text);

Json report_json(const Conversion& conversion, const ReportContext& context);

}  // namespace batten
