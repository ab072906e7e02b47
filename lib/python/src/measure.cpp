// The independent judge, for outlines and polylines of the caller.

#include "batten/measure.h"

#include "bind.h"

namespace batten::python {
namespace {

template <class T>
std::string distances(const T& d) {
  return "rms " + shown(d.rms_px) + " px, 95 % within " + shown(d.p95_px) + " px, at most " + shown(d.max_px) + " px";
}

}  // namespace

void bind_measure(py::module_& m) {
  py::class_<Deviation>(m, "Deviation", "How far two curves are apart, both ways.")
      .def_readonly("max_px", &Deviation::max_px, "px: largest distance.")
      .def_readonly("rms_px", &Deviation::rms_px, "px: root mean square, by length.")
      .def_readonly("p95_px", &Deviation::p95_px, "px: 95 % of the length lies nearer.")
      .def_property_readonly(
          "worst", [](const Deviation& d) { return py::make_tuple(d.worst.x, d.worst.y); },
          "(x, y), px: where max_px is.")
      .def("__repr__", [](const Deviation& d) { return "<batten.Deviation " + distances(d) + ">"; });
  m.def(
      "measure",
      [](const Outline& outline, const py::object& polyline, double step_px) {
        if (!(step_px > 0)) raise_bad("step_px is over 0.", "step_px");
        const auto points = points_from(polyline, "polyline");
        const py::gil_scoped_release released;
        return measure(outline, points_of(points), step_px);
      },
      py::arg("outline"), py::arg("polyline"), py::arg("step_px") = 0.25,
      "Distance between an outline and a polyline, shape (n, 2), px, both ways, sampled every step_px; both closed,\n"
      "or both open where the outline is. Infinite where one of them is empty or holds no finite places.");
  m.def(
      "deviation_along",
      [](const Outline& outline, const py::object& polyline, double spacing_px) {
        if (!(spacing_px > 0)) raise_bad("spacing_px is over 0.", "spacing_px");
        const auto points = points_from(polyline, "polyline");
        return deviation_along(outline, points_of(points), spacing_px);
      },
      py::arg("outline"), py::arg("polyline"), py::arg("spacing_px") = 4.0,
      "For each segment a list of signed distances, px, at equally spaced parameters: positive where the polyline,\n"
      "shape (n, 2), lies left of the direction of travel.");
  m.def(
      "cross_each_other", [](const Outline& a, const Outline& b) { return cross_each_other(a, b); }, py::arg("a"),
      py::arg("b"), "Do two outlines cross?");
  py::class_<Comparison>(m, "Comparison", "How a drawing compares with the right one.")
      .def_readonly("outlines", &Comparison::outlines, "In both.")
      .def_readonly("missing", &Comparison::missing, "Outlines of the truth without one in the drawing.")
      .def_readonly("extra", &Comparison::extra, "Outlines of the drawing without one in the truth.")
      .def_readonly("segments", &Comparison::segments, "Of the drawing's outlines that are in both.")
      .def_readonly("truth_segments", &Comparison::truth_segments, "Of the truth's.")
      .def_readonly("corners_found", &Comparison::corners_found, "Corners with one of the drawing within 5 px.")
      .def_readonly("corners_missing", &Comparison::corners_missing, "Corners of the truth without one.")
      .def_readonly("corners_extra", &Comparison::corners_extra, "Corners that are none in the truth.")
      .def_readonly("max_px", &Comparison::max_px, "px: largest distance, both ways; inf where none is in both.")
      .def_readonly("rms_px", &Comparison::rms_px, "px: root mean square, by length.")
      .def_readonly("p95_px", &Comparison::p95_px, "px: 95 % of the length lies nearer.")
      .def_property_readonly(
          "worst", [](const Comparison& c) { return py::make_tuple(c.worst.x, c.worst.y); },
          "(x, y), px: where max_px is.")
      .def("__repr__", [](const Comparison& c) {
        return "<batten.Comparison " + counted(c.outlines, "outline") + " in both, " + std::to_string(c.missing) +
               " missing, " + std::to_string(c.extra) + " extra: " + distances(c) + ">";
      });
  m.def(
      "compare", [](const Drawing& drawing, const Drawing& truth) { return compare(drawing, truth); },
      py::arg("drawing"), py::arg("truth"), py::call_guard<py::gil_scoped_release>(),
      "Compares outlines that are paired by where they lie; both drawings are in px of the same sheet.");
}

}  // namespace batten::python
