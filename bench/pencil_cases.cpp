// Draws one character as pencil in every hand and writes the pictures, which show what the tests feed the library.
//
//   pencil_cases FOLDER [FONT CHARACTER [HEIGHT_PX]]
#include <cstdio>
#include <cstdlib>
#include <fstream>
#include <string>

#include "support/font_outline.h"
#include "support/pencil.h"
#include "support/png.h"

int main(int argc, char** argv) {
  using namespace batten::support;
  if (argc < 2) return std::fprintf(stderr, "Give a folder: pencil_cases FOLDER [FONT CHARACTER [HEIGHT_PX]]\n"), 2;
  const std::string name = argc > 2 ? argv[2] : "GoudyBookletter1911.otf", file = font_file(name);
  const char32_t character = argc > 3 ? char32_t(argv[3][0]) : U'a';
  const auto outlines = glyph(file, character, argc > 4 ? std::atof(argv[4]) : 300, 40);
  if (outlines.empty()) return std::fprintf(stderr, "No such font or character: %s\n", name.c_str()), 1;
  const Extent size = extent_of(outlines, 40);
  for (const Hand hand : {Hand::clean, Hand::single, Hand::multistroke, Hand::loose, Hand::shaded, Hand::hatched})
    for (const bool photo : {false, true}) {
      if (photo && hand == Hand::clean) continue;
      const GrayImage image =
          pencil_drawing(size.width, size.height, outlines, hand, photo, Random("pencil_cases", name, character));
      const std::string path = std::string(argv[1]) + "/" + name_of(hand) + (photo ? "-photo" : "") + ".png";
      std::ofstream(path, std::ios::binary) << png_bytes(image, 300);
      std::printf("%s\n", path.c_str());
    }
  return 0;
}
