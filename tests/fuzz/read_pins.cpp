// Any bytes as a list of pins; what is read is written and read again, and put on a small drawing.

#include <string_view>

#include "batten/files.h"
#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace batten;
  const std::string_view text(reinterpret_cast<const char*>(bytes), size);
  Result<std::vector<Pin>> pins = pins_from_json(text, 300);
  if (!pins) return fuzz::expect_sentence(pins.error()), 0;
  Options options;
  options.pins = *pins;
  fuzz::expect(!check(options), "pins that are read can be used");
  const Result<std::vector<Pin>> again = pins_from_json(to_json(*pins));
  fuzz::expect(again.ok() && again->size() == pins->size(), "what is written is read");
  if (pins->size() > 6) return 0;  // a few hundred executions a second
  const std::vector<std::vector<Point>> box = {{{10, 10}, {60, 12}, {58, 50}, {12, 48}}};
  const Result<Conversion> made = fit(box, options);
  if (!made) return fuzz::expect_sentence(made.error()), 0;
  fuzz::expect_sound(*made);
  fuzz::expect(made->report.pins.size() == pins->size(), "an outcome for each pin");
  return 0;
}
