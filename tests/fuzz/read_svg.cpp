// Any bytes as an SVG, laid on a scan and compared with itself.

#include "batten/files.h"
#include "batten/measure.h"
#include "batten/write.h"
#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace batten;
  static const fuzz::MemoryFile file;
  Result<SvgDrawing> svg = read_outlines(file.path_of(bytes, size));
  if (!svg) return fuzz::expect_sentence(svg.error()), 0;
  fuzz::expect(!svg->drawing.outlines.empty(), "an SVG has outlines");
  std::size_t nodes = 0;
  for (const Outline& o : svg->drawing.outlines) {
    nodes += o.nodes.size();
    for (const Node& n : o.nodes)
      fuzz::expect(fuzz::is_finite(n.at) && fuzz::is_finite(n.handle_before) && fuzz::is_finite(n.handle_after),
                   "coordinates are finite");
  }
  const std::string text = to_svg(svg->drawing);
  fuzz::expect(text.find("nan") == text.npos && text.find("inf") == text.npos, "numbers are written");
  place_on_scan(*svg, 640, 480, 96);
  if (nodes < 30) (void)compare(svg->drawing, svg->drawing);
  return 0;
}
