// No scan at all: located points in, curves out, and the independent measure.
#include <batten/convert.h>
#include <batten/measure.h>
#include <batten/write.h>

#include <cmath>
#include <iostream>

int main() {
  //! [fit]
  std::vector<batten::Point> circle;  // closed: the last point is not the first again
  for (int i = 0; i < 360; ++i) {
    const double turn = i * 3.14159265358979 / 180;
    circle.push_back({100 + 80 * std::cos(turn), 100 + 80 * std::sin(turn)});
  }
  const batten::Result<batten::Conversion> fitted = batten::fit({{circle}}, {.tolerance_px = 0.5});
  if (!fitted) return std::cerr << fitted.error().message << '\n', 1;
  for (const batten::Node& node : fitted->drawing.outlines[0].nodes)
    std::cout << node.at.x << ' ' << node.at.y << ' ' << name_of(node.reason) << '\n';
  //! [fit]

  //! [measure]
  const batten::Deviation off = batten::measure(fitted->drawing.outlines[0], circle);
  std::cout << "at most " << off.max_px << " px off, " << off.rms_px << " px rms\n";
  //! [measure]

  //! [open]
  const std::vector<batten::Point> stroke{{20, 20}, {120, 35}, {180, 160}};  // from one end to the other
  const batten::Result<batten::Conversion> lines = batten::fit_lines({{circle}}, {{stroke}});
  if (!lines) return std::cerr << lines.error().message << '\n', 1;
  const batten::Outline& last = lines->drawing.outlines.back();  // closed outlines come first
  std::cout << last.segment_count() << " segments, " << (last.closed ? "closed" : "open") << '\n';
  //! [open]

  //! [svg]
  const std::string svg = batten::to_svg(fitted->drawing, {.title = "circle", .nodes = true});
  //! [svg]
  return svg.find("<title>circle</title>") == std::string::npos;
}
