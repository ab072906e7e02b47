// Reads and writes lists of pins as JSON; data/pins.schema.json describes them. Syntax by nlohmann-json (MIT).

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <fstream>
#include <optional>
#include <string_view>
#include <utility>

#include "batten/write.h"
#include "write_report.h"

namespace batten {
namespace {

constexpr int version = 1;
constexpr double mm_per_inch = 25.4;
// A thousand pins take some hundred kilobytes.
constexpr std::size_t most_bytes = 8 << 20;
constexpr int deepest = 8;  // brackets within brackets: the format needs five
constexpr std::size_t longest_note = 2000;

// Thrown and caught in this file: what is wrong with the list, as the end of a sentence.
struct Wrong {
  std::string what;
};

// Parsers go down into nested brackets before anyone can look at them.
bool is_too_deep(std::string_view text) {
  int depth = 0;
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted && c == '\\') {
      ++i;
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && (c == '[' || c == '{')) {
      if (++depth > deepest) return true;
    } else if (!quoted && (c == ']' || c == '}')) {
      --depth;
    }
  }
  return false;
}

template <class Enum>
Enum value_of(const std::string& word, Enum last, const std::string& field) {
  std::string words;
  for (int i = 0; i <= int(last); ++i) {
    if (word == name_of(Enum(i))) return Enum(i);
    words += (i ? ", " : "") + std::string(name_of(Enum(i)));
  }
  throw Wrong{"says " + field + " \"" + word.substr(0, 40) + "\": it is one of " + words + "."};
}

// One pin of the list, its fields taken one by one, so that those nobody asked for are noticed.
class Fields {
 public:
  Fields(const Json& json, double px_per_unit) : json_(json), scale_(px_per_unit) {
    if (!json.is_object()) throw Wrong{"is no object: write {\"pin\": \"corner\", \"at\": [120, 80]}, say."};
  }

  std::string word(const char* field) {
    const Json& v = needed(field);
    if (!v.is_string()) throw Wrong{std::string("needs a word under \"") + field + "\"."};
    return v.get<std::string>();
  }
  std::optional<std::string> word_if(const char* field) {
    if (!json_.contains(field)) return std::nullopt;
    return word(field);
  }
  double length_px(const char* field) { return scale_ * number(needed(field), field); }
  Point place(const char* field) { return place_of(needed(field), field); }
  std::vector<Point> places(const char* field) {
    const Json& v = needed(field);
    if (!v.is_array()) throw Wrong{std::string("needs a list of places under \"") + field + "\": [[x, y], ...]."};
    std::vector<Point> out;
    for (const Json& one : v) out.push_back(place_of(one, field));
    return out;
  }
  bool has(const char* field) const { return json_.contains(field); }
  void check_all_taken() const {
    for (const auto& [key, value] : json_.items())
      if (std::find(taken_.begin(), taken_.end(), key) == taken_.end())
        throw Wrong{"has \"" + key.substr(0, 40) + "\", which such a pin does not have."};
  }

 private:
  const Json& needed(const char* field) {
    taken_.push_back(field);
    const auto found = json_.find(field);
    if (found == json_.end()) throw Wrong{std::string("lacks \"") + field + "\"."};
    return *found;
  }
  static double number(const Json& v, const char* field) {
    if (!v.is_number() || !std::isfinite(v.get<double>()))
      throw Wrong{std::string("needs numbers under \"") + field + "\"."};
    return v.get<double>();
  }
  Point place_of(const Json& v, const char* field) const {
    if (!v.is_array() || v.size() != 2) throw Wrong{std::string("needs places as [x, y] under \"") + field + "\"."};
    return {scale_ * number(v[0], field), scale_ * number(v[1], field)};
  }

  const Json& json_;
  double scale_;
  std::vector<std::string> taken_;
};

