// numpy arrays as pixels and as points.

#include "bind.h"

namespace batten::python {
namespace {

std::string shape_of(const py::array& a) {
  std::string text;
  for (py::ssize_t i = 0; i < a.ndim(); ++i) text += (i == 0 ? "" : " x ") + std::to_string(a.shape(i));
  return text.empty() ? "a single number" : text;
}

[[noreturn]] void bad_pixels(const std::string& sentence, const char* place) {
  raise({ErrorCode::bad_pixels, sentence, place});
}

}  // namespace

Pixels pixels_from(const py::object& pixels, const char* place) {
  Pixels out{py::array::ensure(pixels), {}};
  if (!out.array) {
    PyErr_Clear();
    bad_pixels("Pixels are a numpy array of uint8 or uint16.", place);
  }
  const py::array& a = out.array;
  const bool is_bytes = py::isinstance<py::array_t<std::uint8_t>>(a);
  if (!is_bytes && !py::isinstance<py::array_t<std::uint16_t>>(a))
    bad_pixels("Pixels are uint8 or uint16 in native byte order, and these are " + std::string(py::str(a.dtype())) +
                   ": scale them to 0..255 (white is 255) and use astype(numpy.uint8).",
               place);
  const py::ssize_t channels = a.ndim() == 3 ? a.shape(2) : 1;
  if (a.ndim() < 2 || a.ndim() > 3 || (channels != 1 && channels != 3 && channels != 4))
    bad_pixels(
        "Pixels have the shape (height, width), or (height, width, channels) with 1, 3 (RGB) or 4 (RGBA) "
        "channels, and these are " +
            shape_of(a) + ".",
        place);
  if (a.shape(0) < 1 || a.shape(1) < 1 || a.shape(0) > 0x7fffffff || a.shape(1) > 0x7fffffff)
    bad_pixels("A picture of " + shape_of(a) + " holds no pixels, or too many.", place);
  // Rows may lie any distance apart, forwards or backwards; within a row pixels follow one another.
  const bool is_packed = (a.ndim() == 2 || channels == 1 || a.strides(2) == a.itemsize()) &&
                         (a.shape(1) == 1 || a.strides(1) == channels * a.itemsize());
  if (!is_packed)
    bad_pixels(
        "Pixels of a row must lie one after another (a part of the columns, mirrored columns, a transposed "
        "picture or reversed channels do not): use numpy.ascontiguousarray().",
        place);
  const PixelFormat format = channels == 4   ? (is_bytes ? PixelFormat::rgba8 : PixelFormat::rgba16)
                             : channels == 3 ? (is_bytes ? PixelFormat::rgb8 : PixelFormat::rgb16)
                                             : (is_bytes ? PixelFormat::gray8 : PixelFormat::gray16);
  out.view = {a.data(), int(a.shape(1)), int(a.shape(0)), a.strides(0), format};
  // One row has no distance to the next, whatever numpy says.
  if (a.shape(0) == 1) out.view.stride_bytes = a.shape(1) * channels * a.itemsize();
  return out;
}

Numbers points_from(const py::object& points, const char* place) {
  auto out = py::array_t<double, py::array::c_style | py::array::forcecast>::ensure(points);
  if (!out) PyErr_Clear();
  if (!out || out.ndim() != 2 || out.shape(1) != 2)
    raise({ErrorCode::bad_polyline, "A polyline is an array of shape (n, 2): x and y of each point, px.", place});
  return Numbers(out);
}

std::span<const Point> points_of(const Numbers& array) {
  static_assert(sizeof(Point) == 2 * sizeof(double) && offsetof(Point, y) == sizeof(double));
  return {reinterpret_cast<const Point*>(array.data()), std::size_t(array.shape(0))};
}

}  // namespace batten::python
