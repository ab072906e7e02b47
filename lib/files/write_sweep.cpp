// Writes a sweep as a table (RFC 4180, after a head of # lines) and as a chart (SVG 1.1).

#include <algorithm>
#include <charconv>
#include <cmath>

#include "batten/files.h"
#include "batten/version.h"
#include "batten/write.h"

namespace batten {
namespace {

std::string number(double value, int decimals) {
  if (!std::isfinite(value)) return "";
  return decimal(value, decimals);
}

// A name within a line of the head: no line breaks.
std::string one_line(std::string text) {
  for (char& c : text)
    if (static_cast<unsigned char>(c) < 0x20) c = '?';
  return text;
}

const char* word(Options::DrawingKind kind) {
  switch (kind) {
    case Options::DrawingKind::automatic:
      return "auto";
    case Options::DrawingKind::outlined:
      return "outlined";
    case Options::DrawingKind::filled:
      return "filled";
    case Options::DrawingKind::lines:
      return "lines";
  }
  return "auto";
}

std::string row(const Sweep& sweep, std::size_t i) {
  const Report& report = sweep.conversions[i].report;
  std::array<std::size_t, reason_count> counts{};
  for (const OutlineReport& outline : report.outlines)
    for (std::size_t r = 0; r < counts.size(); ++r) counts[r] += outline.nodes_by_reason[r];
  std::string text = number(report.tolerance_px, 4) + "," + std::to_string(report.segments) + "," +
                     std::to_string(report.least.numerical) + "," + std::to_string(report.least.proven);
  for (const std::size_t count : counts) text += "," + std::to_string(count);
  const std::string mark = std::string(sweep.knee == i ? "knee" : "") +
                           (sweep.knee == i && sweep.recommended == i ? " " : "") +
                           (sweep.recommended == i ? "recommended" : "");
  text += "," + number(report.known_px, 4) + "," +
          number(sweep.conversions[i < sweep.drawn_at.size() ? sweep.drawn_at[i] : i].report.tolerance_px, 4);
  return text + "," + number(report.rms_px, 4) + "," + number(report.p95_px, 4) + "," + number(report.max_px, 4) + "," +
         number(sweep.seconds[i], 2) + "," + mark + "\n";
}

// An axis of the chart. It is logarithmic, so that a constant factor is a constant distance.
struct Axis {
  double low, high, from, to;
  double least, most;  // of the values
  double at(double value) const {
    return from + (std::log(value) - std::log(low)) / (std::log(high) - std::log(low)) * (to - from);
  }
};

Axis axis(std::vector<double> values, double from, double to) {
  double low = *std::min_element(values.begin(), values.end()), high = *std::max_element(values.begin(), values.end());
  const double least = low, most = high;
  if (!(high > low * 1.01)) low /= 1.5, high *= 1.5;
  const double room = std::pow(high / low, 0.06);
  return {low / room, high * room, from, to, least, most};
}

// 1, 2 and 5 times the powers of ten within the axis.
std::vector<double> ticks(const Axis& axis) {
  std::vector<double> out;
  for (double power = std::pow(10, std::floor(std::log10(axis.low))); power <= axis.high; power *= 10)
    for (const double k : {1., 2., 5.})
      if (k * power >= axis.low && k * power <= axis.high) out.push_back(k * power);
  if (out.size() < 2) out = {axis.least, axis.most};
  return out;
}

std::string label(double value) {
  if (!std::isfinite(value)) return "unknown";
  char text[32];
  return {text, std::to_chars(text, text + sizeof text, value, std::chars_format::general, 3).ptr};
}

std::string text_at(double x, double y, const std::string& anchor, const std::string& words) {
  return "<text x=\"" + number(x, 1) + "\" y=\"" + number(y, 1) + "\" text-anchor=\"" + anchor + "\">" + words +
         "</text>\n";
}

std::string line(double x0, double y0, double x1, double y1, const std::string& look) {
  return "<path d=\"M " + number(x0, 1) + " " + number(y0, 1) + " L " + number(x1, 1) + " " + number(y1, 1) + "\" " +
         look + "/>\n";
}

std::string curve(const std::vector<Point>& at, const std::string& colour, const std::string& dashes) {
  std::string d, dots;
  for (const Point p : at) {
    d += (d.empty() ? "M " : " L ") + number(p.x, 1) + " " + number(p.y, 1);
    dots += "<circle cx=\"" + number(p.x, 1) + "\" cy=\"" + number(p.y, 1) + "\" r=\"3.5\" fill=\"" + colour + "\"/>\n";
  }
  return "<path d=\"" + d + "\" fill=\"none\" stroke=\"" + colour + "\" stroke-width=\"2\"" + dashes + "/>\n" + dots;
}

}  // namespace

std::string to_csv(const Sweep& sweep, const Options& options, const ReportContext& context) {
  std::string csv =
      "# batten " BATTEN_VERSION "\n# scan: " + one_line(context.scan) + "\n# drawing: " + word(options.drawing) +
      ", extremes: " + (options.extremes == Options::Extremes::free ? "free" : "required") +
      (options.dpi > 0 ? ", dpi: " + label(options.dpi) : "") +
      "\n# lengths in px of the scan; fewest_found: fitting found no outlines with fewer segments; fewest_proven: no "
      "outlines with these corners and extremes can have fewer; 0: not sought\n# known_px: how nearly the line is "
      "known, "
      "2.6 times its standard deviation" +
      (options.hold_tolerance ? ": a finer tolerance was held all the same" : "") +
      "; drawn_at_px: the tolerance whose drawing it is, a finer one where that needs fewer "
      "segments\ntolerance_px,segments,fewest_found,fewest_proven";
  for (int r = 0; r < reason_count; ++r) {
    std::string name = name_of(static_cast<Reason>(r));
    std::replace(name.begin(), name.end(), ' ', '_');
    csv += "," + name;
  }
  csv += ",known_px,drawn_at_px,rms_px,p95_px,max_px,seconds,mark\n";
  for (std::size_t i = 0; i < sweep.conversions.size(); ++i) csv += row(sweep, i);
  return csv;
}

namespace {

// Behind the part of the curve whose tolerances are finer than the line is known.
std::string zone(const Sweep& sweep, const std::vector<double>& counts, const Axis& x, double top, double foot) {
  const std::size_t finer = finer_than_known(sweep);
  if (finer == 0) return "";
  const double right = x.to,
               left = finer == counts.size() ? x.from : 0.5 * (x.at(counts[finer - 1]) + x.at(counts[finer]));
  const bool inside = right - left > 260;  // px: room for the words
  return "<rect x=\"" + number(left, 1) + "\" y=\"" + number(top, 1) + "\" width=\"" + number(right - left, 1) +
         "\" height=\"" + number(foot - top, 1) + "\" fill=\"#f3ead6\"/>\n" +
         text_at(inside ? right - 6 : left - 6, foot - 8, "end",
                 "finer than the line is known (" + number(sweep.conversions.front().report.known_px, 2) + " px)");
}

}  // namespace

std::string to_plot_svg(const Sweep& sweep) {
  constexpr double width = 760, height = 480, left = 70, right = 24, top = 24, bottom = 60;
  // px: an exact fit has no place on a logarithmic axis, nor has a drawing of no outlines, which has no deviation.
  constexpr double least = 1e-3, most = 1e9;
  const auto shown = [&](double px) { return std::isfinite(px) ? std::clamp(px, least, most) : least; };
  std::vector<double> counts, errors;
  for (const Conversion& c : sweep.conversions) {
    counts.push_back(std::max<double>(1, double(c.report.segments)));
    errors.push_back(shown(c.report.rms_px)), errors.push_back(shown(c.report.max_px));
  }
  std::string svg =
      "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<svg xmlns=\"http://www.w3.org/2000/svg\" version=\"1.1\" "
      "width=\"760\" height=\"480\" viewBox=\"0 0 760 480\" font-family=\"sans-serif\" font-size=\"14\">\n"
      "<title>Deviation against number of segments</title>\n<rect width=\"760\" height=\"480\" fill=\"#fff\"/>\n";
  if (counts.empty()) return svg + "</svg>\n";
  const Axis x = axis(counts, left, width - right), y = axis(errors, height - bottom, top);
  svg += zone(sweep, counts, x, top, height - bottom);
  for (const double v : ticks(x))
    svg += line(x.at(v), top, x.at(v), height - bottom, "stroke=\"#ddd6c8\"") +
           text_at(x.at(v), height - bottom + 20, "middle", label(v));
  for (const double v : ticks(y))
    svg += line(left, y.at(v), width - right, y.at(v), "stroke=\"#ddd6c8\"") +
           text_at(left - 8, y.at(v) + 5, "end", label(v));
  svg += text_at((left + width - right) / 2, height - 14, "middle", "segments");
  svg += "<text transform=\"translate(18 " + number((top + height - bottom) / 2, 0) +
         ") rotate(-90)\" text-anchor=\"middle\">deviation, px</text>\n";
  std::vector<Point> rms, largest;
  for (std::size_t i = 0; i < counts.size(); ++i) {
    rms.push_back({x.at(counts[i]), y.at(errors[2 * i])});
    largest.push_back({x.at(counts[i]), y.at(errors[2 * i + 1])});
  }
  svg += curve(largest, "#b8330c", " stroke-dasharray=\"6 4\"") + curve(rms, "#0a5d5a", "");
  svg += text_at(largest.back().x + 6, largest.back().y - 8, "start", "largest") +
         text_at(rms.back().x + 6, rms.back().y - 8, "start", "rms");
  const auto mark = [&](std::size_t i, const std::string& name, double raised) {
    svg += line(rms[i].x, top, rms[i].x, height - bottom, "stroke=\"#26221c\" stroke-dasharray=\"2 3\"");
    const bool leftwards = rms[i].x > width / 2;
    svg += text_at(rms[i].x + (leftwards ? -6 : 6), top + raised, leftwards ? "end" : "start",
                   name + ": " + label(std::round(sweep.conversions[i].report.tolerance_px * 100) / 100) + " px");
  };
  if (sweep.knee) mark(*sweep.knee, "knee", 14);
  mark(sweep.recommended, "recommended", 32);
  return svg + "</svg>\n";
}

}  // namespace batten