void read_places(Fields* f, Pin* pin) {
  switch (pin->kind) {
    case Pin::Kind::straight:
    case Pin::Kind::close_gap:
    case Pin::Kind::keep_apart:
      pin->places = {f->place("from"), f->place("to")};
      return;
    case Pin::Kind::share_x:
    case Pin::Kind::share_y:
      pin->places = f->places("places");
      return;
    case Pin::Kind::equal:
      for (const char* pair : {"first", "second"}) {
        const std::vector<Point> two = f->places(pair);
        if (two.size() != 2) throw Wrong{std::string("needs two places under \"") + pair + "\"."};
        pin->places.insert(pin->places.end(), two.begin(), two.end());
      }
      return;
    default:
      pin->places = is_about_scan(pin->kind) ? f->places("region") : std::vector<Point>{f->place("at")};
  }
}

Pin read_pin(const Json& json, double px_per_unit) {
  Fields f(json, px_per_unit);
  Pin pin;
  pin.kind = value_of(f.word("pin"), Pin::Kind::keep_apart, "pin");
  read_places(&f, &pin);
  if (pin.kind == Pin::Kind::node)
    if (const auto turn = f.word_if("turn")) pin.turn = value_of(*turn, Pin::Turn::smooth, "turn");
  if (pin.kind == Pin::Kind::node || pin.kind == Pin::Kind::straight)
    if (const auto along = f.word_if("along")) pin.along = value_of(*along, Pin::Along::vertical, "along");
  if (pin.kind == Pin::Kind::drawn_as) pin.drawn = value_of(f.word("as"), Pin::Drawn::lines, "as");
  if (pin.kind == Pin::Kind::tolerance) pin.length_px = f.length_px("length");
  if (pin.kind == Pin::Kind::no_node && f.has("within")) pin.length_px = f.length_px("within");
  if (const auto note = f.word_if("note")) pin.note = note->substr(0, longest_note);
  f.check_all_taken();
  return pin;
}

double px_per_unit(const Json& list, double dpi, const std::string& name, std::optional<Error>* error) {
  if (!list.contains("unit")) return 1;
  const Json& unit = list["unit"];
  if (unit == "px") return 1;
  if (unit != "mm") throw Wrong{"has a \"unit\" that is neither \"px\" nor \"mm\"."};
  if (dpi > 0) return dpi / mm_per_inch;
  *error = Error{ErrorCode::resolution_unknown,
                 name + " is in mm, but the resolution of the scan is not known: give it, or pins in px.", name};
  return 1;
}

Error refused(const std::string& name, const std::string& what) {
  return {ErrorCode::bad_option, name + " " + what, name};
}

Result<std::vector<Pin>> pins_of(const Json& list, double dpi, const std::string& name) {
  std::vector<Pin> out;
  std::optional<Error> error;
  try {
    if (!list.is_object() || !list.contains("batten_pins") || !list.contains("pins"))
      throw Wrong{"is no list of pins: write {\"batten_pins\": 1, \"unit\": \"px\", \"pins\": [...]}."};
    if (list["batten_pins"] != version)
      throw Wrong{"was written by a later version of batten: \"batten_pins\" is not 1."};
    for (const auto& [key, value] : list.items())
      if (key != "batten_pins" && key != "unit" && key != "pins" && key != "scan")
        throw Wrong{"has \"" + key.substr(0, 40) + "\", which a list of pins does not have."};
    if (!list["pins"].is_array()) throw Wrong{"needs a list under \"pins\"."};
    const double scale = px_per_unit(list, dpi, name, &error);
    if (error) return *error;
    for (const Json& json : list["pins"]) {
      try {
        out.push_back(read_pin(json, scale));
      } catch (const Wrong& wrong) {
        return refused(name, "cannot be used: pin " + std::to_string(out.size() + 1) + " " + wrong.what);
      }
    }
  } catch (const Wrong& wrong) {
    return refused(name, wrong.what);
  }
  Options options;
  options.pins = out;
  if (auto wrong = check(options)) return refused(name, "cannot be used: " + wrong->message);
  return out;
}

