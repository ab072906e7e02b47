#include "support/jpeg.h"

#include <cstdio>
#include <cstdlib>
// jpeglib.h needs cstdio.
#include <jpeglib.h>

namespace batten::support {
GrayImage through_jpeg(const GrayImage& image, int quality) {
  jpeg_error_mgr errors;
  GrayImage decoded = image;
  const auto row_of_decoded = [&](JDIMENSION y) {
    return decoded.pixels.data() + std::size_t(y) * std::size_t(decoded.width);
  };

  jpeg_compress_struct encoder;
  encoder.err = jpeg_std_error(&errors);
  jpeg_create_compress(&encoder);
  unsigned char* memory = nullptr;
  unsigned long size = 0;
  jpeg_mem_dest(&encoder, &memory, &size);
  encoder.image_width = JDIMENSION(image.width);
  encoder.image_height = JDIMENSION(image.height);
  encoder.input_components = 1;
  encoder.in_color_space = JCS_GRAYSCALE;
  jpeg_set_defaults(&encoder);
  jpeg_set_quality(&encoder, quality, TRUE);
  jpeg_start_compress(&encoder, TRUE);
  while (encoder.next_scanline < encoder.image_height) {
    JSAMPROW row = row_of_decoded(encoder.next_scanline);  // still the picture itself
    jpeg_write_scanlines(&encoder, &row, 1);
  }
  jpeg_finish_compress(&encoder);
  jpeg_destroy_compress(&encoder);

  jpeg_decompress_struct decoder;
  decoder.err = jpeg_std_error(&errors);
  jpeg_create_decompress(&decoder);
  jpeg_mem_src(&decoder, memory, size);
  jpeg_read_header(&decoder, TRUE);
  jpeg_start_decompress(&decoder);
  while (decoder.output_scanline < decoder.output_height) {
    JSAMPROW row = row_of_decoded(decoder.output_scanline);
    jpeg_read_scanlines(&decoder, &row, 1);
  }
  jpeg_finish_decompress(&decoder);
  jpeg_destroy_decompress(&decoder);
  std::free(memory);
  return decoded;
}

}  // namespace batten::support
