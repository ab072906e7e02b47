#include "svg_values.h"

#include <algorithm>
#include <charconv>
#include <cmath>
#include <numbers>
#include <vector>

namespace batten {
namespace {

bool is_separator(char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r' || c == ','; }

void skip(std::string_view& text) {
  while (!text.empty() && is_separator(text.front())) text.remove_prefix(1);
}

bool number(std::string_view& text, double& value) {
  skip(text);
  if (!text.empty() && text.front() == '+') text.remove_prefix(1);
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || !std::isfinite(value)) return false;
  text.remove_prefix(std::size_t(end - text.data()));
  return true;
}

std::optional<Transform> one(std::string_view name, const std::vector<double>& v) {
  const auto radians = [](double deg) { return deg * std::numbers::pi / 180; };
  const std::size_t n = v.size();
  if (name == "matrix" && n == 6) return Transform{v[0], v[1], v[2], v[3], v[4], v[5]};
  if (name == "translate" && (n == 1 || n == 2)) return Transform{1, 0, 0, 1, v[0], n == 2 ? v[1] : 0};
  if (name == "scale" && (n == 1 || n == 2)) return Transform{v[0], 0, 0, n == 2 ? v[1] : v[0], 0, 0};
  if (name == "skewX" && n == 1) return Transform{1, 0, std::tan(radians(v[0])), 1, 0, 0};
  if (name == "skewY" && n == 1) return Transform{1, std::tan(radians(v[0])), 0, 1, 0, 0};
  if (name == "rotate" && (n == 1 || n == 3)) {
    const double c = std::cos(radians(v[0])), s = std::sin(radians(v[0])), x = n == 3 ? v[1] : 0, y = n == 3 ? v[2] : 0;
    return Transform{c, s, -s, c, x - c * x + s * y, y - s * x - c * y};
  }
  return std::nullopt;
}

}  // namespace

Transform operator*(const Transform& o, const Transform& i) {
  return {o.a * i.a + o.c * i.b, o.b * i.a + o.d * i.b,       o.a * i.c + o.c * i.d,
          o.b * i.c + o.d * i.d, o.a * i.e + o.c * i.f + o.e, o.b * i.e + o.d * i.f + o.f};
}

std::optional<Transform> read_transform(std::string_view text) {
  Transform whole;
  while (skip(text), !text.empty()) {
    const std::size_t open = text.find('(');
    if (open == text.npos) return std::nullopt;
    std::string_view name = text.substr(0, open);
    while (!name.empty() && is_separator(name.back())) name.remove_suffix(1);
    text.remove_prefix(open + 1);
    std::vector<double> values;
    while (skip(text), !text.empty() && text.front() != ')') {
      double value;
      if (!number(text, value)) return std::nullopt;
      values.push_back(value);
    }
    if (text.empty()) return std::nullopt;
    text.remove_prefix(1);
    const std::optional<Transform> step = one(name, values);
    if (!step) return std::nullopt;
    whole = whole * *step;
  }
  return whole;
}

std::optional<ViewBox> read_view_box(std::string_view text) {
  ViewBox box;
  if (!number(text, box.x) || !number(text, box.y) || !number(text, box.width) || !number(text, box.height))
    return std::nullopt;
  // A page beyond these sizes is a slip, and its scale would overflow.
  constexpr double least = 1e-6, most = 1e9;
  const auto fits = [](double side) { return side >= least && side <= most; };
  const bool placed = std::abs(box.x) <= most && std::abs(box.y) <= most;
  return fits(box.width) && fits(box.height) && placed ? std::optional(box) : std::nullopt;
}

std::optional<Length> read_length(std::string_view text, double whole) {
  struct Unit {
    std::string_view name;
    double units;
    bool physical;
  };
  // CSS 2.1, 4.3.2; em and ex as of a font of 16 px.
  static constexpr Unit units[] = {
      {"px", 1, false}, {"mm", 96 / 25.4, true}, {"cm", 96 / 2.54, true}, {"in", 96, true}, {"pt", 96. / 72, true},
      {"pc", 16, true}, {"Q", 96 / 101.6, true}, {"em", 16, false},       {"ex", 8, false}, {"", 1, false}};
  double value;
  if (!number(text, value)) return std::nullopt;
  while (!text.empty() && is_separator(text.back())) text.remove_suffix(1);
  if (text == "%") return Length{value / 100 * whole, false};
  for (const Unit& unit : units)
    if (text == unit.name) return Length{value * unit.units, unit.physical};
  return std::nullopt;
}

Transform fit_view(const ViewBox& box, double x, double y, double width, double height, std::string_view aspect) {
  double sx = width / box.width, sy = height / box.height;
  if (aspect.substr(0, 4) != "none")
    sx = sy = aspect.find("slice") == aspect.npos ? std::min(sx, sy) : std::max(sx, sy);
  const auto share = [&](const char* low, const char* high) {
    return aspect.find(low) != aspect.npos ? 0 : aspect.find(high) != aspect.npos ? 1 : 0.5;
  };
  return {sx,
          0,
          0,
          sy,
          x - sx * box.x + share("xMin", "xMax") * (width - sx * box.width),
          y - sy * box.y + share("YMin", "YMax") * (height - sy * box.height)};
}

}  // namespace batten
