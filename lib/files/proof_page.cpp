// Writes the proof as one HTML page: the parts of lib/files/proof/ with the scan and the report as data in them.

#include <webp/encode.h>

#include <cstdio>
#include <memory>
#include <new>

#include "batten/version.h"
#include "batten/write.h"
#include "flat_picture.h"
#include "proof_parts.h"
#include "write_report.h"

namespace batten {
namespace {

// RFC 4648, section 4.
std::string base64(const std::uint8_t* bytes, std::size_t size) {
  static constexpr char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
  std::string text;
  text.reserve((size + 2) / 3 * 4);
  for (std::size_t i = 0; i < size; i += 3) {
    std::uint32_t bits = 0;
    for (std::size_t k = 0; k < 3; ++k) bits = bits << 8 | (i + k < size ? bytes[i + k] : 0u);
    for (std::size_t k = 0; k < 4; ++k) text += i + k > size ? '=' : digits[bits >> (18 - 6 * k) & 63];
  }
  return text;
}

std::string escaped(const std::string& text) {
  std::string out;
  for (const char c : text) switch (c) {
      case '&':
        out += "&amp;";
        break;
      case '<':
        out += "&lt;";
        break;
      case '>':
        out += "&gt;";
        break;
      case '"':
        out += "&quot;";
        break;
      default:
        out += c;
    }
  return out;
}

// Small scans keep every pixel; a page of many megapixels would take minutes on a phone, so larger ones are reduced to
// what a screen can show and coded with loss.
Result<std::string> picture_uri(const Picture& picture) {
  constexpr double lossless_pixels = 1.5e6, most_pixels = 12e6;
  constexpr float quality = 82;
  const FlatPicture flat = reduced(flattened(picture), most_pixels);
  const int stride = 3 * flat.width;
  if (double(flat.width) * flat.height <= lossless_pixels || std::max(flat.width, flat.height) > WEBP_MAX_DIMENSION) {
    const Result<std::string> png = to_png({flat.rgb.data(), flat.width, flat.height, stride, PixelFormat::rgb8});
    if (!png) return png.error();
    return "data:image/png;base64," + base64(reinterpret_cast<const std::uint8_t*>(png->data()), png->size());
  }
  std::uint8_t* bytes = nullptr;
  const std::size_t size = WebPEncodeRGB(flat.rgb.data(), flat.width, flat.height, stride, quality, &bytes);
  const std::unique_ptr<std::uint8_t, decltype(&WebPFree)> kept(bytes, WebPFree);
  if (size == 0) return Error{ErrorCode::out_of_memory, "There is not enough memory for the proof: crop the scan.", ""};
  return "data:image/webp;base64," + base64(bytes, size);
}

// JSON within <script>: no "</" and no "<!--" may appear; in JSON "<" stands in strings only.
std::string script_data(const Json& json) {
  std::string out;
  for (const char c : json.dump(-1, ' ', false, Json::error_handler_t::replace))
    if (c == '<')
      out += "\\u003c";
    else
      out += c;
  return out;
}

std::string number(double value, int decimals) { return decimal(value, decimals); }

std::string length(double px, double dpi) {
  constexpr double mm_per_inch = 25.4;
  return number(px, 2) + " px" + (dpi > 0 ? " (" + number(px / dpi * mm_per_inch, 3) + " mm)" : "");
}

std::string counted(std::size_t count, const std::string& noun) {
  return std::to_string(count) + " " + noun + (count == 1 ? "" : "s");
}

std::string summary(const Conversion& conversion) {
  const Drawing& drawing = conversion.drawing;
  const Report& report = conversion.report;
  return counted(drawing.outlines.size(), "outline") + ", " + counted(report.segments, "segment") +
         "; largest deviation " + length(report.max_px, drawing.dpi) + ", rms " + length(report.rms_px, drawing.dpi) +
         ", 95 % below " + length(report.p95_px, drawing.dpi) + ", tolerance " +
         length(report.tolerance_px, drawing.dpi) + ".";
}

// Puts each value in the place of its {{name}}. What a value holds is not searched for names.
std::string filled(std::string_view page, const std::vector<std::pair<std::string_view, std::string>>& values) {
  std::string out;
  while (true) {
    const std::size_t open = page.find("{{");
    const std::size_t close = open == page.npos ? page.npos : page.find("}}", open);
    if (close == page.npos) return out.append(page);
    const std::string_view name = page.substr(open + 2, close - open - 2);
    out += page.substr(0, open);
    for (const auto& [known, value] : values)
      if (known == name) out += value;
    page.remove_prefix(close + 2);
  }
}

Result<std::string> page(const Picture& picture, const Json& data, const std::string& summary,
                         const ReportContext& context) {
  const bool is_drawn = picture.width >= 1 && picture.height >= 1 && !picture.bytes.empty();
  if (!is_drawn && context.before.empty())
    return Error{ErrorCode::bad_pixels, "A proof needs the picture of the scan.", "picture"};
  const Result<std::string> scan = is_drawn ? picture_uri(picture) : std::string("data:,");
  if (!scan) return scan.error();
  std::string title = utf8(context.scan);
  title = title.substr(title.find_last_of('/') + 1);
  return filled(proof_parts::page, {{"title", escaped(title.empty() ? "Drawing" : title)},
                                    {"summary", escaped(summary)},
                                    {"style", std::string(proof_parts::style)},
                                    {"script", std::string(proof_parts::script)},
                                    {"scan", *scan},
                                    {"width", std::to_string(picture.width)},
                                    {"height", std::to_string(picture.height)},
                                    {"data", script_data(data)},
                                    {"sheet", is_drawn ? "scan" : "document"},
                                    {"again", context.refit ? "Refit the paths" : "Trace the scan"},
                                    {"footer", "Made by batten " BATTEN_VERSION "."}});
}

}  // namespace

Result<std::string> to_proof_page(const Picture& picture, const Conversion& conversion, const ReportContext& context) {
  try {
    return page(picture, {{"reports", Json::array({report_json(conversion, context)})}}, summary(conversion), context);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, "There is not enough memory for the proof: crop the scan.", ""};
  }
}

Result<std::string> to_proof_page(const Picture& picture, const Sweep& sweep, const ReportContext& context) {
  if (sweep.conversions.empty())
    return Error{ErrorCode::bad_option, "A proof of a sweep needs at least one drawing.", "sweep"};
  try {
    Json reports = Json::array();
    for (std::size_t i = 0; i < sweep.conversions.size(); ++i)
      reports.push_back(report_json(sweep.conversions[i], {context.scan, sweep.seconds[i]}));
    const Json marks = {{"knee", sweep.knee ? Json(*sweep.knee) : Json()},
                        {"recommended", sweep.recommended},
                        {"drawn_at", sweep.drawn_at},
                        {"finer", finer_than_known(sweep)}};
    return page(picture, {{"reports", std::move(reports)}, {"sweep", marks}},
                counted(sweep.conversions.size(), "tolerance") + ". Recommended: " +
                    length(sweep.conversions[sweep.recommended].report.tolerance_px,
                           sweep.conversions[sweep.recommended].drawing.dpi) +
                    ". " + summary(sweep.conversions[sweep.recommended]),
                context);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, "There is not enough memory for the proof: crop the scan.", ""};
  }
}

}  // namespace batten
