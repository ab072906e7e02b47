// The extension batten._batten; batten/__init__.py hands out what it holds.

#include "batten/version.h"
#include "batten/write.h"
#include "bind.h"

namespace batten::python {

void raise(const Error& error) {
  const py::object type =
      py::module_::import("batten._error").attr(error.code == ErrorCode::cancelled ? "Cancelled" : "Error");
  const py::object value = type(int(error.code), name_of(error.code), error.message, error.place);
  PyErr_SetObject(type.ptr(), value.ptr());
  throw py::error_already_set();
}

void raise_bad(const std::string& sentence, const std::string& place) {
  raise({ErrorCode::bad_option, sentence, place});
}

std::string shown(double value, int decimals) {
  std::string text = decimal(value, decimals);
  if (text.find('.') == std::string::npos) return text;
  text.erase(text.find_last_not_of('0') + 1);
  if (text.back() == '.') text.pop_back();
  return text;
}

std::string counted(std::size_t count, const char* what) {
  return std::to_string(count) + " " + what + (count == 1 ? "" : "s");
}

}  // namespace batten::python

PYBIND11_MODULE(_batten, m) {
  using namespace batten::python;
  m.doc() = "The C++ library batten; import batten instead of this.";
  m.attr("__version__") = BATTEN_VERSION;
  bind_options(m);
  bind_job(m);
  bind_drawing(m);
  bind_report(m);
  bind_trace(m);
  bind_measure(m);
  bind_glyphs(m);
  bind_files(m);
}
