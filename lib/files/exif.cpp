#include "exif.h"

#include <libexif/exif-data.h>

#include <algorithm>
#include <limits>
#include <memory>
#include <vector>

namespace batten {
namespace {

constexpr std::uint8_t signature[] = {'E', 'x', 'i', 'f', 0, 0};

struct Unref {
  void operator()(ExifData* data) const { exif_data_unref(data); }
};

int short_of(ExifData* data, ExifTag tag, int otherwise) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], tag);
  if (!entry || entry->format != EXIF_FORMAT_SHORT || entry->size < 2) return otherwise;
  return exif_get_short(entry->data, exif_data_get_byte_order(data));
}

double rational_of(ExifData* data, ExifTag tag) {
  const ExifEntry* entry = exif_content_get_entry(data->ifd[EXIF_IFD_0], tag);
  if (!entry || entry->format != EXIF_FORMAT_RATIONAL || entry->size < 8) return 0;
  const ExifRational value = exif_get_rational(entry->data, exif_data_get_byte_order(data));
  return value.denominator ? static_cast<double>(value.numerator) / value.denominator : 0;
}

}  // namespace

ExifFacts read_exif(Bytes block) {
  std::vector<std::uint8_t> whole(block.begin(), block.end());
  if (whole.size() < 6 || !std::equal(std::begin(signature), std::end(signature), whole.begin()))
    whole.insert(whole.begin(), std::begin(signature), std::end(signature));
  if (whole.size() > std::numeric_limits<unsigned>::max()) return {};
  const std::unique_ptr<ExifData, Unref> data(
      exif_data_new_from_data(whole.data(), static_cast<unsigned>(whole.size())));
  if (!data) return {};

  ExifFacts facts;
  const int orientation = short_of(data.get(), EXIF_TAG_ORIENTATION, 1);
  if (orientation >= 1 && orientation <= 8) facts.orientation = orientation;
  constexpr int unit_inch = 2, unit_cm = 3;
  const int unit = short_of(data.get(), EXIF_TAG_RESOLUTION_UNIT, unit_inch);
  const double per_inch = unit == unit_inch ? 1 : unit == unit_cm ? 2.54 : 0;
  facts.dpi = dpi_of(per_inch * rational_of(data.get(), EXIF_TAG_X_RESOLUTION),
                     per_inch * rational_of(data.get(), EXIF_TAG_Y_RESOLUTION));
  // EXIF 2.3, 4.6.4 A, XResolution: "When the image resolution is unknown, 72 [dpi] is designated."
  if (facts.dpi == 72) facts.dpi = 0;
  return facts;
}

}  // namespace batten
