// A conversion of any numbers, written in every format: JSON that can be read, and no number that is none.

#include <nlohmann/json.hpp>
#include <string>

#include "batten/files.h"
#include "batten/write.h"
#include "fuzz.h"

namespace {

using namespace batten;

Outline outline_of(fuzz::Input& in) {
  Outline o;
  const std::uint8_t kind = in.byte();
  o.closed = kind & 1;
  o.kind = o.closed ? Kind::filled : Kind::line;
  o.parent = int(kind >> 2 & 7) - 1;
  o.sigma_px = in.number(), o.band_px = in.number();
  for (int i = in.below(6); i >= 0; --i) {
    Node n;
    n.handle_before = in.point(), n.at = in.point(), n.handle_after = in.point();
    n.reason = Reason(in.byte() % reason_count);
    o.nodes.push_back(n);
  }
  return o;
}

void expect_numbers(const std::string& text) {
  for (const char* word : {"\"nan", "\"-nan", "\"inf", "\"-inf", " nan", " inf", " -inf", " -nan"})
    fuzz::expect(text.find(word) == text.npos, "what is written is a number");
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  fuzz::Input in(bytes, size);
  Conversion c;
  c.drawing.width_px = in.number(), c.drawing.height_px = in.number(), c.drawing.dpi = in.number();
  c.report.max_px = in.number(), c.report.rms_px = in.number(), c.report.tolerance_px = in.number();
  for (int i = in.below(4); i > 0; --i) {
    c.drawing.outlines.push_back(outline_of(in));
    OutlineReport r;
    r.max_px = in.number(), r.rms_px = in.number(), r.worst = in.point(), r.limit_px = in.number();
    for (int k = in.below(12); k > 0; --k) r.judged.push_back(in.point());
    c.report.outlines.push_back(std::move(r));
  }
  const int count = int(c.drawing.outlines.size());
  if (in.byte() & 1) c.drawing.guides.push_back({in.number(), in.number()});
  c.report.findings.push_back({Finding::What(in.byte() % 20), in.below(count + 1) - 1, in.point(), in.number(), "x"});
  std::string name;
  while (!in.empty() && name.size() < 40) name += char(in.byte());

  const auto json = nlohmann::json::parse(to_json(c, {name, c.report.max_px}), nullptr, false);
  fuzz::expect(!json.is_discarded(), "a report is JSON");
  expect_numbers(to_svg(c.drawing, {"", true}));
  Sweep sweep;
  sweep.conversions = {c, c}, sweep.seconds = {in.number(), 1};
  expect_numbers(to_csv(sweep));
  expect_numbers(to_plot_svg(sweep));
  if (const auto eps = to_eps(c.drawing); !eps) fuzz::expect_sentence(eps.error());
  if (const auto sheet = arrange_glyphs(c.drawing))
    for (const FolderFile& file : to_ufo(c.drawing, *sheet)) expect_numbers(file.bytes);
  return 0;
}
