// A conversion as JSON. nlohmann-json writes non-finite numbers as null.

#include <nlohmann/json.hpp>

#include "batten/files.h"
#include "batten/version.h"

namespace batten {
namespace {

using Json = nlohmann::ordered_json;

// Raise it when a field changes its meaning or goes; new fields do not count.
constexpr int schema = 1;

Json json_of(Point p) { return Json::array({p.x, p.y}); }

Json json_of(const Node& node) {
  return {{"at", json_of(node.at)},
          {"handle_in", json_of(node.handle_in)},
          {"handle_out", json_of(node.handle_out)},
          {"smooth", node.smooth},
          {"reason", name_of(node.reason)}};
}

Json json_of(const std::array<std::size_t, reason_count>& counts) {
  Json json = Json::object();
  for (std::size_t i = 0; i < counts.size(); ++i) json[name_of(static_cast<Reason>(i))] = counts[i];
  return json;
}

Json json_of(const OutlineReport& report) {
  return {{"segments", report.segments},
          {"nodes_by_reason", json_of(report.nodes_by_reason)},
          {"max_px", report.max_px},
          {"rms_px", report.rms_px},
          {"p95_px", report.p95_px},
          {"worst", json_of(report.worst)},
          {"limit_px", report.limit_px},
          {"loop_length_px", report.loop_length_px},
          {"replaced_length_px", report.replaced_length_px},
          {"points_set_aside", report.points_set_aside}};
}

Json json_of(const Outline& outline) {
  Json nodes = Json::array();
  for (const Node& node : outline.nodes) nodes.push_back(json_of(node));
  return {{"parent", outline.parent >= 0 ? Json(outline.parent) : Json()},
          {"kind", name_of(outline.kind)},
          {"closed", outline.closed},
          {"sigma_px", outline.sigma_px},
          {"band_px", outline.band_px},
          {"nodes", std::move(nodes)}};
}

Json json_of(const Finding& finding) {
  return {{"what", name_of(finding.what)},
          {"level", level_of(finding.what) == Level::warning ? "warning" : "info"},
          {"outline", finding.outline >= 0 ? Json(finding.outline) : Json()},
          {"place", json_of(finding.place)},
          {"amount_px", finding.amount_px},
          {"text", finding.text}};
}

Json json_of(const Conversion& conversion, const ReportContext& context) {
  const Drawing& drawing = conversion.drawing;
  const Report& report = conversion.report;
  Json json = {{"schema", schema},
               {"batten", BATTEN_VERSION},
               {"scan", context.scan},
               {"width_px", drawing.width_px},
               {"height_px", drawing.height_px},
               {"dpi", drawing.dpi > 0 ? Json(drawing.dpi) : Json()},
               {"tolerance_px", report.tolerance_px},
               {"segments", report.segments},
               {"max_px", report.max_px},
               {"rms_px", report.rms_px},
               {"outlines", Json::array()},
               {"guides", Json::array()},
               {"findings", Json::array()}};
  if (context.seconds > 0) json["seconds"] = context.seconds;
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
    Json outline = json_of(drawing.outlines[i]);
    if (i < report.outlines.size()) outline["report"] = json_of(report.outlines[i]);
    json["outlines"].push_back(std::move(outline));
  }
  for (const Guide& guide : drawing.guides) json["guides"].push_back({{"y0_px", guide.y0_px}, {"slope", guide.slope}});
  for (const Finding& finding : report.findings) json["findings"].push_back(json_of(finding));
  return json;
}

}  // namespace

std::string to_json(const Conversion& conversion, const ReportContext& context) {
  // A file name need not be UTF-8, JSON must be: what is not becomes U+FFFD.
  return json_of(conversion, context).dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace batten
