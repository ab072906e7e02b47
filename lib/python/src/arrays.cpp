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

constexpr PixelFormat coloured[2][2][4] = {
    {{PixelFormat::rgb8, PixelFormat::bgr8, PixelFormat::rgb8, PixelFormat::bgr8},
     {PixelFormat::rgb16, PixelFormat::bgr16, PixelFormat::rgb16, PixelFormat::bgr16}},
    {{PixelFormat::rgba8, PixelFormat::bgra8, PixelFormat::rgba8_premultiplied, PixelFormat::bgra8_premultiplied},
     {PixelFormat::rgba16, PixelFormat::bgra16, PixelFormat::rgba16_premultiplied, PixelFormat::bgra16_premultiplied}}};

// A mask as it is: numpy keeps truth values as bytes of 0 and 1.
py::array mask_from(const py::object& mask, const ImageView& view) {
  py::array a = py::array::ensure(mask);
  if (!a) PyErr_Clear();
  const bool is_mask = a && (py::isinstance<py::array_t<bool>>(a) || py::isinstance<py::array_t<std::uint8_t>>(a));
  if (!is_mask || a.ndim() != 2 || a.shape(0) != view.height || a.shape(1) != view.width)
    bad_pixels("A mask is an array of bool or uint8 with the height and width of the pixels.", "mask");
  if (a.shape(1) > 1 && a.strides(1) != 1)
    bad_pixels("Bytes of a row of the mask must lie one after another: use numpy.ascontiguousarray().", "mask");
  return a;
}

}  // namespace

Pixels pixels_from(const py::object& pixels, const PixelReading& reading, const char* place) {
  Pixels out = pixels_from(pixels, place);
  const bool deep = out.array.itemsize() == 2;
  const py::ssize_t channels = out.array.ndim() == 3 ? out.array.shape(2) : 1;
  if (channels > 1) out.view.format = coloured[channels == 4][deep][reading.bgr + 2 * reading.premultiplied];
  if (reading.mask.is_none()) return out;
  out.mask = mask_from(reading.mask, out.view);
  out.view.mask = static_cast<const std::uint8_t*>(out.mask.data());
  out.view.mask_stride_bytes = out.mask.shape(0) == 1 ? out.mask.shape(1) : out.mask.strides(0);
  return out;
}

Pixels pixels_from(const py::object& pixels, const char* place) {
  Pixels out{py::array::ensure(pixels), {}, {}};
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

py::array array_of(std::span<const Point> points) {
  py::array_t<double> out({py::ssize_t(points.size()), py::ssize_t(2)});
  double* to = out.mutable_data();
  for (const Point p : points) *to++ = p.x, *to++ = p.y;
  return out;
}

std::span<const Point> points_of(const Numbers& array) {
  static_assert(sizeof(Point) == 2 * sizeof(double) && offsetof(Point, y) == sizeof(double));
  return {reinterpret_cast<const Point*>(array.data()), std::size_t(array.shape(0))};
}

}  // namespace batten::python
