#pragma once
// The report as a tree, for the files that hold it.

#include <nlohmann/json.hpp>

#include "batten/files.h"

namespace batten {

using Json = nlohmann::ordered_json;

Json report_json(const Conversion& conversion, const ReportContext& context);

}  // namespace batten
