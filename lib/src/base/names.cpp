// Gives the words that reports, logs and messages use.

#include <cstddef>

#include "batten/convert.h"
#include "batten/error.h"
#include "batten/geometry.h"

namespace batten {
namespace {

// Word `value` of a list in the order of the enumerators, of which `last` is the last: a list that lacks one does not
// compile.
template <auto last, std::size_t count, class Enum>
const char* word_for(const char* const (&words)[count], Enum value) {
  static_assert(count == std::size_t(last) + 1, "one word for each enumerator");
  return std::size_t(value) < count ? words[std::size_t(value)] : "unknown";
}

constexpr const char* reasons[] = {"corner", "left", "right", "top", "bottom", "straight end", "added", "line end"};
constexpr const char* kinds[] = {"outlined", "filled", "line"};
constexpr const char* insides[] = {"unknown", "paper", "hatched", "shaded", "solid", "coloured"};
constexpr const char* stages[] = {"load",    "ink",       "guides",   "patches", "loops",      "locate",
                                  "corners", "structure", "minimise", "refine",  "straighten", "finish"};
constexpr const char* findings[] = {"tolerance exceeded",
                                    "tolerance below uncertainty",
                                    "fallback",
                                    "outline crosses itself",
                                    "refinement stopped early",
                                    "open lines left out",
                                    "dropped speck",
                                    "guide removed",
                                    "hatching removed",
                                    "turned over",
                                    "not drawn",
                                    "no outline",
                                    "extreme without node",
                                    "handle off axis",
                                    "kink",
                                    "needless node",
                                    "straight with handles",
                                    "nearly on axis",
                                    "placed",
                                    "pages left out",
                                    "outline left out",
                                    "left as it was",
                                    "closed by a straight",
                                    "pin not held",
                                    "pins contradict one another",
                                    "read in a copy",
                                    "tolerance widened"};
constexpr const char* arguments[] = {"nodes that have to be there", "degree of a cubic"};
constexpr const char* pins[] = {"node",    "no node",        "corner",         "not a corner", "straight",  "share x",
                                "share y", "equal distance", "passes through", "start",        "ignore",    "drawn as",
                                "ink",     "paper",          "tolerance",      "close gap",    "keep apart"};
constexpr const char* turns[] = {"any", "corner", "smooth"};
constexpr const char* directions[] = {"any", "level", "vertical"};
constexpr const char* drawn_as[] = {"shaded", "outlined", "lines"};
constexpr const char* edits[] = {"level", "vertical", "slant", "line", "width", "overshoot", "symmetry"};

}  // namespace

const char* name_of(Reason reason) { return word_for<Reason::line_end>(reasons, reason); }
const char* name_of(Kind kind) { return word_for<Kind::line>(kinds, kind); }
const char* name_of(Inside inside) { return word_for<Inside::coloured>(insides, inside); }
const char* name_of(Stage stage) { return word_for<Stage::finish>(stages, stage); }
const char* name_of(Finding::What what) { return word_for<Finding::What::tolerance_widened>(findings, what); }
const char* name_of(LowerBound::Argument argument) {
  return word_for<LowerBound::Argument::degree>(arguments, argument);
}
const char* name_of(Edit::Kind kind) { return word_for<Edit::Kind::symmetry>(edits, kind); }

const char* name_of(Pin::Kind kind) {
  static_assert(int(Pin::Kind::keep_apart) + 1 == Pin::kind_count);
  return word_for<Pin::Kind::keep_apart>(pins, kind);
}
const char* name_of(Pin::Turn turn) { return word_for<Pin::Turn::smooth>(turns, turn); }
const char* name_of(Pin::Along along) { return word_for<Pin::Along::vertical>(directions, along); }
const char* name_of(Pin::Drawn drawn) { return word_for<Pin::Drawn::lines>(drawn_as, drawn); }
bool is_about_scan(Pin::Kind kind) { return kind > Pin::Kind::start; }

const char* name_of(ErrorCode code) {
  switch (code) {  // the numbers have gaps; the compiler warns of one that is missing here
    case ErrorCode::ok:
      return "ok";
    case ErrorCode::bad_option:
      return "bad option";
    case ErrorCode::cancelled:
      return "cancelled";
    case ErrorCode::out_of_memory:
      return "out of memory";
    case ErrorCode::internal:
      return "internal";
    case ErrorCode::bad_polyline:
      return "bad polyline";
    case ErrorCode::file_not_found:
      return "file not found";
    case ErrorCode::not_an_image:
      return "not an image";
    case ErrorCode::image_too_large:
      return "image too large";
    case ErrorCode::image_truncated:
      return "image truncated";
    case ErrorCode::resolution_unknown:
      return "resolution unknown";
    case ErrorCode::bad_pixels:
      return "bad pixels";
    case ErrorCode::not_a_drawing:
      return "not a drawing";
    case ErrorCode::no_ink_found:
      return "no ink found";
    case ErrorCode::names_mismatch:
      return "names mismatch";
    case ErrorCode::cannot_write:
      return "cannot write";
  }
  return "unknown";
}

Level level_of(Finding::What what) {
  return what < Finding::What::dropped_speck || what == Finding::What::not_drawn || what == Finding::What::no_outline ||
                 what == Finding::What::pages_left_out || what == Finding::What::left_out ||
                 what == Finding::What::pin_not_held || what == Finding::What::pins_contradict
             ? Level::warning
             : Level::info;
}

}  // namespace batten
