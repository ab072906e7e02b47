#include "batch_table.h"

#include <algorithm>
#include <cstdint>
#include <fstream>
#include <nlohmann/json.hpp>

#include "batten/write.h"

namespace batten::cli {
namespace {

// A field of CSV on one line: control characters become spaces, and quotes stand round what needs them.
std::string field(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20) c = ' ';
  if (text.find_first_of(",\"") == std::string::npos) return text;
  std::string out = "\"";
  for (const char c : text) out += c == '"' ? "\"\"" : std::string(1, c);
  return out + "\"";
}

}  // namespace

TableRow row_of(const Conversion& conversion) {
  TableRow row;
  for (const Outline& outline : conversion.drawing.outlines) {
    ++(outline.closed ? row.outlines : row.lines);
    row.nodes += outline.nodes.size();
  }
  const Report& report = conversion.report;
  row.segments = report.segments;
  row.tolerance_px = report.tolerance_px, row.max_px = report.max_px, row.rms_px = report.rms_px;
  row.warnings = static_cast<std::size_t>(std::count_if(report.findings.begin(), report.findings.end(),
                                                        [](auto& f) { return level_of(f.what) == Level::warning; }));
  return row;
}

std::optional<TableRow> row_of_report(const std::string& path, const std::string& job) {
  std::ifstream file(path);
  if (!file) return std::nullopt;
  const auto json = nlohmann::json::parse(file, nullptr, false);
  if (!json.is_object() || json.value("job", "") != job) return std::nullopt;
  TableRow row;
  const auto px = [&](const char* name) { return json[name].is_number() ? json[name].get<double>() : 0.; };
  for (const auto& outline : json["outlines"]) {
    ++(outline.value("closed", true) ? row.outlines : row.lines);
    row.nodes += outline["nodes"].size();
  }
  row.segments = json.value("segments", std::size_t(0));
  row.tolerance_px = px("tolerance_px"), row.max_px = px("max_px"), row.rms_px = px("rms_px");
  for (const auto& finding : json["findings"]) row.warnings += finding.value("level", "") == "warning";
  return row;
}

std::string to_csv(const std::vector<TableRow>& rows) {
  std::string text = "number,scan,status,outlines,lines,nodes,segments,tolerance_px,max_px,rms_px,warnings,error\n";
  for (const TableRow& row : rows) {
    text += std::to_string(row.number) + "," + field(row.scan) + ",";
    if (row.error.empty()) {
      text += "traced";
      for (const std::size_t count : {row.outlines, row.lines, row.nodes, row.segments})
        text += "," + std::to_string(count);
      for (const double px : {row.tolerance_px, row.max_px, row.rms_px}) text += "," + decimal(px, 3);
      text += "," + std::to_string(row.warnings) + ",";
    } else {
      text += "failed,,,,,,,,," + field(row.error);
    }
    text += "\n";
  }
  return text;
}

std::string name_of_bytes(const std::string& bytes) {
  // FNV-1a, 64 bit: http://www.isthe.com/chongo/tech/comp/fnv/
  std::uint64_t state = 14695981039346656037ull;
  for (const char c : bytes) state = (state ^ static_cast<unsigned char>(c)) * 1099511628211ull;
  constexpr char digits[] = "0123456789abcdef";
  std::string out;
  for (int shift = 60; shift >= 0; shift -= 4) out += digits[state >> shift & 15];
  return out;
}

}  // namespace batten::cli
