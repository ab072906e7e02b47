// Report and what it holds, and Conversion.

#include <algorithm>

#include "bind.h"

namespace batten::python {
namespace {

py::tuple pair(Point p) { return py::make_tuple(p.x, p.y); }

template <class Counts>
py::dict by_reason(const Counts& counts) {
  py::dict out;
  for (std::size_t i = 0; i < counts.size(); ++i) out[name_of(Reason(i))] = counts[i];
  return out;
}

std::size_t warnings_of(const Report& r) {
  return std::size_t(std::count_if(r.findings.begin(), r.findings.end(),
                                   [](const Finding& f) { return level_of(f.what) == Level::warning; }));
}

py::array judged_of(const OutlineReport& r) { return array_of(r.judged); }
py::array located_of(const OutlineReport& r) { return array_of(r.located); }

py::list tips_of(const OutlineReport& r) {
  py::list out;
  for (const Tip& tip : r.tips) out.append(py::make_tuple(tip.node, tip.length_px, tip.along_px));
  return out;
}

py::list hidden_of(const OutlineReport& r) {
  py::list out;
  for (const HiddenCorner& corner : r.hidden) out.append(py::make_tuple(corner.node, corner.sigma_px));
  return out;
}

std::string repr(const Report& r) {
  return "<batten.Report " + counted(r.segments, "segment") + ", rms " + shown(r.rms_px) + " px, 95 % within " +
         shown(r.p95_px) + " px, at most " + shown(r.max_px) + " px (tolerance " + shown(r.tolerance_px) + " px), " +
         counted(r.findings.size(), "finding") + ", " + counted(warnings_of(r), "warning") + ">";
}

void bind_parts(py::module_& m) {
  py::class_<Finding>(m, "Finding", "Something you should know although the drawing was delivered.")
      .def_property_readonly(
          "what", [](const Finding& f) { return name_of(f.what); }, "Its kind in words: \"tolerance exceeded\" ...")
      .def_property_readonly(
          "warning", [](const Finding& f) { return level_of(f.what) == Level::warning; },
          "True: look at the drawing there; False: for information.")
      .def_readonly("outline", &Finding::outline, "Index into Drawing.outlines; -1: the whole sheet.")
      .def_property_readonly(
          "place", [](const Finding& f) { return pair(f.place); }, "(x, y), px.")
      .def_readonly("amount_px", &Finding::amount_px, "px: a deviation, a standard deviation, a size.")
      .def_readonly("text", &Finding::text, "One sentence.")
      .def("__repr__",
           [](const Finding& f) { return "<batten.Finding " + std::string(name_of(f.what)) + ": " + f.text + ">"; });
  py::class_<Edit>(m, "Edit", "Something straightened within the tolerance.")
      .def_property_readonly(
          "kind", [](const Edit& e) { return name_of(e.kind); },
          "\"level\", \"vertical\", \"slant\", \"line\", \"width\", \"overshoot\" or \"symmetry\".")
      .def_property_readonly(
          "nodes",
          [](const Edit& e) {
            py::list out;
            for (const Edit::Where& w : e.nodes) out.append(py::make_tuple(w.outline, w.node));
            return out;
          },
          "List of (outline, node); those that were followed come first.")
      .def_readonly("moved_px", &Edit::moved_px, "px: how far the outline moved at its nodes, at most.")
      .def_readonly("kept", &Edit::kept, "False: it would have broken the tolerance and was undone.")
      .def("__repr__", [](const Edit& e) {
        return "<batten.Edit " + std::string(name_of(e.kind)) + ", moved " + shown(e.moved_px) + " px" +
               (e.kept ? ">" : ", undone>");
      });
  py::class_<PinOutcome>(m, "PinOutcome", "What became of a pin.")
      .def_readonly("held", &PinOutcome::held, "The drawing is as the pin says.")
      .def_readonly("distance_px", &PinOutcome::distance_px, "px: how far the drawing misses it; 0 where it is held.")
      .def_readonly("off_line_px", &PinOutcome::off_line_px,
                    "px: held, but the outline lies so far off the drawn line there, over its limit; else 0.")
      .def_readonly("outline", &PinOutcome::outline, "Index of the outline nearest to its first place; -1: none.")
      .def_property_readonly(
          "place", [](const PinOutcome& p) { return pair(p.place); }, "(x, y), px: its first place.")
      .def_readonly("against", &PinOutcome::against, "List of the indices of pins that contradict it.")
      .def_readonly("text", &PinOutcome::text, "A sentence.")
      .def("__repr__", [](const PinOutcome& p) { return "<batten.PinOutcome " + p.text + ">"; });
  py::class_<LowerBound>(m, "LowerBound", "The fewest segments that an outline could have within its limit.")
      .def_readonly("proven", &LowerBound::proven, "No outline can have fewer, by `argument`; 0: not sought.")
      .def_readonly("numerical", &LowerBound::numerical, "Fitting found none with fewer; evidence, no proof.")
      .def_property_readonly(
          "argument", [](const LowerBound& b) { return name_of(b.argument); }, "What `proven` rests on.")
      .def("__repr__", [](const LowerBound& b) {
        return "<batten.LowerBound " + std::to_string(b.proven) + " proven, none under " + std::to_string(b.numerical) +
               " found>";
      });
  py::class_<SheetTurn>(m, "SheetTurn", "How the sheet lay on the glass.")
      .def_readonly("known", &SheetTurn::known, "False: too few guides or straights to tell.")
      .def_readonly("deg", &SheetTurn::deg, "Degrees, positive clockwise on screen.")
      .def_readonly("sd_deg", &SheetTurn::sd_deg, "Degrees: one standard deviation.")
      .def_readonly("undone", &SheetTurn::undone, "The outlines were turned back by it (deskew).")
      .def("__repr__", [](const SheetTurn& t) {
        return t.known ? "<batten.SheetTurn " + shown(t.deg) + " deg, sd " + shown(t.sd_deg) + " deg>"
                       : std::string("<batten.SheetTurn unknown>");
      });
}

void bind_outline_report(py::module_& m) {
  py::class_<OutlineReport>(m, "OutlineReport", "Figures of one outline, measured apart from the fit.")
      .def_readonly("segments", &OutlineReport::segments, "Cubics and straights together.")
      .def_property_readonly(
          "nodes_by_reason", [](const OutlineReport& r) { return by_reason(r.nodes_by_reason); },
          "dict: reason to count.")
      .def_readonly("max_px", &OutlineReport::max_px, "px: largest deviation, both ways.")
      .def_readonly("rms_px", &OutlineReport::rms_px, "px: root mean square of the same.")
      .def_readonly("p95_px", &OutlineReport::p95_px, "px: 95 % of the length lies nearer.")
      .def_property_readonly(
          "worst", [](const OutlineReport& r) { return pair(r.worst); }, "(x, y), px: where max_px is.")
      .def_readonly("replaced_length_px", &OutlineReport::replaced_length_px,
                    "px of the loop near corners that was judged against the extended sides.")
      .def_readonly("loop_length_px", &OutlineReport::loop_length_px, "px: length of the located loop.")
      .def_readonly("within_tolerance", &OutlineReport::within_tolerance,
                    "The whole outline, but for the stated tips, lies within tolerance_px of the located line, both\n"
                    "ways: max_px is no more, and strayed_px is no more than the larger of limit_px and 2.")
      .def_readonly("tolerance_px", &OutlineReport::tolerance_px,
                    "px: as asked for this outline; where none was, as chosen.")
      .def_readonly("correlation_px", &OutlineReport::correlation_px,
                    "px along the located line over which errors of its points are alike.")
      .def_readonly("limit_px", &OutlineReport::limit_px,
                    "px: the tolerance, or how far the line wavers where that is larger.")
      .def_readonly("known_px", &OutlineReport::known_px, "px: how nearly the line is known, 2.6 sigma.")
      .def_readonly("strayed_px", &OutlineReport::strayed_px,
                    "px: largest distance to the located line itself, apart from tips.")
      .def_property_readonly("tips", &tips_of,
                             "List of (node, length_px, along_px): corners and ends that reach beyond the located "
                             "line.")
      .def_property_readonly("hidden", &hidden_of,
                             "List of (node, sigma_px): corners whose sides run together, with the standard deviation\n"
                             "of their place.")
      .def_readonly("least", &OutlineReport::least, "LowerBound: fewest segments possible.")
      .def_property_readonly("judged", &judged_of,
                             "float64, shape (n, 2), px: the located loop, its sides extended at corners.")
      .def_property_readonly("located", &located_of, "float64, shape (n, 2), px: the line that was located in the ink.")
      .def("__repr__", [](const OutlineReport& r) {
        return "<batten.OutlineReport " + counted(r.segments, "segment") + ", rms " + shown(r.rms_px) +
               " px, at most " + shown(r.max_px) + " px (limit " + shown(r.limit_px) + " px)>";
      });
}

}  // namespace

void bind_report(py::module_& m) {
  bind_parts(m);
  bind_outline_report(m);
  py::class_<Report>(m, "Report", "Figures of a whole drawing, measured apart from the fit.")
      .def_readonly("segments", &Report::segments, "Of all outlines.")
      .def_property_readonly(
          "nodes_by_reason", [](const Report& r) { return by_reason(r.nodes_by_reason); }, "dict: reason to count.")
      .def_readonly("least", &Report::least, "LowerBound, summed over the outlines.")
      .def_readonly("max_px", &Report::max_px, "px: largest deviation, both ways; inf where there is none.")
      .def_readonly("rms_px", &Report::rms_px, "px: root mean square over all outlines.")
      .def_readonly("p95_px", &Report::p95_px, "px: 95 % of the length of all outlines lies nearer.")
      .def_readonly("tolerance_px", &Report::tolerance_px, "px: as asked; where none was, the largest that was chosen.")
      .def_readonly("known_px", &Report::known_px, "px: how nearly the lines are known, the largest 2.6 sigma.")
      .def_readonly("within_tolerance", &Report::within_tolerance,
                    "Every outline is within its tolerance, there is one, and none was left out for its form or is\n"
                    "missing.")
      .def_readonly("outlines", &Report::outlines, "List of OutlineReport, one for each of Drawing.outlines.")
      .def_readonly("findings", &Report::findings, "List of Finding: tolerances not held, specks left out ...")
      .def_readonly("edits", &Report::edits, "List of Edit: what was straightened, undone edits too.")
      .def_readonly("pins", &Report::pins, "List of PinOutcome, one for each of Options.pins.")
      .def_readonly("sheet", &Report::sheet, "SheetTurn: how the sheet lay on the glass.")
      .def_property_readonly(
          "warnings",
          [](const Report& r) {
            py::list out;
            for (const Finding& f : r.findings)
              if (level_of(f.what) == Level::warning) out.append(f);
            return out;
          },
          "List of the findings that are warnings.")
      .def("__repr__", [](const Report& r) { return repr(r); });
  py::class_<Conversion>(m, "Conversion", "A drawing and what is known about it.")
      .def_readonly("drawing", &Conversion::drawing, "Drawing: the outlines.")
      .def_readonly("report", &Conversion::report, "Report: their figures.")
      .def(
          "translated",
          [](Conversion c, double dx_px, double dy_px) {
            translate(c, {dx_px, dy_px});
            return c;
          },
          py::arg("dx_px"), py::arg("dy_px"),
          "The same moved by so many px, for outlines of a part of a scan that should lie on the whole scan.")
      .def("__repr__", [](const Conversion& c) {
        return "<batten.Conversion " + std::string(py::repr(py::cast(c.drawing))) + " " + repr(c.report) + ">";
      });
}

}  // namespace batten::python
