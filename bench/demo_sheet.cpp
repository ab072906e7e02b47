// Draws the demo sheet again, bit for bit:
//
//   demo_sheet FOLDER      writes FOLDER/quombe-sheet.png and FOLDER/quombe-truth.svg (what the pencil aimed at)
#include <cstdio>
#include <fstream>
#include <string>

#include "batten/write.h"
#include "support/demo.h"
#include "support/png.h"

int main(int argc, char** argv) {
  using namespace batten::support;
  if (argc != 2) return std::fprintf(stderr, "Give the folder to write to: demo_sheet FOLDER\n"), 2;
  const Demo demo = demo_sheet();
  if (demo.truth.outlines.empty())
    return std::fprintf(stderr, "GoudyBookletter1911.otf is missing: apt-get install fonts-goudybookletter\n"), 1;
  const std::string folder = argv[1];
  std::ofstream(folder + "/quombe-sheet.png", std::ios::binary) << png_bytes(demo.image, demo.dpi);
  std::ofstream(folder + "/quombe-truth.svg", std::ios::binary) << batten::to_svg(demo.truth);
  std::printf("%s/quombe-sheet.png\n%s/quombe-truth.svg\n", folder.c_str(), folder.c_str());
  return 0;
}
