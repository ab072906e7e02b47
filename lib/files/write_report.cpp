// Writes a conversion as JSON; data/report.schema.json describes it. nlohmann-json writes non-finite numbers as null.

#include "write_report.h"

#include <cmath>

#include "batten/measure.h"
#include "batten/version.h"
#include "batten/write.h"

namespace batten {
namespace {

// To be raised when a field changes its meaning or goes, but not for a new field.
constexpr int schema = 2;

Json json_of(Point p) { return Json::array({p.x, p.y}); }

Json json_of(const Node& node) {
  return {{"at", json_of(node.at)},
          {"handle_before", json_of(node.handle_before)},
          {"handle_after", json_of(node.handle_after)},
          {"smooth", node.smooth},
          {"reason", name_of(node.reason)}};
}

Json json_of(const std::array<std::size_t, reason_count>& counts) {
  Json json = Json::object();
  for (std::size_t i = 0; i < counts.size(); ++i) json[name_of(static_cast<Reason>(i))] = counts[i];
  return json;
}

// Rounds to thousandths of a px, as the SVG does: that takes a third of the bytes.
Json rounded(double px) { return std::isfinite(px) ? Json(std::round(px * 1000) / 1000) : Json(); }

Json deviation_json(const Outline& outline, const OutlineReport& report) {
  Json segments = Json::array();
  for (const std::vector<double>& along : deviation_along(outline, report.judged)) {
    Json values = Json::array();
    for (const double px : along) values.push_back(rounded(px));
    segments.push_back(std::move(values));
  }
  return segments;
}

// The number of segments and what it rests on; null where no bound was sought.
Json json_of(const LowerBound& least, std::size_t segments) {
  if (least.proven == 0) return nullptr;
  const bool proven = least.proven == least.numerical || least.proven >= segments;
  return {{"segments", proven ? least.proven : least.numerical},
          {"kind", proven ? "proven" : "none fewer found, given these corners and extremes"},
          {"proven", least.proven},
          {"argument", name_of(least.argument)}};
}

Json json_of(const std::vector<Tip>& tips) {
  Json json = Json::array();
  for (const Tip& tip : tips)
    json.push_back({{"node", tip.node}, {"length_px", tip.length_px}, {"along_px", tip.along_px}});
  return json;
}

Json json_of(const std::vector<HiddenCorner>& hidden) {
  Json json = Json::array();
  for (const HiddenCorner& corner : hidden) json.push_back({{"node", corner.node}, {"sigma_px", corner.sigma_px}});
  return json;
}

Json json_of(const Outline& outline, const OutlineReport& report) {
  return {{"segments", report.segments},
          {"least_segments", json_of(report.least, report.segments)},
          {"nodes_by_reason", json_of(report.nodes_by_reason)},
          {"max_px", report.max_px},
          {"rms_px", report.rms_px},
          {"p95_px", report.p95_px},
          {"worst", json_of(report.worst)},
          {"within_tolerance", report.within_tolerance},
          {"tolerance_px", report.tolerance_px},
          {"limit_px", report.limit_px},
          {"known_px", report.known_px},
          {"loop_length_px", report.loop_length_px},
          {"replaced_length_px", report.replaced_length_px},
          {"tips", json_of(report.tips)},
          {"hidden", json_of(report.hidden)},
          {"strayed_px", report.strayed_px},
          {"deviation_px", deviation_json(outline, report)}};
}

Json json_of(const Outline& outline) {
  Json nodes = Json::array();
  for (const Node& node : outline.nodes) nodes.push_back(json_of(node));
  return {{"parent", outline.parent >= 0 ? Json(outline.parent) : Json()},
          {"kind", name_of(outline.kind)},
          {"inside", name_of(outline.face.inside)},
          {"ink_share", outline.face.ink_share},
          {"why", outline.face.why},
          {"closed", outline.closed},
          {"sigma_px", outline.sigma_px},
          {"band_px", outline.band_px},
          {"nodes", std::move(nodes)}};
}

// An outline as it was: nobody named its nodes.
Json drawn_json(const Outline& outline) {
  Json nodes = Json::array();
  for (const Node& node : outline.nodes)
    nodes.push_back({{"at", json_of(node.at)},
                     {"handle_before", json_of(node.handle_before)},
                     {"handle_after", json_of(node.handle_after)}});
  return {{"closed", outline.closed}, {"nodes", std::move(nodes)}};
}

Json json_of(const Finding& finding) {
  return {{"what", name_of(finding.what)},
          {"level", level_of(finding.what) == Level::warning ? "warning" : "info"},
          {"outline", finding.outline >= 0 ? Json(finding.outline) : Json()},
          {"place", json_of(finding.place)},
          {"amount_px", finding.amount_px},
          {"text", finding.text}};
}

Json json_of(const Comparison& against) {
  return {{"outlines", against.outlines},
          {"missing", against.missing},
          {"extra", against.extra},
          {"segments", against.segments},
          {"truth_segments", against.truth_segments},
          {"corners_found", against.corners_found},
          {"corners_missing", against.corners_missing},
          {"corners_extra", against.corners_extra},
          {"max_px", against.max_px},
          {"rms_px", against.rms_px},
          {"p95_px", against.p95_px},
          {"worst", json_of(against.worst)}};
}

Json json_of(const OverScan& over) {
  return {{"placed", over.placed},
          {"not_placed", over.not_placed},
          {"rms_before_px", over.rms_before_px},
          {"rms_after_px", over.rms_after_px},
          {"max_before_px", over.max_before_px},
          {"max_after_px", over.max_after_px}};
}

Json json_of(const RefitCounts& counts) {
  Json json = {{"paths", counts.paths},
               {"refitted", counts.refitted},
               {"nodes_before", counts.nodes_before},
               {"nodes_after", counts.nodes_after},
               {"change_px", counts.change_px}};
  if (counts.over) json["over_scan"] = json_of(*counts.over);
  return json;
}

const char* deed_of(Edit::Kind kind) {
  switch (kind) {
    case Edit::Kind::level:
      return "A straight laid level";
    case Edit::Kind::vertical:
      return "A straight set vertical";
    case Edit::Kind::slant:
      return "A stem given the slant of those that lean alike";
    case Edit::Kind::line:
      return "Two straights laid on one line";
    case Edit::Kind::width:
      return "A stroke given the width of another";
    case Edit::Kind::overshoot:
      return "A round given the overshoot of another";
    case Edit::Kind::symmetry:
      return "An outline made the mirror image of itself";
  }
  return "";
}

Json json_of(const Edit& edit, const Drawing& drawing) {
  Json nodes = Json::array(), places = Json::array();
  for (const Edit::Where& w : edit.nodes) {
    nodes.push_back(Json::array({w.outline, w.node}));
    places.push_back(json_of(drawing.outlines[std::size_t(w.outline)].nodes[std::size_t(w.node)].at));
  }
  const std::string moved = ": " + decimal(edit.moved_px, 2) + " px.";
  return {{"kind", name_of(edit.kind)},
          {"nodes", std::move(nodes)},
          {"places", std::move(places)},
          {"moved_px", edit.moved_px},
          {"kept", edit.kept},
          {"text", deed_of(edit.kind) + (edit.kept ? moved : ": undone, since it would have broken the tolerance.")}};
}

Json json_of(const PinOutcome& pin) {
  Json against = Json::array();
  for (const std::size_t other : pin.against) against.push_back(other + 1);
  return {{"held", pin.held},
          {"distance_px", pin.distance_px < 1e8 ? rounded(pin.distance_px) : Json()},
          {"off_line_px", rounded(pin.off_line_px)},
          {"outline", pin.outline >= 0 ? Json(pin.outline) : Json()},
          {"place", json_of(pin.place)},
          {"against", std::move(against)},
          {"text", pin.text}};
}

Json json_of(const SheetTurn& turn) {
  if (!turn.known) return Json();
  return {{"turn_deg", turn.deg}, {"sd_deg", turn.sd_deg}, {"undone", turn.undone}};
}

bool is_flat(const Json& json) {
  for (const Json& part : json)
    if (part.is_structured()) return false;
  return true;
}

// Objects get a line for each field. Arrays of plain values stay in one line: a place over four is hard to read.
void write(const Json& json, std::size_t depth, std::string& text) {
  if (!json.is_structured() || json.empty() || (json.is_array() && is_flat(json))) {
    // JSON must be UTF-8, a file name need not be: other bytes become U+FFFD.
    text += json.dump(-1, ' ', false, Json::error_handler_t::replace);
    return;
  }
  const std::string indent(2 * (depth + 1), ' ');
  text += json.is_array() ? "[" : "{";
  bool first = true;
  for (const auto& [key, value] : json.items()) {
    text += (first ? "\n" : ",\n") + indent;
    if (json.is_object()) text += Json(key).dump() + ": ";
    write(value, depth + 1, text);
    first = false;
  }
  text += "\n" + std::string(2 * depth, ' ') + (json.is_array() ? "]" : "}");
}

}  // namespace

std::string utf8(const std::string& text) {
  return Json::parse(Json(text).dump(-1, ' ', false, Json::error_handler_t::replace));
}

Json report_json(const Conversion& conversion, const ReportContext& context) {
  const Drawing& drawing = conversion.drawing;
  const Report& report = conversion.report;
  Json json = {{"schema", schema},
               {"batten", BATTEN_VERSION},
               {"scan", context.scan},
               {"width_px", drawing.width_px},
               {"height_px", drawing.height_px},
               {"dpi", drawing.dpi > 0 ? Json(drawing.dpi) : Json()},
               {"tolerance_px", report.tolerance_px},
               {"within_tolerance", report.within_tolerance},
               {"hold_tolerance", report.hold_tolerance},
               {"known_px", report.known_px},
               {"segments", report.segments},
               {"least_segments", json_of(report.least, report.segments)},
               {"nodes_by_reason", json_of(report.nodes_by_reason)},
               {"max_px", report.max_px},
               {"rms_px", report.rms_px},
               {"p95_px", report.p95_px},
               {"sheet", json_of(report.sheet)},
               {"outlines", Json::array()},
               {"guides", Json::array()},
               {"edits", Json::array()},
               {"pins", Json::array()},
               {"findings", Json::array()}};
  if (!(drawing.origin == Point{})) json["origin"] = json_of(drawing.origin);
  if (context.seconds > 0) json["seconds"] = context.seconds;
  if (!context.job.empty()) json["job"] = context.job;
  if (context.against) json["against"] = json_of(*context.against);
  if (context.refit) json["refit"] = json_of(*context.refit);
  for (std::size_t i = 0; i < drawing.outlines.size(); ++i) {
    Json outline = json_of(drawing.outlines[i]);
    if (i < report.outlines.size()) outline["report"] = json_of(drawing.outlines[i], report.outlines[i]);
    json["outlines"].push_back(std::move(outline));
  }
  for (const Outline& outline : context.before) json["before"].push_back(drawn_json(outline));
  for (const Guide& guide : drawing.guides) json["guides"].push_back({{"y0_px", guide.y0_px}, {"slope", guide.slope}});
  for (const Edit& edit : report.edits) json["edits"].push_back(json_of(edit, drawing));
  for (std::size_t i = 0; i < report.pins.size(); ++i) {
    Json pin = json_of(report.pins[i]);
    if (i < context.pins.size()) pin["decision"] = pin_json(context.pins[i]);
    json["pins"].push_back(std::move(pin));
  }
  for (const Finding& finding : report.findings) json["findings"].push_back(json_of(finding));
  return json;
}

std::string to_json(const Conversion& conversion, const ReportContext& context) {
  std::string text;
  write(report_json(conversion, context), 0, text);
  return text + "\n";
}

}  // namespace batten
