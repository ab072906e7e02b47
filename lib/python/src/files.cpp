// Image files and outlines in; SVG, PDF, EPS, JSON, UFO, pictures and tables out.

#include "batten/files.h"

#include "batten/write.h"
#include "bind.h"

namespace batten::python {
namespace {

int channels_of(PixelFormat f) {
  return f == PixelFormat::gray8 || f == PixelFormat::gray16 ? 1
         : f == PixelFormat::rgb8 || f == PixelFormat::rgb16 ? 3
                                                             : 4;
}
bool is_deep(PixelFormat f) { return f == PixelFormat::gray16 || f == PixelFormat::rgb16 || f == PixelFormat::rgba16; }

// The pixels of a picture where they are; `owner` is kept alive by the array, which cannot be written to.
py::array pixels_of(const py::object& owner) {
  const Picture& p = owner.cast<const Picture&>();
  const py::ssize_t channels = channels_of(p.format), size = is_deep(p.format) ? 2 : 1;
  std::vector<py::ssize_t> shape{p.height, p.width}, strides{p.stride_bytes, channels * size};
  if (channels > 1) shape.push_back(channels), strides.push_back(size);
  const py::dtype type = is_deep(p.format) ? py::dtype::of<std::uint16_t>() : py::dtype::of<std::uint8_t>();
  py::array out(type, shape, strides, p.bytes.data(), owner);
  out.attr("flags").attr("writeable") = false;
  return out;
}

// A Picture as it is, or one with a copy of an array's pixels: what paints over a scan keeps it.
const Picture& picture_from(const py::object& pixels, Picture* room) {
  if (py::isinstance<Picture>(pixels)) return pixels.cast<const Picture&>();
  const Pixels p = pixels_from(pixels, "pixels");
  const std::ptrdiff_t row =
      std::ptrdiff_t(p.view.width) * channels_of(p.view.format) * (is_deep(p.view.format) ? 2 : 1);
  room->width = p.view.width, room->height = p.view.height, room->format = p.view.format, room->stride_bytes = row;
  for (std::ptrdiff_t y = 0; y < p.view.height; ++y) {
    const auto* from = static_cast<const std::uint8_t*>(p.view.pixels) + y * p.view.stride_bytes;
    room->bytes.insert(room->bytes.end(), from, from + row);
  }
  return *room;
}

py::bytes bytes_of(Result<std::string> made) { return py::bytes(taken(std::move(made))); }

// Work on values that never change, without the interpreter's lock.
template <class Work>
auto unlocked(Work&& work) {
  const py::gil_scoped_release released;
  return work();
}

std::string path_of(const py::object& path) {
  return py::module_::import("os").attr("fsencode")(path).cast<std::string>();
}
void raise_if(const std::optional<Error>& error) {
  if (error) raise(*error);
}

void bind_reading(py::module_& m) {
  py::class_<Picture>(m, "Picture", "A picture read from a file, the right way up.")
      .def_property_readonly(
          "pixels", &pixels_of,
          "uint8 or uint16, shape (height, width) or (height, width, 3 or 4), for convert(); a view\n"
          "that keeps the picture alive and cannot be written to.")
      .def_readonly("dpi", &Picture::dpi, "Pixels per inch, from the file; 0 where it does not say.")
      .def_readonly("pages", &Picture::pages, "That the file holds; the first is the one that was read.")
      .def_readonly("width", &Picture::width, "px.")
      .def_readonly("height", &Picture::height, "px.")
      .def("__repr__", [](const Picture& p) {
        return "<batten.Picture " + std::to_string(p.width) + " x " + std::to_string(p.height) + " px, " +
               (p.dpi > 0 ? shown(p.dpi) + " dpi>" : "dpi unknown>");
      });
  m.def(
      "read_pins",
      [](const py::object& path, double dpi) {
        const std::vector<Pin> pins = taken(read_pins(path_of(path), dpi));
        return py::module_::import("json").attr("loads")(to_json(pins)).attr("get")("pins");
      },
      py::arg("path"), py::arg("dpi") = 0.0,
      "Reads a list of pins from a JSON file; dpi is needed for lists in mm. For Options(pins=...), in px.");
  m.def(
      "read_picture",
      [](const py::object& path, double max_megapixels) {
        const std::string at = path_of(path);
        ReadOptions options;
        options.max_megapixels = max_megapixels;
        return taken(unlocked([&] { return read_picture(at, options); }));
      },
      py::arg("path"), py::arg("max_megapixels") = ReadOptions{}.max_megapixels,
      "Reads PNG, JPEG, TIFF, WebP, BMP or PNM: 8 or 16 bit; grey, colour, alpha. Returns a Picture.");
  py::class_<SvgDrawing>(m, "SvgDrawing", "Outlines of an SVG file, in units of its view box.")
      .def_readonly("drawing", &SvgDrawing::drawing, "Drawing; its size is that of the view box.")
      .def_readonly("width_mm", &SvgDrawing::width_mm, "mm, of the page; 0: unknown.")
      .def_readonly("open_paths", &SvgDrawing::open_paths, "Filled paths of one segment, which were left out.")
      .def_readonly("sound", &SvgDrawing::sound, "False where something was left out because it is not SVG 1.1.")
      .def(
          "placed_on",
          [](SvgDrawing svg, double width_px, double height_px, double dpi) {
            const std::string how = place_on_scan(svg, width_px, height_px, dpi);
            return py::make_tuple(svg.drawing, how);
          },
          py::arg("width_px"), py::arg("height_px"), py::arg("dpi") = 0.0,
          "(Drawing, sentence): the outlines laid on a scan of this size, px, and how that was done.")
      .def("__repr__", [](const SvgDrawing& s) {
        return "<batten.SvgDrawing " + counted(s.drawing.outlines.size(), "outline") + ">";
      });
  m.def(
      "read_outlines",
      [](const py::object& path) {
        const std::string at = path_of(path);
        return taken(unlocked([&] { return read_outlines(at); }));
      },
      py::arg("path"), "Reads the outlines of an SVG 1.1 file. Returns an SvgDrawing.");
}

void bind_texts(py::module_& m) {
  m.def("shapes", &shapes, py::arg("drawing"),
        "The shapes in reading order: for each the index of its outer outline, then those of its counters.");
  m.def(
      "to_svg",
      [](const Drawing& d, const std::string& title, bool nodes) {
        return unlocked([&] { return to_svg(d, {title, nodes}); });
      },
      py::arg("drawing"), py::arg("title") = "", py::arg("nodes") = false,
      "SVG 1.1 as str; a user unit is a pixel of the scan. nodes: a dot for each node.");
  m.def(
      "to_json",
      [](const Conversion& c, const std::string& scan, double seconds) {
        return unlocked([&] { return to_json(c, {scan, seconds}); });
      },
      py::arg("conversion"), py::arg("scan") = "", py::arg("seconds") = 0.0,
      "Everything that a conversion knows, as JSON in a str. scan: its name; seconds: how long it took, 0 leaves it "
      "out.");
  m.def(
      "to_csv",
      [](const Sweep& s, const py::object& options, const std::string& scan) {
        return to_csv(s, options_from(options, {}, "to_csv"), {scan});
      },
      py::arg("sweep"), py::arg("options") = py::none(), py::arg("scan") = "",
      "A sweep as a table, CSV in a str: one row a tolerance.");
  m.def("to_plot_svg", &to_plot_svg, py::arg("sweep"), "A sweep as a chart, SVG 1.1 in a str.");
  m.def(
      "to_ufo",
      [](const Drawing& d, const GlyphSheet& sheet, const std::string& family_name, bool whole_units) {
        py::dict out;
        for (const FolderFile& f : to_ufo(d, sheet, {family_name, whole_units}))
          out[py::str(f.path)] = py::bytes(f.bytes);
        return out;
      },
      py::arg("drawing"), py::arg("sheet"), py::arg("family_name") = "Untitled", py::arg("whole_units") = false,
      "The files of a Unified Font Object, version 3: dict of path below the folder to bytes, for write_folder().");
}

using ToPage = Result<std::string> (*)(const Drawing&, const PageOptions&);
using ToProof = Result<std::string> (*)(const Picture&, const Conversion&, const ReportContext&);

void def_page(py::module_& m, const char* name, ToPage write, const char* doc) {
  m.def(
      name,
      [write](const Drawing& d, const std::string& title) {
        return bytes_of(unlocked([&] { return write(d, {title}); }));
      },
      py::arg("drawing"), py::arg("title") = "", doc);
}

void def_proof(py::module_& m, const char* name, ToProof write, const char* doc) {
  m.def(
      name,
      [write](const py::object& pixels, const Conversion& c, const std::string& scan) {
        Picture room;
        const Picture& picture = picture_from(pixels, &room);
        return bytes_of(unlocked([&] { return write(picture, c, {scan}); }));
      },
      py::arg("pixels"), py::arg("conversion"), py::arg("scan") = "", doc);
}

void bind_pictures(py::module_& m) {
  def_page(m, "to_pdf", &to_pdf, "One page of the sheet's size, PDF as bytes.");
  def_page(m, "to_eps", &to_eps, "The same as Encapsulated PostScript, bytes.");
  m.def(
      "to_png",
      [](const py::object& pixels, double dpi) {
        const Pixels p = pixels_from(pixels, "pixels");
        return bytes_of(unlocked([&] { return to_png(p.view, dpi); }));
      },
      py::arg("pixels"), py::arg("dpi") = 0.0, "A picture as PNG, bytes; pixels as convert() takes them.");
  m.def(
      "draw_overlay",
      [](const py::object& pixels, const Drawing& d, double scale) {
        Picture room;
        const Picture& picture = picture_from(pixels, &room);
        return bytes_of(unlocked([&] { return draw_overlay(picture, d, scale); }));
      },
      py::arg("pixels"), py::arg("drawing"), py::arg("scale") = 2.0,
      "Outlines, nodes and handles painted over the lightened scan (a Picture, or pixels as convert() takes them):\n"
      "PNG as bytes, each px of the scan as `scale` px, >= 1.");
  def_proof(m, "to_proof_page", &to_proof_page, "The proof as one self-contained HTML page, bytes (UTF-8).");
  def_proof(m, "to_proof_png", &to_proof_png, "The proof as one picture, PNG as bytes.");
  def_proof(m, "to_proof_pdf", &to_proof_pdf, "The proof as one page, PDF as bytes.");
}

// str is written as UTF-8.
std::string content_of(const py::object& content) {
  if (!py::isinstance<py::str>(content) && !py::isinstance<py::bytes>(content))
    throw py::type_error("what is written is str or bytes");
  return content.cast<std::string>();
}

}  // namespace

void bind_files(py::module_& m) {
  bind_reading(m);
  bind_texts(m);
  bind_pictures(m);
  m.def(
      "write_file",
      [](const py::object& path, const py::object& content) {
        raise_if(write_file(path_of(path), content_of(content)));
      },
      py::arg("path"), py::arg("content"), "Writes str or bytes to a file, whole or not at all.");
  m.def(
      "write_folder",
      [](const py::object& path, const py::dict& files) {
        std::vector<FolderFile> all;
        for (const auto& [name, content] : files)
          all.push_back({name.cast<std::string>(), content_of(py::reinterpret_borrow<py::object>(content))});
        raise_if(write_folder(path_of(path), all));
      },
      py::arg("path"), py::arg("files"),
      "Writes a folder of files, dict of path to str or bytes, whole or not at all.");
}

}  // namespace batten::python
