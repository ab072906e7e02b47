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
void def(py::module_& m, const char* name, Function function, const std::string& doc, const Arguments& arguments) {
  const std::string text = doc + job_doc;
  std::apply([&](const auto&... a) { m.def(name, function, text.c_str(), a...); }, arguments);
}

// What those take besides that read pixels.
template <class... Extra>
auto pixel_arguments(Extra... extra) {
  return std::make_tuple(extra..., py::arg("options") = py::none(), py::kw_only(), py::arg("bgr") = false,
                         py::arg("premultiplied") = false, py::arg("mask") = py::none(),
                         py::arg("progress") = py::none(), py::arg("log") = py::none(), py::arg("stop") = py::none());
}
constexpr const char* pixel_doc =
    "\n\nbgr: blue comes first and red last, as OpenCV has it. premultiplied: colours are multiplied by alpha. mask: "
    "bool\n"
    "or uint8, shape (height, width); where it is False nothing is read: that counts as bare paper.";

Located located_from(const py::object& pixels, const PixelReading& reading, const Options& o, PythonJob* job) {
  const Pixels p = pixels_from(pixels, reading, "pixels");
  return job->run([&](const Job& j) { return locate(p.view, o, j); });
}

// A located line with its points, which outlive what they came from.
struct OwnLoop {
  std::vector<Point> points;
  LocatedLoop loop;
};
py::list loops_of(const std::vector<LocatedLoop>& loops) {
  py::list out;
  for (const LocatedLoop& l : loops) {
    OwnLoop own{{l.points.begin(), l.points.end()}, l};
    own.loop.points = {};  // they are those of the handle, which may go first
    out.append(py::cast(std::move(own)));
  }
  return out;
}

Conversion convert_any(const py::object& from, const py::object& options, bool bgr, bool premultiplied,
                       const py::object& mask, const py::object& progress, const py::object& log, const Stop* stop,
                       const py::kwargs& changes) {
  const Options o = options_from(options, changes, "convert");
  PythonJob job(progress, log, stop);
  if (py::isinstance<Located>(from)) {
    const Located located = from.cast<Located>();
    return job.run([&](const Job& j) { return convert(located, o, j); });
  }
  const Pixels p = pixels_from(from, {bgr, premultiplied, mask}, "pixels");
  return job.run([&](const Job& j) { return convert(p.view, o, j); });
}

using Sigmas = py::array_t<double, py::array::c_style | py::array::forcecast>;

// sigma_px as it was given, for one polyline: a number for all, or for each polyline a number, an array or None.
void set_sigma(const py::object& given, std::size_t index, std::vector<Sigmas>* keep, PolylineView* view) {
  if (given.is_none()) return;
  if (PyFloat_Check(given.ptr()) || PyLong_Check(given.ptr())) return void(view->sigma_px = given.cast<double>());
  const py::object one = py::sequence(given)[index];
  if (one.is_none()) return;
  Sigmas numbers = Sigmas::ensure(one);
  if (!numbers) PyErr_Clear();
  if (!numbers || numbers.ndim() > 1)
    raise_bad("sigma_px is a number, or for each polyline a number, an array of one for each point, or None.",
              "sigma_px");
  if (numbers.ndim() == 0) return void(view->sigma_px = one.cast<double>());
  view->sigmas_px = {numbers.data(), std::size_t(numbers.size())};
  keep->push_back(std::move(numbers));
}

Conversion fit_any(const py::iterable& polylines, const py::object& closed, const py::object& options,
                   const py::object& sigma_px, double correlation_px, const py::object& progress, const py::object& log,
                   const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "fit");
  const bool alike = py::isinstance<py::bool_>(closed);
  std::vector<bool> flags;
  if (!alike) flags = closed.cast<std::vector<bool>>();
  std::vector<py::object> items;  // keep the points alive
  for (const py::handle& polyline : polylines) items.push_back(py::reinterpret_borrow<py::object>(polyline));
  if (!alike && flags.size() != items.size())
    raise_bad("closed is True, False, or one of them for each polyline.", "closed");
  const bool one_each = py::isinstance<py::sequence>(sigma_px) || py::isinstance<py::array>(sigma_px);
  if (one_each && py::len(sigma_px) != items.size())
    raise_bad("sigma_px is a number, or one for each polyline.", "sigma_px");
  std::vector<Numbers> arrays;
  std::vector<Sigmas> sigmas;
  std::vector<PolylineView> views;
  for (std::size_t i = 0; i < items.size(); ++i) {
    if (py::isinstance<OwnLoop>(items[i])) {
      const OwnLoop& own = items[i].cast<const OwnLoop&>();
      views.push_back({own.points, own.loop.closed, own.loop.sigma_px, {}, own.loop.correlation_px, own.loop.band_px});
    } else {
      arrays.push_back(points_from(items[i], "polylines"));
      views.push_back({points_of(arrays.back()), alike ? closed.cast<bool>() : flags[i]});
      views.back().correlation_px = correlation_px;
    }
    set_sigma(sigma_px, i, &sigmas, &views.back());
  }
  PythonJob job(progress, log, stop);
  return job.run([&](const Job& j) { return fit(views, o, j); });
}

Conversion judge_any(const Located& located, const Drawing& drawing, const py::object& options,
                     const py::object& progress, const py::object& log, const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "judge");
  PythonJob job(progress, log, stop);
  return job.run([&](const Job& j) { return judge(located, drawing, o, j); });
}

