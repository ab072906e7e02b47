#include "support/plot.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <sstream>

namespace batten::support {
namespace {

constexpr double width = 760, height = 480, left = 74, right = 30, top = 44, bottom = 58;
// The lines can be told apart in grey print too: they go from dark to light, each with dashes of its own.
constexpr const char* colours[] = {"#1b1b1b", "#a33b20", "#2f6f8f", "#8a8a2a"};
constexpr const char* dashes[] = {"none", "7 3", "2 3", "9 3 2 3"};

std::string number(double v) {
  char text[32];
  std::snprintf(text, sizeof text, "%.4g", v);
  return text;
}

}  // namespace

std::string chart_svg(const Chart& chart) {
  double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
  for (const Series& s : chart.series)
    for (const Point p : s.points) {
      x0 = std::min(x0, p.x), x1 = std::max(x1, p.x);
      y0 = std::min(y0, std::log10(p.y)), y1 = std::max(y1, std::log10(p.y));
    }
  x0 -= 0.05 * (x1 - x0), x1 += 0.12 * (x1 - x0), y0 -= 0.08, y1 += 0.08;
  const auto px = [&](double x) { return left + (x - x0) / (x1 - x0) * (width - left - right); };
  const auto py = [&](double y) {
    return height - bottom - (std::log10(y) - y0) / (y1 - y0) * (height - top - bottom);
  };
  std::ostringstream svg;
  svg << "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"" << width << "\" height=\"" << height
      << "\" viewBox=\"0 0 " << width << " " << height
      << "\" font-family=\"sans-serif\" font-size=\"12\">\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n";
  svg << "<text x=\"" << left << "\" y=\"24\" font-size=\"15\">" << chart.title << "</text>\n";
  for (double x = std::ceil(x0 * 5) / 5; x <= x1; x += 0.2)
    svg << "<path d=\"M" << px(x) << " " << top << "V" << height - bottom << "\" stroke=\"#ddd\"/><text x=\"" << px(x)
        << "\" y=\"" << height - bottom + 18 << "\" text-anchor=\"middle\">" << number(x) << "</text>\n";
  for (int decade = int(std::floor(y0)); decade <= int(y1); ++decade)
    for (const double step : {1.0, 2.0, 5.0}) {
      const double y = step * std::pow(10, decade);
      if (std::log10(y) < y0 || std::log10(y) > y1) continue;
      svg << "<path d=\"M" << left << " " << py(y) << "H" << width - right << "\" stroke=\"#ddd\"/><text x=\""
          << left - 8 << "\" y=\"" << py(y) + 4 << "\" text-anchor=\"end\">" << number(y) << "</text>\n";
    }
  svg << "<text x=\"" << (left + width - right) / 2 << "\" y=\"" << height - 16 << "\" text-anchor=\"middle\">"
      << chart.x_title << "</text>\n<text transform=\"translate(20 " << height / 2
      << ") rotate(-90)\" text-anchor=\"middle\">" << chart.y_title << "</text>\n";
  for (std::size_t k = 0; k < chart.series.size(); ++k) {
    const Series& s = chart.series[k];
    const char* colour = colours[k % 4];
    svg << "<path fill=\"none\" stroke=\"" << colour << "\" stroke-width=\"1.6\" stroke-dasharray=\"" << dashes[k % 4]
        << "\" d=\"";
    for (std::size_t i = 0; i < s.points.size(); ++i)
      svg << (i ? "L" : "M") << px(s.points[i].x) << " " << py(s.points[i].y);
    svg << "\"/>\n";
    for (std::size_t i = 0; i < s.points.size(); ++i) {
      const double x = px(s.points[i].x), y = py(s.points[i].y);
      svg << "<circle cx=\"" << x << "\" cy=\"" << y << "\" r=\"3.2\" fill=\"" << colour << "\"/>";
      if (i < s.labels.size())
        svg << "<text x=\"" << x + 6 << "\" y=\"" << y - 5 << "\" font-size=\"10\" fill=\"" << colour << "\">"
            << s.labels[i] << "</text>";
    }
    const double y = top + 14 + 17 * double(k), x = width - right - 190;
    svg << "\n<path d=\"M" << x << " " << y - 4 << "h30\" stroke=\"" << colour
        << "\" stroke-width=\"1.6\" stroke-dasharray=\"" << dashes[k % 4] << "\"/><text x=\"" << x + 36 << "\" y=\""
        << y << "\">" << s.name << "</text>\n";
  }
  svg << "</svg>\n";
  return svg.str();
}

}  // namespace batten::support
