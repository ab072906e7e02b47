#include "ink/cover_masked.h"

#include <algorithm>
#include <cmath>

#include "base/statistics.h"

namespace batten {
namespace {

// Cells wider than pencil lines, and small beside any light or shade of the sheet.
constexpr int least_cell_px = 16;
constexpr double cells_along_side = 100;
// Of a cell's pixels; fewer might all lie on a line.
constexpr double enough = 0.125;
constexpr double bright_part = 0.75;  // lines cover less than a quarter of most cells

struct Samples {
  std::vector<float> red, green, blue;
};

// Each cell without a level takes the mean of those beside it that have one, from the rim of a hole inwards.
void fill_holes(Plane<std::uint8_t> known, GroundColours* ground) {
  const int width = known.width, height = known.height;
  for (bool changed = true; changed;) {
    changed = false;
    Plane<std::uint8_t> next = known;
    for (int y = 0; y < height; ++y)
      for (int x = 0; x < width; ++x) {
        if (known.at(x, y)) continue;
        int count = 0;
        float red = 0, green = 0, blue = 0;
        for (int v = std::max(0, y - 1); v <= std::min(height - 1, y + 1); ++v)
          for (int u = std::max(0, x - 1); u <= std::min(width - 1, x + 1); ++u)
            if (known.at(u, v))
              ++count, red += ground->red.at(u, v), green += ground->green.at(u, v), blue += ground->blue.at(u, v);
        if (count == 0) continue;
        const float share = 1.f / float(count);
        ground->red.at(x, y) = share * red, ground->green.at(x, y) = share * green;
        ground->blue.at(x, y) = share * blue;
        next.at(x, y) = 1, changed = true;
      }
    known = std::move(next);
  }
}

// Of the two cells whose middles a pixel lies between: the first, and how much of the second.
struct Between {
  int first = 0, second = 0;
  float share = 0;
};
Between between(int px, int cell_px, int cells) {
  const float at = std::clamp((float(px) + 0.5f) / float(cell_px) - 0.5f, 0.f, float(cells - 1));
  const int first = int(at);
  return {first, std::min(first + 1, cells - 1), at - float(first)};
}

}  // namespace

GroundColours ground_around_mask(const ImageView& image, const Layout& layout, const std::stop_token& stop) {
  GroundColours out;
  out.cell_px = std::max(least_cell_px, int(std::max(image.width, image.height) / cells_along_side));
  const int columns = (image.width + out.cell_px - 1) / out.cell_px,
            rows = (image.height + out.cell_px - 1) / out.cell_px;
  out.red = out.green = out.blue = Plane<float>(columns, rows, 1.f);
  Plane<std::uint8_t> known(columns, rows);
  Row row(image.width);
  std::vector<Samples> cells(static_cast<std::size_t>(columns));
  for (int cy = 0; cy < rows && !stop.stop_requested(); ++cy) {
    for (Samples& cell : cells) cell.red.clear(), cell.green.clear(), cell.blue.clear();
    for (int y = cy * out.cell_px; y < std::min(image.height, (cy + 1) * out.cell_px); ++y) {
      read_row(image, layout, y, &row);
      const std::uint8_t* read = mask_row(image, y);
      for (int x = 0; x < image.width; ++x) {
        if (!read[x]) continue;
        Samples& cell = cells[std::size_t(x / out.cell_px)];
        cell.red.push_back(row.red[std::size_t(x)]), cell.green.push_back(row.green[std::size_t(x)]);
        cell.blue.push_back(row.blue[std::size_t(x)]);
      }
    }
    for (int cx = 0; cx < columns; ++cx) {
      Samples& cell = cells[std::size_t(cx)];
      if (double(cell.red.size()) < enough * out.cell_px * out.cell_px) continue;
      out.red.at(cx, cy) = quantile(std::move(cell.red), bright_part);
      out.green.at(cx, cy) = quantile(std::move(cell.green), bright_part);
      out.blue.at(cx, cy) = quantile(std::move(cell.blue), bright_part);
      known.at(cx, cy) = 1;
    }
  }
  if (!stop.stop_requested()) fill_holes(std::move(known), &out);
  return out;
}

void cover_masked(const ImageView& image, const GroundColours& ground, int y, Row* row) {
  const std::uint8_t* read = mask_row(image, y);
  const Between v = between(y, ground.cell_px, ground.red.height);
  for (int x = 0; x < image.width; ++x) {
    if (read[x]) continue;
    const Between u = between(x, ground.cell_px, ground.red.width);
    const auto level = [&](const Plane<float>& plane) {
      const float above = plane.at(u.first, v.first) * (1 - u.share) + plane.at(u.second, v.first) * u.share,
                  below = plane.at(u.first, v.second) * (1 - u.share) + plane.at(u.second, v.second) * u.share;
      return above * (1 - v.share) + below * v.share;
    };
    row->red[std::size_t(x)] = level(ground.red), row->green[std::size_t(x)] = level(ground.green);
    row->blue[std::size_t(x)] = level(ground.blue);
  }
}

}  // namespace batten
