// Letters of a sheet as a font's source: glyphs SCAN FOLDER.ufo NAME...
#include <batten/files.h>

#include <iostream>

int main(int count, char** arguments) {
  if (count < 3) return std::cerr << "glyphs SCAN FOLDER.ufo NAME...\n", 2;
  const auto scan = batten::read_picture(arguments[1]);
  if (!scan) return std::cerr << scan.error().message << '\n', 1;
  const auto traced = batten::convert(scan->view(), {.tolerance_px = 1.0, .dpi = scan->dpi});
  if (!traced) return std::cerr << traced.error().message << '\n', 1;

  //! [glyphs]
  batten::GlyphOptions options;
  options.names.assign(arguments + 3, arguments + count);  // in reading order; none: shape-1, shape-2 ...
  options.units_per_em = 2048;
  const batten::Result<batten::GlyphSheet> sheet = batten::arrange_glyphs(traced->drawing, options);
  if (!sheet) return std::cerr << sheet.error().message << '\n', 1;
  for (const batten::Glyph& glyph : sheet->glyphs)
    std::cout << glyph.name << " is set in " << glyph.advance_px * sheet->units_per_px << " units\n";
  //! [glyphs]

  //! [ufo]
  const auto files = batten::to_ufo(traced->drawing, *sheet, {.family_name = "My Letters"});
  const auto failed = batten::write_folder(arguments[2], files);
  if (failed) return std::cerr << failed->message << '\n', 1;
  //! [ufo]
}