Sweep sweep_any(const py::object& from, const std::vector<double>& tolerances_px, const py::object& options, bool bgr,
                bool premultiplied, const py::object& mask, const py::object& progress, const py::object& log,
                const Stop* stop, const py::kwargs& changes) {
  const Options o = options_from(options, changes, "sweep");
  PythonJob job(progress, log, stop);
  const Located located =
      py::isinstance<Located>(from) ? from.cast<Located>() : located_from(from, {bgr, premultiplied, mask}, o, &job);
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
  def(m, "sweep", &sweep_any,
      std::string("A drawing for each tolerance (px, > 0, in any order) of pixels, or of a Located.") + pixel_doc,
      pixel_arguments(py::arg("pixels"), py::arg("tolerances_px")));
  m.def("spread_tolerances", &spread_tolerances, py::arg("least_px"), py::arg("most_px"), py::arg("count"),
        "So many tolerances, px, each a constant factor over the one before.");
}

}  // namespace

void bind_trace(py::module_& m) {
  py::class_<Located>(m, "Located",
                      "Where the pencil went, found once by locate(), for any number of drawings. Never changes.")
      .def_property_readonly(
          "loops", [](const Located& l) { return loops_of(l.loops()); },
          "List of LocatedLoop: the lines, in an order that is always the same.")
      .def("__repr__", [](const Located&) { return "<batten.Located>"; });
  py::class_<OwnLoop>(m, "LocatedLoop", "A located line: what outlines are fitted to. fit() takes it as a polyline.")
      .def_property_readonly(
          "points", [](const OwnLoop& l) { return array_of(l.points); }, "float64, shape (n, 2), px; a copy.")
      .def_property_readonly(
          "closed", [](const OwnLoop& l) { return l.loop.closed; }, "False: a line from its first point to its last.")
      .def_property_readonly(
          "kind", [](const OwnLoop& l) { return name_of(l.loop.kind); }, "\"outlined\", \"filled\" or \"line\".")
      .def_property_readonly(
          "sigma_px", [](const OwnLoop& l) { return l.loop.sigma_px; },
          "px: uncertainty of a point across the line, one standard deviation.")
      .def_property_readonly(
          "correlation_px", [](const OwnLoop& l) { return l.loop.correlation_px; },
          "px along the line over which errors of neighbouring points are alike.")
      .def_property_readonly(
          "band_px", [](const OwnLoop& l) { return l.loop.band_px; },
          "px: width of the pencil band; 0: none was measured.")
      .def("__len__", [](const OwnLoop& l) { return l.points.size(); })
      .def("__repr__", [](const OwnLoop& l) {
        return "<batten.LocatedLoop " + counted(l.points.size(), "point") + ", sigma " + shown(l.loop.sigma_px) +
               " px, band " + shown(l.loop.band_px) + " px>";
      });
  m.def(
      "located_loops", [](const Conversion& c) { return loops_of(located_loops(c)); }, py::arg("conversion"),
      "List of LocatedLoop: what each outline of the drawing was fitted to, in the order of Drawing.outlines.");
  def(
      m, "locate",
      [](const py::object& pixels, const py::object& options, bool bgr, bool premultiplied, const py::object& mask,
         const py::object& progress, const py::object& log, const Stop* stop, const py::kwargs& changes) {
        const Options o = options_from(options, changes, "locate");
        PythonJob job(progress, log, stop);
        return located_from(pixels, {bgr, premultiplied, mask}, o, &job);
      },
      std::string("The first half of convert(): finds where the pencil went, in pixels as convert() takes them. Of the "
                  "options,\n"
                  "drawing, dpi and threads count here.") +
          pixel_doc,
      pixel_arguments(py::arg("pixels")));
  def(m, "convert", &convert_any,
      std::string(
          "Traces a picture, or what locate() made of one, and returns a Conversion.\n\n"
          "pixels: uint8 or uint16, shape (height, width) or (height, width, channels) with 1, 3 (RGB) or 4 (RGBA)\n"
          "channels, 0 black. They are read where they are, without a copy: rows may lie any distance apart and in "
          "either\n"
          "direction, the pixels of a row one after another. Refused are other types (bool, float, foreign byte "
          "order),\n"
          "other shapes, and rows with gaps between pixels or channels (a[:, ::2], a[:, ::-1], a.T, a[..., ::-1]); "
          "for\n"
          "those use numpy.ascontiguousarray(). Do not change the pixels from another thread meanwhile.") +
          pixel_doc,
      pixel_arguments(py::arg("pixels")));
  def(m, "fit", &fit_any,
      "Fits polylines, arrays of shape (n, 2), float64, px, or LocatedLoop; no pixels are involved.\n\n"
      "closed: True, False, or one of them for each polyline. Closed ones have at least 3 points, open ones 2. The\n"
      "drawing has the outlines of the closed ones first, then the lines of the open ones; its box follows the "
      "places,\n"
      "which may be negative. Noise that is new from sample to sample is smoothed away first.\n\n"
      "sigma_px: px, how far points stray across the line, one standard deviation: a number, or for each polyline a\n"
      "number, an array with one for each point, or None, which finds it from the points (default). correlation_px: "
      "px\n"
      "along the line over which errors are alike; 0 (default): found from the points. A LocatedLoop brings its own.",
      std::make_tuple(py::arg("polylines"), py::arg("closed") = true, py::arg("options") = py::none(), py::kw_only(),
                      py::arg("sigma_px") = py::none(), py::arg("correlation_px") = 0.0,
                      py::arg("progress") = py::none(), py::arg("log") = py::none(), py::arg("stop") = py::none()));
  def(m, "judge", &judge_any,
      "Judges outlines that were there already, on the located lines of a scan: the figures that convert() reports,\n"
      "and findings about how the nodes are set. No coordinate changes.",
      job_arguments(py::arg("located"), py::arg("drawing")));
  bind_sweep(m);
}

}  // namespace batten::python
