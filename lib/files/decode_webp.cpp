// Reads WebP by libwebp (https://developers.google.com/speed/webp/docs/riff_container).

#include <webp/decode.h>
#include <webp/demux.h>

#include <memory>

#include "decoders.h"
#include "exif.h"

namespace batten {
namespace {

struct DeleteDemuxer {
  void operator()(WebPDemuxer* demuxer) const { WebPDemuxDelete(demuxer); }
};

// How many bytes the container says it has, with its own head of eight bytes.
std::uint64_t promised_bytes(Bytes bytes) {
  std::uint64_t size = 0;
  for (int i = 3; i >= 0; --i) size = size << 8 | bytes[4 + i];
  return size + 8;
}

ExifFacts facts_of(Bytes bytes) {
  const WebPData data{bytes.data(), bytes.size()};
  const std::unique_ptr<WebPDemuxer, DeleteDemuxer> demuxer(WebPDemux(&data));
  WebPChunkIterator chunk;
  if (!demuxer || !WebPDemuxGetChunk(demuxer.get(), "EXIF", 1, &chunk)) return {};
  const ExifFacts facts = read_exif({chunk.chunk.bytes, chunk.chunk.size});
  WebPDemuxReleaseChunkIterator(&chunk);
  return facts;
}

}  // namespace

Result<Decoded> decode_webp(const Source& source) {
  WebPBitstreamFeatures features;
  const std::uint8_t* data = source.bytes.data();
  const std::size_t size = source.bytes.size();
  if (size < 12 || promised_bytes(source.bytes) > size || WebPGetFeatures(data, size, &features) != VP8_STATUS_OK)
    return damaged(source, "WebP", "");
  if (features.has_animation) return unsupported(source, "an animated WebP");
  const auto width = static_cast<std::uint64_t>(features.width), height = static_cast<std::uint64_t>(features.height);
  if (auto error = check_size(source, "WebP", width, height)) return *error;

  Decoded decoded;
  allocate(decoded.picture, width, height, features.has_alpha ? PixelFormat::rgba8 : PixelFormat::rgb8);
  Picture& picture = decoded.picture;
  const auto decode = features.has_alpha ? WebPDecodeRGBAInto : WebPDecodeRGBInto;
  if (!decode(data, size, picture.bytes.data(), picture.bytes.size(), static_cast<int>(picture.stride_bytes)))
    return damaged(source, "WebP", "");
  const ExifFacts facts = facts_of(source.bytes);
  decoded.orientation = facts.orientation;
  picture.dpi = facts.dpi;
  return decoded;
}

}  // namespace batten
