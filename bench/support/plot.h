#pragma once
// A plain line chart as SVG: enough to see error against node count.

#include <string>
#include <vector>

#include "batten/geometry.h"

namespace batten::support {

struct Series {
  std::string name;
  std::vector<Point> points;
  std::vector<std::string> labels;  ///< beside each point; may be empty
};

struct Chart {
  std::string title, x_title, y_title;
  std::vector<Series> series;
};

/// y on a logarithmic axis, x linear. All y > 0.
std::string chart_svg(const Chart& chart);

}  // namespace batten::support
