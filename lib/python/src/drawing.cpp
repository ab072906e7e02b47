// Outline, Guide and Drawing: what convert() makes, and what Python may make of arrays to have it judged or written.

#include <algorithm>
#include <cmath>

#include "batten/measure.h"
#include "bind.h"

namespace batten::python {
namespace {

py::array cubics_of(const Outline& o) {
  Numbers out({py::ssize_t(o.segment_count()), py::ssize_t(4), py::ssize_t(2)});
  double* to = out.mutable_data();
  for (std::size_t i = 0; i < o.segment_count(); ++i)
    for (const Point p : o.segment(i)) *to++ = p.x, *to++ = p.y;
  return out;
}

py::array nodes_of(const Outline& o) {
  Numbers out({py::ssize_t(o.nodes.size()), py::ssize_t(3), py::ssize_t(2)});
  double* to = out.mutable_data();
  for (const Node& n : o.nodes)
    for (const Point p : {n.handle_before, n.at, n.handle_after}) *to++ = p.x, *to++ = p.y;
  return out;
}

py::array smooth_of(const Outline& o) {
  py::array_t<bool> out(py::ssize_t(o.nodes.size()));
  for (std::size_t i = 0; i < o.nodes.size(); ++i) out.mutable_at(py::ssize_t(i)) = o.nodes[i].smooth;
  return out;
}

std::vector<std::string> reasons_of(const Outline& o) {
  std::vector<std::string> out;
  for (const Node& n : o.nodes) out.emplace_back(name_of(n.reason));
  return out;
}

// Are both handles in one line, to a thousandth of a radian? A node without two handles is a corner.
bool is_smooth(const Node& n) {
  const Point a = n.at - n.handle_before, b = n.handle_after - n.at;
  const double lengths = std::hypot(a.x, a.y) * std::hypot(b.x, b.y);
  return lengths > 0 && a.x * b.x + a.y * b.y > 0 && std::abs(a.x * b.y - a.y * b.x) <= 1e-3 * lengths;
}

Outline outline_from(const py::object& cubics, bool closed) {
  auto array = py::array_t<double, py::array::c_style | py::array::forcecast>::ensure(cubics);
  if (!array) PyErr_Clear();
  if (!array || array.ndim() != 3 || array.shape(0) < 1 || array.shape(1) != 4 || array.shape(2) != 2)
    raise({ErrorCode::bad_polyline, "Cubics are an array of shape (n, 4, 2): four points for each segment, px.",
           "cubics"});
  const auto at = array.unchecked<3>();
  const auto point = [&](py::ssize_t i, py::ssize_t k) { return Point{at(i, k, 0), at(i, k, 1)}; };
  const py::ssize_t count = array.shape(0);
  Outline out;
  out.closed = closed;
  for (py::ssize_t i = 0; i < count; ++i) {
    const bool last = i + 1 == count;
    if ((!last || closed) && !(point(i, 3) == point(last ? 0 : i + 1, 0)))
      raise({ErrorCode::bad_polyline,
             "Each segment begins where the one before it ends" +
                 std::string(closed ? ", and the first where the last ends: pass closed=False for a line." : "."),
             "cubics[" + std::to_string(i) + "]"});
    const bool begins = i == 0 && !closed;
    const Point before = begins ? point(0, 0) : point(i == 0 ? count - 1 : i - 1, 2);
    out.nodes.push_back({before, point(i, 0), point(i, 1), true, Reason::added});
  }
  if (!closed) out.nodes.push_back({point(count - 1, 2), point(count - 1, 3), point(count - 1, 3)});
  for (Node& n : out.nodes) {
    n.smooth = is_smooth(n);
    if (!n.smooth) n.reason = Reason::corner;
  }
  if (!closed) out.nodes.front().reason = out.nodes.back().reason = Reason::line_end;
  return out;
}

std::string repr(const Outline& o) {
  return "<batten.Outline " + std::string(o.closed ? "closed" : "open") + ", " + name_of(o.kind) + ": " +
         counted(o.nodes.size(), "node") + ", " + counted(o.segment_count(), "segment") + ", sigma " +
         shown(o.sigma_px) + " px>";
}

std::string repr(const Drawing& d) {
  std::size_t segments = 0;
  for (const Outline& o : d.outlines) segments += o.segment_count();
  return "<batten.Drawing " + shown(d.width_px) + " x " + shown(d.height_px) + " px" +
         (d.dpi > 0 ? ", " + shown(d.dpi) + " dpi: " : ": ") + counted(d.outlines.size(), "outline") + ", " +
         counted(segments, "segment") + ">";
}

void bind_outline(py::module_& m) {
  py::class_<Outline>(
      m, "Outline",
      "A closed outline, or an open line, of cubic Bezier segments. Coordinates are px of the scan, x to\n"
      "the right, y DOWN, (0, 0) the outer corner of the first pixel. Arrays are made anew at each call.")
      .def(py::init(&outline_from), py::arg("cubics"), py::arg("closed") = true,
           "Of cubics, shape (n, 4, 2), px, each beginning where the one before it ends.")
      .def_property_readonly("cubics", &cubics_of,
                             "float64, shape (n, 4, 2), px: place, handle, handle, place of each segment. A straight\n"
                             "has its handles on its places.")
      .def_property_readonly("nodes", &nodes_of,
                             "float64, shape (n, 3, 2), px: handle before, place, handle after of each node.")
      .def_property_readonly("smooth", &smooth_of, "bool, shape (n,): do both handles of the node lie on one line?")
      .def_property_readonly(
          "reasons", &reasons_of,
          "Why each node is there: \"corner\", \"left\", \"right\", \"top\", \"bottom\", \"straight end\",\n"
          "\"added\" or \"line end\".")
      .def_readonly("closed", &Outline::closed, "False: a line from its first node to its last.")
      .def_readonly("parent", &Outline::parent, "Index of the outline that this is a counter or island of; -1: none.")
      .def_property_readonly(
          "kind", [](const Outline& o) { return name_of(o.kind); },
          "What it was drawn as: \"outlined\", \"filled\" or \"line\".")
      .def_readonly("sigma_px", &Outline::sigma_px, "px: one standard deviation of the pencil line across itself.")
      .def_readonly("band_px", &Outline::band_px, "px: width of the pencil's band; 0: none measured.")
      .def_property_readonly(
          "inside", [](const Outline& o) { return name_of(o.face.inside); },
          "What it holds: \"unknown\", \"paper\", \"hatched\", \"shaded\", \"solid\" or \"coloured\".")
      .def_property_readonly(
          "ink_share", [](const Outline& o) { return o.face.ink_share; }, "0..1 of the pixels inside; 0: unknown.")
      .def_property_readonly(
          "why", [](const Outline& o) { return o.face.why; }, "Why it was taken for its kind, in words.")
      .def_property_readonly(
          "area_px2", [](const Outline& o) { return signed_area_px2(o); },
          "px^2, exact; positive where it runs clockwise on screen, 0 for a line.")
      .def_property_readonly(
          "crosses_itself", [](const Outline& o) { return crosses_itself(o); }, "Does it cross itself?")
      .def("__len__", &Outline::segment_count)
      .def("__repr__", [](const Outline& o) { return repr(o); });
}

}  // namespace

void bind_drawing(py::module_& m) {
  bind_outline(m);
  py::class_<Guide>(m, "Guide", "A ruled line that was found and left out: y = y0_px + slope * x.")
      .def_readonly("y0_px", &Guide::y0_px, "px: y at x = 0.")
      .def_readonly("slope", &Guide::slope, "dy/dx.")
      .def("__repr__",
           [](const Guide& g) { return "<batten.Guide y = " + shown(g.y0_px) + " + " + shown(g.slope, 5) + " x>"; });
  py::class_<Drawing>(m, "Drawing",
                      "Everything drawn on one scan. Outer outlines run clockwise on screen, counters the other way.")
      .def(py::init([](std::vector<Outline> outlines, double width_px, double height_px, double dpi) {
             return Drawing{width_px, height_px, dpi, std::move(outlines), {}, {}};
           }),
           py::arg("outlines"), py::arg("width_px"), py::arg("height_px"), py::arg("dpi") = 0.0,
           "Outlines that were there already, on a sheet of this size, px.")
      .def_readonly("width_px", &Drawing::width_px, "px, of the whole scan.")
      .def_readonly("height_px", &Drawing::height_px, "px, of the whole scan.")
      .def_property_readonly(
          "origin", [](const Drawing& d) { return py::make_tuple(d.origin.x, d.origin.y); },
          "(x, y), px: upper left corner of the sheet; (0, 0) but where fit() got negative places.")
      .def_readonly("dpi", &Drawing::dpi, "Pixels per inch; 0: unknown.")
      .def_readonly("outlines", &Drawing::outlines, "List of Outline; parents may come after their children.")
      .def_readonly("guides", &Drawing::guides, "List of Guide: ruled lines that were found and left out.")
      .def("__len__", [](const Drawing& d) { return d.outlines.size(); })
      .def("__repr__", [](const Drawing& d) { return repr(d); });
}

}  // namespace batten::python
