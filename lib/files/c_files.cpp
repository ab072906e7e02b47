// The C interface of files, writers and glyphs. It uses nothing but the public C++ interface.

#include <algorithm>
#include <cstring>
#include <exception>
#include <memory>
#include <new>
#include <utility>

#include "batten/batten_files.h"
#include "batten/files.h"
#include "batten/handles.h"
#include "batten/write.h"

struct batten_picture {
  batten::Picture picture;
};
struct batten_bytes {
  std::string bytes;
};
struct batten_glyphs {
  batten::GlyphSheet sheet;
};

namespace {

using batten::Conversion, batten::Error, batten::ErrorCode, batten::Result;

Error bad(const char* sentence, const char* place) { return {ErrorCode::bad_option, sentence, place}; }

std::string text_of(const char* text) { return text ? text : ""; }

// Copies our struct into the caller's, as far as that one reaches.
template <class T>
int given(T ours, T* theirs) {
  if (!theirs || theirs->struct_size <= sizeof(std::size_t)) return 0;
  ours.struct_size = theirs->struct_size;
  std::memcpy(theirs, &ours, std::min(theirs->struct_size, sizeof(T)));
  return 1;
}

// What all entry points do: the work, its error into the caller's memory. No exception passes.
template <class Work>
std::int32_t guarded(batten_error* error, Work&& work) noexcept {
  if (error) *error = batten_error{};
  try {
    const std::optional<Error> failed = work();
    return failed ? batten::tell(*failed, error) : std::int32_t(BATTEN_OK);
  } catch (const std::bad_alloc&) {
    if (error) error->code = BATTEN_OUT_OF_MEMORY, std::strcpy(error->message, "There is not enough memory.");
    return BATTEN_OUT_OF_MEMORY;
  } catch (...) {
    if (error) error->code = BATTEN_INTERNAL, std::strcpy(error->message, "An error inside batten: please report it.");
    return BATTEN_INTERNAL;
  }
}

// The same with a result: work() -> Result<T>, handed out as `Handle{T}`.
template <class Handle, class Work>
std::int32_t made(Handle** out, batten_error* error, Work&& work) noexcept {
  if (out) *out = nullptr;
  return guarded(error, [&]() -> std::optional<Error> {
    if (!out) return bad("A place for the result is needed.", "out");
    auto result = work();
    if (!result) return result.error();
    *out = new Handle{std::move(*result)};
    return std::nullopt;
  });
}

Result<std::string> file_of(const Conversion& c, std::int32_t file, const std::string& title) {
  switch (file) {
    case BATTEN_FILE_SVG:
      return batten::to_svg(c.drawing, {title});
    case BATTEN_FILE_PDF:
      return batten::to_pdf(c.drawing, {title});
    case BATTEN_FILE_EPS:
      return batten::to_eps(c.drawing, {title});
    case BATTEN_FILE_JSON:
      return batten::to_json(c, {title});
    default:
      return bad("A drawing is written as SVG, PDF, EPS or JSON.", "file");
  }
}

Result<std::string> proof_of(const batten::Picture& picture, const Conversion& c, std::int32_t file,
                             const std::string& title) {
  switch (file) {
    case BATTEN_FILE_HTML:
      return batten::to_proof_page(picture, c, {title});
    case BATTEN_FILE_PNG:
      return batten::to_proof_png(picture, c, {title});
    case BATTEN_FILE_PDF:
      return batten::to_proof_pdf(picture, c, {title});
    default:
      return bad("A proof is written as HTML, PNG or PDF.", "file");
  }
}

// The least that a caller's struct must hold is its first version.
constexpr std::size_t first_glyph_options_size = offsetof(batten_glyph_options, reserved) + sizeof(std::int32_t);

Result<batten::GlyphOptions> glyph_options_from(const batten_glyph_options* theirs) {
  batten::GlyphOptions out;
  if (!theirs) return out;
  if (theirs->struct_size < first_glyph_options_size)
    return bad("Set struct_size with batten_glyph_options_init() first.", "batten_glyph_options");
  for (std::size_t i = 0; theirs->names && i < theirs->name_count; ++i) out.names.push_back(text_of(theirs->names[i]));
  if (theirs->baselines_px)
    out.baselines_px.assign(theirs->baselines_px, theirs->baselines_px + theirs->baseline_count);
  out.em_px = theirs->em_px, out.side_bearing_em = theirs->side_bearing_em, out.units_per_em = theirs->units_per_em;
  return out;
}

}  // namespace

