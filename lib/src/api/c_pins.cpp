// The C interface: lists of pins and what became of them.

#include "api/c_interface.h"
#include "batten/batten_pins.h"

namespace {

static_assert(int(batten::Pin::Kind::keep_apart) == BATTEN_PIN_KEEP_APART &&
              int(batten::Pin::Kind::start) == BATTEN_PIN_START &&
              int(batten::Pin::Turn::smooth) == BATTEN_TURN_SMOOTH &&
              int(batten::Pin::Along::vertical) == BATTEN_ALONG_VERTICAL &&
              int(batten::Pin::Drawn::lines) == BATTEN_DRAWN_LINES);

// The least that a caller's struct must hold is its first version. Structs grow at the end only.
constexpr std::size_t first_pin_size = offsetof(batten_pin, places) + sizeof(std::size_t);

const batten::PinOutcome* outcome_of(const batten_drawing* drawing, std::size_t pin) {
  if (!drawing || pin >= drawing->conversion.report.pins.size()) return nullptr;
  return &drawing->conversion.report.pins[pin];
}

}  // namespace

batten_pins* batten::handle_for(std::vector<Pin> pins) { return new batten_pins{std::move(pins)}; }

extern "C" {

batten_pins* batten_pins_new(void) {
  try {
    return new batten_pins;
  } catch (...) {
    return nullptr;
  }
}

int32_t batten_pins_add(batten_pins* pins, const batten_pin* pin, batten_error* error) {
  if (!pins || !pin || pin->struct_size < first_pin_size || (!pin->xy && pin->places > 0))
    return batten::tell(
        batten::c::bad("A list and a batten_pin with its struct_size and places set are needed.", "pin"), error);
  try {
    const batten_pin p = batten::c::taken(pin, batten_pin{});
    batten::Options options;
    batten::Pin& ours = options.pins.emplace_back();
    ours.kind = batten::Pin::Kind(p.kind), ours.turn = batten::Pin::Turn(p.turn);
    ours.along = batten::Pin::Along(p.along), ours.drawn = batten::Pin::Drawn(p.drawn);
    ours.length_px = p.length_px;
    for (std::size_t i = 0; i < p.places; ++i) ours.places.push_back({p.xy[2 * i], p.xy[2 * i + 1]});
    if (const auto wrong = batten::check(options)) return batten::tell(*wrong, error);
    pins->pins.push_back(std::move(ours));
    return BATTEN_OK;
  } catch (...) {
    return batten::tell({batten::ErrorCode::out_of_memory, "There is not enough memory for another pin.", "pin"},
                        error);
  }
}

size_t batten_pins_count(const batten_pins* pins) { return pins ? pins->pins.size() : 0; }
void batten_pins_free(batten_pins* pins) { delete pins; }

int batten_pin_outcome_at(const batten_drawing* drawing, size_t pin, batten_pin_outcome* info) {
  const batten::PinOutcome* o = outcome_of(drawing, pin);
  if (!o) return 0;
  batten_pin_outcome i{};
  i.held = o->held, i.outline = o->outline, i.distance_px = o->distance_px, i.off_line_px = o->off_line_px;
  i.x = o->place.x, i.y = o->place.y, i.against = o->against.size(), i.text = o->text.c_str();
  return batten::c::given(i, info);
}

int batten_pin_against(const batten_drawing* drawing, size_t pin, size_t which, size_t* other) {
  const batten::PinOutcome* o = outcome_of(drawing, pin);
  if (!o || !other || which >= o->against.size()) return 0;
  *other = o->against[which];
  return 1;
}

}  // extern "C"
