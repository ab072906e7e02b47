// Paints the picture of README.md: part of the demo sheet with its outlines, nodes and handles.
//   readme_picture SHEET.png OVERLAY.png

#include <cstdio>
#include <cstring>

#include "batten/files.h"

namespace {

using namespace batten;

// The part that is shown, px of the sheet: whole letters, at a size that a page shows well.
constexpr int left = 748, top = 100, width = 476, height = 320;

Picture part_of(const Picture& whole) {
  Picture part = whole;
  const std::ptrdiff_t pixel = whole.stride_bytes / whole.width;
  part.width = width, part.height = height, part.stride_bytes = width * pixel;
  part.bytes.resize(static_cast<std::size_t>(part.stride_bytes * height));
  for (int y = 0; y < height; ++y)
    std::memcpy(part.bytes.data() + y * part.stride_bytes,
                whole.bytes.data() + (top + y) * whole.stride_bytes + left * pixel,
                static_cast<std::size_t>(part.stride_bytes));
  return part;
}

int fail(const Error& error) {
  std::fprintf(stderr, "%s\n", error.message.c_str());
  return 1;
}

}  // namespace

int main(int count, char** arguments) {
  if (count != 3) return fail({ErrorCode::bad_option, "readme_picture SHEET.png OVERLAY.png", ""});
  const Result<Picture> sheet = read_picture(arguments[1]);
  if (!sheet) return fail(sheet.error());
  if (sheet->width < left + width || sheet->height < top + height)
    return fail({ErrorCode::bad_option, "The sheet is smaller than the part to show.", ""});
  Options options;
  options.tolerance_px.reset();
  options.dpi = sheet->dpi;
  Result<Conversion> traced = convert(sheet->view(), options);
  if (!traced) return fail(traced.error());
  translate(*traced, {-left, -top});
  const Result<std::string> png = draw_overlay(part_of(*sheet), traced->drawing, 2);
  if (!png) return fail(png.error());
  const std::optional<Error> error = write_file(arguments[2], *png);
  return error ? fail(*error) : 0;
}