extern "C" {

int32_t batten_read_picture(const char* path, double max_megapixels, batten_picture** out, batten_error* error) {
  return made(out, error, [&]() -> Result<batten::Picture> {
    if (!path) return bad("The name of a file is needed.", "path");
    batten::ReadOptions options;
    if (max_megapixels > 0) options.max_megapixels = max_megapixels;
    return batten::read_picture(path, options);
  });
}

void batten_picture_free(batten_picture* picture) { delete picture; }

int batten_picture_at(const batten_picture* picture, batten_picture_info* info) {
  if (!picture) return 0;
  const batten::Picture& p = picture->picture;
  return given(
      {0, p.bytes.data(), p.width, p.height, std::int32_t(p.format), std::int32_t(p.pages), p.stride_bytes, p.dpi},
      info);
}

int batten_picture_image(const batten_picture* picture, batten_image* image) {
  if (!picture) return 0;
  const batten::Picture& p = picture->picture;
  return given({0, p.bytes.data(), p.width, p.height, std::int32_t(p.format), p.stride_bytes}, image);
}

int32_t batten_read_pins(const char* path, double dpi, batten_pins** out, batten_error* error) {
  if (out) *out = nullptr;
  return guarded(error, [&]() -> std::optional<Error> {
    if (!path || !out) return bad("A path and a place for the list are needed.", "path");
    auto pins = batten::read_pins(path, dpi);
    if (!pins) return pins.error();
    *out = batten::handle_for(std::move(*pins));
    return std::nullopt;
  });
}

int32_t batten_read_outlines(const char* path, double width_px, double height_px, double dpi, batten_drawing** out,
                             batten_error* error) {
  if (out) *out = nullptr;
  return guarded(error, [&]() -> std::optional<Error> {
    if (!out || !path) return bad("The name of a file and a place for the result are needed.", out ? "path" : "out");
    Result<batten::SvgDrawing> svg = batten::read_outlines(path);
    if (!svg) return svg.error();
    Conversion conversion;
    if (width_px > 0)
      conversion.report.findings.push_back(
          {batten::Finding::What::placed, -1, {}, 0, batten::place_on_scan(*svg, width_px, height_px, dpi)});
    conversion.drawing = std::move(svg->drawing);
    *out = batten::handle_for(std::move(conversion));
    return std::nullopt;
  });
}

const char* batten_bytes_data(const batten_bytes* bytes) { return bytes ? bytes->bytes.c_str() : nullptr; }
size_t batten_bytes_size(const batten_bytes* bytes) { return bytes ? bytes->bytes.size() : 0; }
void batten_bytes_free(batten_bytes* bytes) { delete bytes; }

int32_t batten_write_drawing(const batten_drawing* drawing, int32_t file, const char* title, batten_bytes** out,
                             batten_error* error) {
  return made(out, error, [&]() -> Result<std::string> {
    if (!drawing) return bad("A drawing is needed.", "drawing");
    return file_of(*batten::conversion_of(drawing), file, text_of(title));
  });
}

int32_t batten_write_overlay(const batten_picture* picture, const batten_drawing* drawing, double scale,
                             batten_bytes** out, batten_error* error) {
  return made(out, error, [&]() -> Result<std::string> {
    if (!picture || !drawing) return bad("A picture and a drawing are needed.", picture ? "drawing" : "picture");
    return batten::draw_overlay(picture->picture, batten::conversion_of(drawing)->drawing, scale);
  });
}

int32_t batten_write_proof(const batten_picture* picture, const batten_drawing* drawing, int32_t file,
                           const char* title, batten_bytes** out, batten_error* error) {
  return made(out, error, [&]() -> Result<std::string> {
    if (!picture || !drawing) return bad("A picture and a drawing are needed.", picture ? "drawing" : "picture");
    return proof_of(picture->picture, *batten::conversion_of(drawing), file, text_of(title));
  });
}

int32_t batten_write_sweep(const batten_sweep* sweep, int32_t file, const char* title, batten_bytes** out,
                           batten_error* error) {
  return made(out, error, [&]() -> Result<std::string> {
    const std::optional<batten::Sweep> all = batten::sweep_of(sweep);
    if (!all) return bad("A sweep is needed.", "sweep");
    if (file == BATTEN_FILE_CSV) return batten::to_csv(*all, {}, {text_of(title)});
    if (file == BATTEN_FILE_SVG) return batten::to_plot_svg(*all);
    return bad("A sweep is written as CSV or SVG.", "file");
  });
}

int32_t batten_save(const char* path, const void* bytes, size_t size, batten_error* error) {
  return guarded(error, [&]() -> std::optional<Error> {
    if (!path || (!bytes && size > 0)) return bad("The name of a file and bytes are needed.", path ? "bytes" : "path");
    return batten::write_file(path, std::string(static_cast<const char*>(bytes), size));
  });
}

void batten_glyph_options_init(batten_glyph_options* options, size_t struct_size) {
  if (!options || struct_size < sizeof(size_t)) return;
  const batten::GlyphOptions defaults;
  batten_glyph_options o{};
  o.struct_size = struct_size;
  o.em_px = defaults.em_px, o.side_bearing_em = defaults.side_bearing_em, o.units_per_em = defaults.units_per_em;
  std::memset(options, 0, struct_size);
  std::memcpy(options, &o, std::min(struct_size, sizeof o));
}

int32_t batten_arrange_glyphs(const batten_drawing* drawing, const batten_glyph_options* options, batten_glyphs** out,
                              batten_error* error) {
  return made(out, error, [&]() -> Result<batten::GlyphSheet> {
    if (!drawing) return bad("A drawing is needed.", "drawing");
    const Result<batten::GlyphOptions> taken = glyph_options_from(options);
    if (!taken) return taken.error();
    return batten::arrange_glyphs(batten::conversion_of(drawing)->drawing, *taken);
  });
}

void batten_glyphs_free(batten_glyphs* glyphs) { delete glyphs; }
size_t batten_glyph_count(const batten_glyphs* glyphs) { return glyphs ? glyphs->sheet.glyphs.size() : 0; }

int batten_glyphs_heights(const batten_glyphs* glyphs, batten_glyph_heights* heights) {
  if (!glyphs) return 0;
  return given({0, glyphs->sheet.x_height_px, glyphs->sheet.cap_height_px, glyphs->sheet.space_px}, heights);
}

int batten_glyph_at(const batten_glyphs* glyphs, size_t glyph, batten_glyph* info) {
  if (glyph >= batten_glyph_count(glyphs)) return 0;
  const batten::Glyph& g = glyphs->sheet.glyphs[glyph];
  return given({0, g.name.c_str(), g.outlines.data(), g.outlines.size(), g.origin.x, g.origin.y, g.advance_px,
                glyphs->sheet.units_per_px, std::uint32_t(g.character)},
               info);
}

int32_t batten_save_ufo(const char* path, const batten_drawing* drawing, const batten_glyphs* glyphs,
                        const char* family_name, int32_t whole_units, batten_error* error) {
  return guarded(error, [&]() -> std::optional<Error> {
    if (!path || !drawing || !glyphs) return bad("A path, a drawing and its glyphs are needed.", "batten_save_ufo");
    batten::UfoOptions options;
    if (family_name) options.family_name = family_name;
    options.whole_units = whole_units != 0;
    return batten::write_folder(path, batten::to_ufo(batten::conversion_of(drawing)->drawing, glyphs->sheet, options));
  });
}

}  // extern "C"
