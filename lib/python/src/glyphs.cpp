// A sheet of letters as the glyphs of a font.

#include "batten/glyphs.h"

#include "bind.h"

namespace batten::python {

void bind_glyphs(py::module_& m) {
  py::class_<Glyph>(m, "Glyph", "One letter of a sheet.")
      .def_readonly("name", &Glyph::name, "Unique on its sheet.")
      .def_property_readonly(
          "character", [](const Glyph& g) { return g.character; },
          "The character that the name stands for; \"\\0\": none.")
      .def_readonly("outlines", &Glyph::outlines,
                    "Indices into Drawing.outlines: the letter's, its counters', its dots'.")
      .def_property_readonly(
          "origin", [](const Glyph& g) { return py::make_tuple(g.origin.x, g.origin.y); },
          "(x, y), px: where the baseline meets the left edge of its room.")
      .def_readonly("advance_px", &Glyph::advance_px, "px: width of its room.")
      .def("__repr__", [](const Glyph& g) {
        return "<batten.Glyph " + g.name + ": " + counted(g.outlines.size(), "outline") + ">";
      });
  py::class_<GlyphSheet>(m, "GlyphSheet", "All letters of a sheet in reading order, at one scale.")
      .def_readonly("units_per_em", &GlyphSheet::units_per_em, "As asked.")
      .def_readonly("units_per_px", &GlyphSheet::units_per_px, "Scale of all glyphs.")
      .def_readonly("glyphs", &GlyphSheet::glyphs, "List of Glyph, in reading order.")
      .def_readonly("x_height_px", &GlyphSheet::x_height_px, "px above the baseline; 0: the letters do not tell.")
      .def_readonly("cap_height_px", &GlyphSheet::cap_height_px, "px: the same of capitals.")
      .def_readonly("space_px", &GlyphSheet::space_px, "px: width of a word space; 0: no letter tells.")
      .def("__len__", [](const GlyphSheet& s) { return s.glyphs.size(); })
      .def("__repr__",
           [](const GlyphSheet& s) { return "<batten.GlyphSheet of " + counted(s.glyphs.size(), "glyph") + ">"; });
  m.def(
      "arrange_glyphs",
      [](const Drawing& drawing, std::vector<std::string> names, int units_per_em, double em_px,
         std::vector<double> baselines_px, double side_bearing_em) {
        return taken(
            arrange_glyphs(drawing, {std::move(names), units_per_em, em_px, std::move(baselines_px), side_bearing_em}));
      },
      py::arg("drawing"), py::kw_only(), py::arg("names") = std::vector<std::string>(), py::arg("units_per_em") = 1000,
      py::arg("em_px") = 0.0, py::arg("baselines_px") = std::vector<double>(), py::arg("side_bearing_em") = 0.06,
      "Groups the shapes of a sheet into glyphs, in reading order: dots and accents join their letter.\n\n"
      "names: one for each glyph, or none. em_px: height of the em on the sheet, px; 0: from the letters.\n"
      "baselines_px: y of the baseline of each row, px; empty: found. side_bearing_em: room on either side, em.");
}

}  // namespace batten::python
