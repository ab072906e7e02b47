// Options: fields by name, enumerators as words.

#include <algorithm>
#include <functional>
#include <iterator>
#include <string_view>

#include "batten/files.h"
#include "bind.h"

namespace batten::python {
namespace {

using Edits = Options::Straighten;

template <class Value>
struct Word {
  const char* text;
  Value value;
};
constexpr Word<Options::Extremes> extremes[] = {{"required", Options::Extremes::required},
                                                {"free", Options::Extremes::free}};
constexpr Word<Options::DrawingKind> drawings[] = {{"automatic", Options::DrawingKind::automatic},
                                                   {"outlined", Options::DrawingKind::outlined},
                                                   {"filled", Options::DrawingKind::filled},
                                                   {"lines", Options::DrawingKind::lines}};
constexpr Word<Options::Output> outputs[] = {
    {"both", Options::Output::both}, {"outlines", Options::Output::outlines}, {"lines", Options::Output::lines}};
constexpr Word<Options::Construction> constructions[] = {{"leave out", Options::Construction::leave_out},
                                                         {"keep", Options::Construction::keep}};
constexpr Word<Options::Direction> directions[] = {{"clockwise", Options::Direction::clockwise},
                                                   {"anticlockwise", Options::Direction::anticlockwise}};
constexpr Word<Options::Start> starts[] = {{"corner", Options::Start::corner}, {"extreme", Options::Start::extreme}};
constexpr Word<bool Edits::*> edits[] = {{"axes", &Edits::axes},
                                         {"slants", &Edits::slants},
                                         {"lines", &Edits::lines},
                                         {"widths", &Edits::widths},
                                         {"overshoots", &Edits::overshoots}};

template <class Value, std::size_t count>
std::string alternatives(const Word<Value> (&words)[count]) {
  std::string text;
  for (std::size_t i = 0; i < count; ++i)
    text += (i == 0 ? "\"" : i + 1 == count ? "\" or \"" : "\", \"") + std::string(words[i].text);
  return text + "\"";
}

template <class Value, std::size_t count>
Value value_of(const std::string& text, const Word<Value> (&words)[count], const char* field) {
  for (const Word<Value>& word : words)
    if (word.text == text) return word.value;
  raise_bad(std::string(field) + " is " + alternatives(words) + ", not \"" + text + "\".", field);
}

// One field of Options: its name, how it is read and how it is set.
struct Field {
  const char* name;
  std::function<py::object(const Options&)> get;
  std::function<void(Options*, const py::handle&)> set;
  const char* doc;
};

template <class T>
T cast(const py::handle& value, const char* field, const char* what) {
  try {
    return value.cast<T>();
  } catch (const py::cast_error&) {
    throw py::type_error(std::string(field) + " is " + what + ", not " +
                         std::string(py::str(py::type::of(value).attr("__name__"))));
  }
}

template <class T>
Field plain(const char* name, T Options::*at, const char* what, const char* doc) {
  return {name, [at](const Options& o) { return py::cast(o.*at); },
          [=](Options* o, const py::handle& v) { o->*at = cast<T>(v, name, what); }, doc};
}

template <class T, std::size_t count>
Field words(const char* name, T Options::*at, const Word<T> (&all)[count], const char* doc) {
  return {name,
          [at, &all](const Options& o) -> py::object {
            for (const Word<T>& word : all)
              if (word.value == o.*at) return py::str(word.text);
            return py::none();
          },
          [=, &all](Options* o, const py::handle& v) {
            o->*at = value_of(cast<std::string>(v, name, "a word"), all, name);
          },
          doc};
}

py::object straighten_of(const Options& o) {
  py::list on;
  for (const Word<bool Edits::*>& edit : edits)
    if (o.straighten.*edit.value) on.append(edit.text);
  return py::tuple(on);
}

void set_straighten(Options* o, const py::handle& value) {
  constexpr const char* what = "True, False or words";
  const bool all = value.is(py::bool_(true));
  for (const Word<bool Edits::*>& edit : edits) o->straighten.*edit.value = all;
  if (py::isinstance<py::bool_>(value)) return;
  if (py::isinstance<py::str>(value))  // its letters are no words
    return void(o->straighten.*value_of(value.cast<std::string>(), edits, "straighten") = true);
  for (const std::string& word : cast<std::vector<std::string>>(value, "straighten", what))
    o->straighten.*value_of(word, edits, "straighten") = true;
}

// Pins are dicts with the fields that lists of pins have as JSON.
py::object pins_of(const Options& o) {
  return py::module_::import("json").attr("loads")(to_json(o.pins)).attr("get")("pins");
}

void set_pins(Options* o, const py::handle& value) {
  if (py::isinstance<py::str>(value) || !py::isinstance<py::sequence>(value))
    throw py::type_error("pins is a list of dicts, not " + std::string(py::str(py::type::of(value).attr("__name__"))));
  py::dict list;
  list["batten_pins"] = 1, list["pins"] = py::list(py::reinterpret_borrow<py::object>(value));
  const std::string text = py::module_::import("json").attr("dumps")(list).cast<std::string>();
  o->pins = taken(pins_from_json(text, 0, "The list of pins"));
}

std::vector<Field> all_fields() {
  constexpr const char *number = "a number", *whole = "a whole number", *yes_no = "True or False";
  return {
      {"tolerance_px", [](const Options& o) { return py::cast(o.tolerance_px); },
       [](Options* o, const py::handle& v) {
         o->tolerance_px = cast<std::optional<double>>(v, "tolerance_px", "a number or None");
       },
       "px, > 0: the largest distance, both ways, between outline and drawing; None: 2.6 times the pencil line's\n"
       "standard deviation, at least 0.5, chosen for each outline. Default 1."},
      words("extremes", &Options::extremes, extremes,
            "\"required\" (default): a node wherever a smooth curve is leftmost, rightmost, highest or lowest;\n"
            "\"free\": only where one is needed."),
      words("drawing", &Options::drawing, drawings,
            "What was drawn: \"automatic\" (default), \"outlined\", \"filled\" or \"lines\" (a network of them)."),
      words("output", &Options::output, outputs, "What is delivered: \"both\" (default), \"outlines\" or \"lines\"."),
      words("construction", &Options::construction, constructions,
            "Pale construction lines: \"leave out\" (default) or \"keep\"."),
      {"straighten", straighten_of, set_straighten,
       "What is straightened within the tolerance: any of \"axes\", \"slants\", \"lines\", \"widths\", "
       "\"overshoots\";\n"
       "True (default) is all, False none."},
      plain("hold_tolerance", &Options::hold_tolerance, yes_no,
            "tolerance_px is held even where the pencil line is known less nearly; False (default): raised there."),
      plain("symmetry", &Options::symmetry, yes_no, "Shapes that are nearly their own mirror image become exactly so."),
      plain("deskew", &Options::deskew, yes_no, "Turns the outlines of a sheet that lay askew level."),
      plain("grid_px", &Options::grid_px, number, "px, 1e-6..1000: coordinates become whole multiples of it; 0: none."),
      words("direction", &Options::direction, directions,
            "Which way outer outlines run on screen: \"clockwise\" (default) or \"anticlockwise\"."),
      words("start", &Options::start, starts, "Where outlines start: \"corner\" (default) or \"extreme\"."),
      {"pins", pins_of, set_pins,
       "What whoever drew has decided: a list of dicts such as {\"pin\": \"corner\", \"at\": (120, 80)}; places in\n"
       "px of the scan, fields as in the list that README.md describes. They win over detection."},
      plain("dpi", &Options::dpi, number, "Pixels per inch of the scan, for sizes in mm; 0 (default): unknown."),
      plain("threads", &Options::threads, whole, "How many threads may work; the drawing never depends on it."),
  };
}

void change(Options* options, const py::kwargs& changes, const char* function) {
  static_assert(std::is_same_v<decltype(Options::threads), int>);
  const std::vector<Field> fields = all_fields();
  for (const auto& [key, value] : changes) {
    const std::string name = key.cast<std::string>();
    const auto field = std::find_if(fields.begin(), fields.end(), [&](const Field& f) { return f.name == name; });
    if (field == fields.end())
      throw py::type_error(std::string(function) + "() got an unexpected keyword argument '" + name + "'");
    field->set(options, value);
  }
  if (const auto error = check(*options)) raise(*error);
}

std::string repr(const Options& o) {
  const Options defaults;
  std::string text;
  for (const Field& f : all_fields()) {
    const py::object value = f.get(o);
    if (!value.equal(f.get(defaults)))
      text += (text.empty() ? "" : ", ") + std::string(f.name) + "=" + std::string(py::repr(value));
  }
  return "batten.Options(" + text + ")";
}

}  // namespace

Options options_from(const py::object& options, const py::kwargs& changes, const char* function) {
  Options out;
  if (!options.is_none()) out = cast<Options>(options, "options", "batten.Options or None");
  change(&out, changes, function);
  return out;
}

void bind_options(py::module_& m) {
  py::class_<Options> c(m, "Options",
                        "What is asked for. Every function that traces also takes these fields as keywords:\n"
                        "convert(pixels, tolerance_px=2) is convert(pixels, Options(tolerance_px=2)). Never changes.");
  c.def(py::init([](const py::kwargs& fields) { return options_from(py::none(), fields, "Options"); }));
  c.def(
      "replace",
      [](const Options& o, const py::kwargs& changes) { return options_from(py::cast(o), changes, "replace"); },
      "The same with the fields named changed.");
  for (const Field& f : all_fields()) c.def_property_readonly(f.name, f.get, f.doc);
  c.def("__eq__", [](const Options& a, const py::object& b) {
    if (!py::isinstance<Options>(b)) return false;
    const Options other = b.cast<Options>();
    const std::vector<Field> fields = all_fields();
    return std::all_of(fields.begin(), fields.end(), [&](const Field& f) { return f.get(a).equal(f.get(other)); });
  });
  c.def("__repr__", &repr);
}

}  // namespace batten::python
