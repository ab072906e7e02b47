#pragma once
// What the files of the extension share. Each bind_* adds one part of the C++ interface to the module.

#include <pybind11/numpy.h>
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>

#include <span>
#include <string>

#include "batten/convert.h"
#include "batten/files.h"

namespace batten::python {

namespace py = pybind11;

void bind_options(py::module_& m);
void bind_drawing(py::module_& m);
void bind_report(py::module_& m);
void bind_job(py::module_& m);
void bind_trace(py::module_& m);
void bind_measure(py::module_& m);
void bind_files(py::module_& m);
void bind_glyphs(py::module_& m);

/// Raises batten.Error, or batten.Cancelled.
[[noreturn]] void raise(const Error& error);
/// The same for a bad option that only Python could be given.
[[noreturn]] void raise_bad(const std::string& sentence, const std::string& place);

/// The value, or the error raised.
template <class T>
T taken(Result<T> result) {
  if (!result) raise(result.error());
  return std::move(*result);
}

/// Options as given, or the defaults, with the fields that `changes` names set; None leaves the defaults. `function`
/// stands in the message for a field that there is not.
Options options_from(const py::object& options, const py::kwargs& changes, const char* function);

/// Pixels of a numpy array where they are; `array` keeps them alive. Raises batten.Error where they would have to be
/// copied.
struct Pixels {
  py::array array, mask;
  ImageView view;
};
Pixels pixels_from(const py::object& pixels, const char* place);

/// How to read them, as the keywords of the functions that trace say.
struct PixelReading {
  bool bgr = false, premultiplied = false;
  py::object mask = py::none();
};
Pixels pixels_from(const py::object& pixels, const PixelReading& reading, const char* place);

/// Points of an array of shape (n, 2), without a copy where it holds float64 in C order.
using Numbers = py::array_t<double, py::array::c_style>;
Numbers points_from(const py::object& points, const char* place);

/// An array of shape (n, 2) with a copy of the points.
py::array array_of(std::span<const Point> points);

/// The same as the library sees them, for as long as the array lives.
std::span<const Point> points_of(const Numbers& array);

/// "12.3": for __repr__, as short as it goes with so many decimals.
std::string shown(double value, int decimals = 2);
/// "3 nodes", "1 node".
std::string counted(std::size_t count, const char* what);

}  // namespace batten::python
