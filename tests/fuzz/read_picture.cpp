// Any bytes as a picture: all codecs, told by the first bytes.

#include "batten/files.h"
#include "fuzz.h"

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* bytes, std::size_t size) {
  using namespace batten;
  static const fuzz::MemoryFile file;
  // A quarter of a megapixel: what is larger takes time and finds nothing else.
  const Result<Picture> picture = read_picture(file.path_of(bytes, size), {.max_megapixels = 0.25});
  if (!picture) return fuzz::expect_sentence(picture.error()), 0;
  fuzz::expect(picture->width > 0 && picture->height > 0, "a picture has pixels");
  fuzz::expect(picture->bytes.size() == std::size_t(picture->stride_bytes) * std::size_t(picture->height),
               "all of them");
  fuzz::expect(std::isfinite(picture->dpi) && picture->dpi >= 0 && picture->pages >= 1, "facts make sense");
  return 0;
}
