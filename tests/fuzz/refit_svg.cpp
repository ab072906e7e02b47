// Any bytes as an SVG, whose paths are refitted.

#include "batten/files.h"
#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace batten;
  static const fuzz::MemoryFile file;
  const Result<RefittedSvg> out = refit_svg(file.path_of(bytes, size), 1);
  if (!out) return fuzz::expect_sentence(out.error()), 0;
  fuzz::expect(out->counts.nodes_after <= out->counts.nodes_before, "no path gets more nodes");
  fuzz::expect(out->counts.change_px <= 1.01, "the tolerance holds");
  if (out->counts.refitted == 0)
    fuzz::expect(out->bytes == std::string(bytes, bytes + size), "a file with nothing to do stays");
  return 0;
}
