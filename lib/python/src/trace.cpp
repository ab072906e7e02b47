// locate(), convert(), fit(), judge() and sweep().

#include "batten/convert.h"
#include "batten/sweep.h"
#include "job.h"

namespace batten::python {
namespace {

// What each of them says about the keywords that all of them take.
constexpr const char* job_doc =
    "\n\nOptions: an Options, or its fields as keywords. progress(stage, fraction) is called with a word and 0..1;\n"
    "returning False cancels. log(level, text) gets each finding as it is made. stop: a Stop, for other threads.\n"
    "The interpreter's lock is released meanwhile. Raises batten.Error.";

template <class... Extra>
auto job_arguments(Extra... extra) {
  return std::make_tuple(extra..., py::arg("options") = py::none(), py::kw_only(), py::arg("progress") = py::none(),
                         py::arg("log") = py::none(), py::arg("stop") = py::none());
}

template <class Function, class Arguments>
void def(py::module_& m, const char* name, Function function, const char* doc, const Arguments& arguments) {
  const std::string text = std::string(doc) + job_doc;
  std::apply([&](const auto&... a) { m.def(name, function, text.c_str(), a...); }, arguments);
}

Located located_from(const py::object& pixels, const Options& o, PythonJob* job) {
  const Pixels p = pixels_from(pixels, "pixels");
  return job->run([&](const Job& j) { return locate(p.view, o, j); });
}

Conversion convert_any(const py::object& from, const py::object& options, const py::object& progress,
                       const py::object& log, const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "convert");
  PythonJob job(progress, log, stop);
  if (py::isinstance<Located>(from)) {
    const Located located = from.cast<Located>();
    return job.run([&](const Job& j) { return convert(located, o, j); });
  }
  const Pixels p = pixels_from(from, "pixels");
  return job.run([&](const Job& j) { return convert(p.view, o, j); });
}

Conversion fit_any(const py::iterable& polylines, const py::object& closed, const py::object& options,
                   const py::object& progress, const py::object& log, const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "fit");
  const bool alike = py::isinstance<py::bool_>(closed);
  std::vector<bool> flags;
  if (!alike) flags = closed.cast<std::vector<bool>>();
  std::vector<Numbers> arrays;  // keep the points alive
  for (const py::handle& polyline : polylines)
    arrays.push_back(points_from(py::reinterpret_borrow<py::object>(polyline), "polylines"));
  if (!alike && flags.size() != arrays.size())
    raise_bad("closed is True, False, or one of them for each polyline.", "closed");
  std::vector<PolylineView> views;
  for (std::size_t i = 0; i < arrays.size(); ++i)
    views.push_back({points_of(arrays[i]), alike ? closed.cast<bool>() : flags[i]});
  PythonJob job(progress, log, stop);
  return job.run([&](const Job& j) { return fit(views, o, j); });
}

Conversion judge_any(const Located& located, const Drawing& drawing, const py::object& options,
                     const py::object& progress, const py::object& log, const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "judge");
  PythonJob job(progress, log, stop);
  return job.run([&](const Job& j) { return judge(located, drawing, o, j); });
}

Sweep sweep_any(const py::object& from, const std::vector<double>& tolerances_px, const py::object& options,
                const py::object& progress, const py::object& log, const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "sweep");
  PythonJob job(progress, log, stop);
  const Located located = py::isinstance<Located>(from) ? from.cast<Located>() : located_from(from, o, &job);
  return job.run([&](const Job& j) { return sweep(located, tolerances_px, o, j); });
}

void bind_sweep(py::module_& m) {
  py::class_<Sweep>(m, "Sweep", "Drawings of one scan, from the finest tolerance to the widest.")
      .def_readonly("conversions", &Sweep::conversions, "List of Conversion, one for each tolerance.")
      .def_readonly("seconds", &Sweep::seconds, "Elapsed time of each, s, without the pixel stages.")
      .def_readonly("knee", &Sweep::knee, "Index beyond which further nodes buy little; None: the curve has none.")
      .def_readonly("recommended", &Sweep::recommended, "Index of the tolerance to take.")
      .def("__len__", [](const Sweep& s) { return s.conversions.size(); })
      .def("__repr__", [](const Sweep& s) {
        std::string text = "<batten.Sweep of " + counted(s.conversions.size(), "tolerance");
        if (s.recommended < s.conversions.size())
          text += ", recommended " + shown(s.conversions[s.recommended].report.tolerance_px) + " px";
        return text + ">";
      });
  def(m, "sweep", &sweep_any, "A drawing for each tolerance (px, > 0, in any order) of pixels, or of a Located.",
      job_arguments(py::arg("pixels"), py::arg("tolerances_px")));
  m.def("spread_tolerances", &spread_tolerances, py::arg("least_px"), py::arg("most_px"), py::arg("count"),
        "So many tolerances, px, each a constant factor over the one before.");
}

}  // namespace

void bind_trace(py::module_& m) {
  py::class_<Located>(m, "Located",
                      "Where the pencil went, found once by locate(), for any number of drawings. Never changes.")
      .def("__repr__", [](const Located&) { return "<batten.Located>"; });
  def(
      m, "locate",
      [](const py::object& pixels, const py::object& options, const py::object& progress, const py::object& log,
         const Stop* stop, const py::kwargs& changes) {
        const Options o = options_from(options, changes, "locate");
        PythonJob job(progress, log, stop);
        return located_from(pixels, o, &job);
      },
      "The first half of convert(): finds where the pencil went, in pixels as convert() takes them. Of the options,\n"
      "drawing, dpi and threads count here.",
      job_arguments(py::arg("pixels")));
  def(m, "convert", &convert_any,
      "Traces a picture, or what locate() made of one, and returns a Conversion.\n\n"
      "pixels: uint8 or uint16, shape (height, width) or (height, width, channels) with 1, 3 (RGB) or 4 (RGBA)\n"
      "channels, 0 black. They are read where they are, without a copy: rows may lie any distance apart and in either\n"
      "direction, the pixels of a row one after another. Refused are other types (bool, float, foreign byte order),\n"
      "other shapes, and rows with gaps between pixels or channels (a[:, ::2], a[:, ::-1], a.T, a[..., ::-1]); for\n"
      "those use numpy.ascontiguousarray(). Do not change the pixels from another thread meanwhile.",
      job_arguments(py::arg("pixels")));
  def(m, "fit", &fit_any,
      "Fits polylines, arrays of shape (n, 2), float64, px; no pixels are involved.\n\n"
      "closed: True, False, or one of them for each polyline. Closed ones have at least 3 points, open ones 2. The\n"
      "drawing has the outlines of the closed ones first, then the lines of the open ones; its box follows the "
      "places,\n"
      "which may be negative. Noise that is new from sample to sample is smoothed away first.",
      job_arguments(py::arg("polylines"), py::arg("closed") = true));
  def(m, "judge", &judge_any,
      "Judges outlines that were there already, on the located lines of a scan: the figures that convert() reports,\n"
      "and findings about how the nodes are set. No coordinate changes.",
      job_arguments(py::arg("located"), py::arg("drawing")));
  bind_sweep(m);
}

}  // namespace batten::python