Json json_of(Point p) { return Json::array({p.x, p.y}); }
Json json_of(const std::vector<Point>& places, std::size_t first, std::size_t count) {
  Json out = Json::array();
  for (std::size_t i = first; i < first + count; ++i) out.push_back(json_of(places[i]));
  return out;
}

}  // namespace

Json pin_json(const Pin& pin) {
  Json out = {{"pin", name_of(pin.kind)}};
  const std::vector<Point>& p = pin.places;
  switch (pin.kind) {
    case Pin::Kind::straight:
    case Pin::Kind::close_gap:
    case Pin::Kind::keep_apart:
      out["from"] = json_of(p[0]), out["to"] = json_of(p[1]);
      break;
    case Pin::Kind::share_x:
    case Pin::Kind::share_y:
      out["places"] = json_of(p, 0, p.size());
      break;
    case Pin::Kind::equal:
      out["first"] = json_of(p, 0, 2), out["second"] = json_of(p, 2, 2);
      break;
    default:
      if (is_about_scan(pin.kind))
        out["region"] = json_of(p, 0, p.size());
      else
        out["at"] = json_of(p[0]);
  }
  if (pin.kind == Pin::Kind::node && pin.turn != Pin::Turn::any) out["turn"] = name_of(pin.turn);
  const bool has_along = pin.kind == Pin::Kind::node || pin.kind == Pin::Kind::straight;
  if (has_along && pin.along != Pin::Along::any) out["along"] = name_of(pin.along);
  if (pin.kind == Pin::Kind::drawn_as) out["as"] = name_of(pin.drawn);
  if (pin.kind == Pin::Kind::tolerance) out["length"] = pin.length_px;
  if (pin.kind == Pin::Kind::no_node && pin.length_px > 0) out["within"] = pin.length_px;
  if (!pin.note.empty()) out["note"] = utf8(pin.note);
  return out;
}

Result<std::vector<Pin>> pins_from_json(std::string_view text, double dpi, const std::string& name) {
  if (text.size() > most_bytes) return refused(name, "is larger than 8 MB: a list of pins takes a few kilobytes.");
  if (is_too_deep(text)) return refused(name, "is no list of pins: it has brackets nested over 8 deep.");
  try {
    const Json list = Json::parse(text, nullptr, false);
    if (list.is_discarded())
      return refused(name, "is no JSON: look for a missing bracket or comma, and for numbers such as NaN.");
    return pins_of(list, dpi, name);
  } catch (const std::bad_alloc&) {
    return Error{ErrorCode::out_of_memory, name + " is too large for the memory there is.", name};
  } catch (const std::exception&) {  // a number beyond all doubles, a key that is no UTF-8
    return refused(name, "is no list of pins: it has a number or a text that cannot be read.");
  }
}

Result<std::vector<Pin>> read_pins(const std::string& path, double dpi) {
  std::ifstream in(path, std::ios::binary);
  if (!in) return Error{ErrorCode::file_not_found, path + " cannot be read: check the name and its permissions.", path};
  std::string text(most_bytes + 1, '\0');
  in.read(text.data(), std::streamsize(text.size()));
  if (in.bad() || (in.gcount() == 0 && !in.eof()))
    return Error{ErrorCode::file_not_found, path + " cannot be read: give a file.", path};
  text.resize(std::size_t(in.gcount()));
  return pins_from_json(text, dpi, path);
}

std::string to_json(const std::vector<Pin>& pins) {
  std::string text = "{\n  \"batten_pins\": " + std::to_string(version) + ",\n  \"unit\": \"px\",\n  \"pins\": [";
  for (std::size_t i = 0; i < pins.size(); ++i)
    text += (i ? ",\n    " : "\n    ") + pin_json(pins[i]).dump(-1, ' ', false, Json::error_handler_t::replace);
  return text + (pins.empty() ? "]\n}\n" : "\n  ]\n}\n");
}

}  // namespace batten
