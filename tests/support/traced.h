#pragma once
// A small scan, read as a file and traced: what the tests of proofs begin with.

#include <utility>

#include "batten/files.h"
#include "pictures.h"
#include "scratch.h"

namespace batten::testing {

struct Traced {
  Picture picture;
  Conversion conversion;
};

inline Traced traced(const Raster& raster = ring_and_disc(), double dpi = 300) {
  const Scratch scratch;
  Picture picture = *read_picture(scratch.put("scan.png", png(raster, {.dpi = dpi})));
  Conversion conversion = *convert(picture.view(), {.dpi = picture.dpi});
  return {std::move(picture), std::move(conversion)};
}

}  // namespace batten::testing
