#ifndef BATTEN_BATTEN_FILES_H
#define BATTEN_BATTEN_FILES_H
/** \file
 * The C interface, continued: image files and SVG in; SVG, PDF, EPS, JSON, pictures, tables and fonts out. Part of
 * batten_files (-lbatten_files). Paths are as the system has them, titles and names UTF-8. All that batten.h says holds
 * here.
 */
#include "batten/batten.h"
#include "batten/batten_judge.h"
#include "batten/batten_pins.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A picture read from a file, the right way up. Release with batten_picture_free(). */
typedef struct batten_picture batten_picture;

/** Reads PNG, JPEG, TIFF, WebP, BMP or PNM. max_megapixels: what is larger is refused before it is unpacked; 0: 400. On
 * BATTEN_OK *out is the picture, otherwise NULL. */
BATTEN_EXPORT int32_t batten_read_picture(const char* path, double max_megapixels, batten_picture** out,
                                          batten_error* error);
BATTEN_EXPORT void batten_picture_free(batten_picture* picture); /**< NULL is fine */

/** What a picture holds. */
typedef struct batten_picture_info {
  size_t struct_size;     /**< sizeof of the struct, set by the caller */
  const void* pixels;     /**< owned by the picture */
  int32_t width;          /**< px */
  int32_t height;         /**< px */
  int32_t format;         /**< batten_format */
  int32_t pages;          /**< that the file holds; the first is the one that was read */
  ptrdiff_t stride_bytes; /**< from one row to the next */
  double dpi;             /**< from the file; 0 where it does not say */
} batten_picture_info;

/** Like batten_drawing_summary(). */
BATTEN_EXPORT int batten_picture_at(const batten_picture* picture, batten_picture_info* info);
/** The picture for batten_convert(); valid as long as the picture is. */
BATTEN_EXPORT int batten_picture_image(const batten_picture* picture, batten_image* image);

/** Reads the outlines of an SVG 1.1 file and lays them on a scan of that size, px, and resolution (0: unknown); a width
 * of 0 leaves them in units of the file. */
BATTEN_EXPORT int32_t batten_read_outlines(const char* path, double width_px, double height_px, double dpi,
                                           batten_drawing** out, batten_error* error);

/** Reads a list of pins, as README.md describes it; dpi: of the scan, for lists in mm; 0: unknown. On BATTEN_OK *out is
 * the list, otherwise NULL. */
BATTEN_EXPORT int32_t batten_read_pins(const char* path, double dpi, batten_pins** out, batten_error* error);

/** Bytes of a file in memory. Release with batten_bytes_free(). */
typedef struct batten_bytes batten_bytes;
BATTEN_EXPORT const char* batten_bytes_data(const batten_bytes* bytes); /**< a 0 follows the last; NULL for NULL */
BATTEN_EXPORT size_t batten_bytes_size(const batten_bytes* bytes);      /**< without that 0 */
BATTEN_EXPORT void batten_bytes_free(batten_bytes* bytes);              /**< NULL is fine */

/** Kinds of files. */
typedef enum batten_file {
  BATTEN_FILE_SVG = 0,
  BATTEN_FILE_PDF = 1,
  BATTEN_FILE_EPS = 2,
  BATTEN_FILE_JSON = 3, /**< everything that is known, every node with its reason; title: the name of the scan */
  BATTEN_FILE_PNG = 4,
  BATTEN_FILE_HTML = 5,
  BATTEN_FILE_CSV = 6
} batten_file;

/** The drawing as SVG, PDF, EPS or JSON. title may be NULL. */
BATTEN_EXPORT int32_t batten_write_drawing(const batten_drawing* drawing, int32_t file, const char* title,
                                           batten_bytes** out, batten_error* error);
/** The outlines painted over the lightened scan, PNG; each px of the scan becomes `scale` px, >= 1. */
BATTEN_EXPORT int32_t batten_write_overlay(const batten_picture* picture, const batten_drawing* drawing, double scale,
                                           batten_bytes** out, batten_error* error);
/** The proof as HTML, PNG or PDF. title may be NULL. */
BATTEN_EXPORT int32_t batten_write_proof(const batten_picture* picture, const batten_drawing* drawing, int32_t file,
                                         const char* title, batten_bytes** out, batten_error* error);
/** A sweep as a table (CSV) or as a chart (SVG). title may be NULL. */
BATTEN_EXPORT int32_t batten_write_sweep(const batten_sweep* sweep, int32_t file, const char* title, batten_bytes** out,
                                         batten_error* error);
/** Puts bytes into a file, whole or not at all. */
BATTEN_EXPORT int32_t batten_save(const char* path, const void* bytes, size_t size, batten_error* error);

/** How a sheet of letters becomes glyphs. Start from batten_glyph_options_init(). */
typedef struct batten_glyph_options {
  size_t struct_size;         /**< sizeof of the struct, set by the caller */
  const char* const* names;   /**< one for each glyph in reading order, or NULL. DEFAULT: NULL, "shape-1" ... */
  size_t name_count;          /**< how many */
  const double* baselines_px; /**< y of the baseline of each row, px, or NULL. DEFAULT: NULL, found */
  size_t baseline_count;      /**< how many */
  double em_px;               /**< height of the em on the sheet, px; 0: from the letters. DEFAULT: 0 */
  double side_bearing_em;     /**< room on either side of a glyph, em. DEFAULT: 0.06 */
  int32_t units_per_em;       /**< 16..16384. DEFAULT: 1000 */
  int32_t reserved;           /**< 0 */
} batten_glyph_options;

/** Fills in the defaults; struct_size is sizeof(batten_glyph_options) of the caller. */
BATTEN_EXPORT void batten_glyph_options_init(batten_glyph_options* options, size_t struct_size);

/** The letters of a sheet in reading order. Release with batten_glyphs_free(). */
typedef struct batten_glyphs batten_glyphs;

/** Groups the shapes of a drawing into glyphs: dots and accents join their letter. options may be NULL. */
BATTEN_EXPORT int32_t batten_arrange_glyphs(const batten_drawing* drawing, const batten_glyph_options* options,
                                            batten_glyphs** out, batten_error* error);
BATTEN_EXPORT void batten_glyphs_free(batten_glyphs* glyphs);         /**< NULL is fine */
BATTEN_EXPORT size_t batten_glyph_count(const batten_glyphs* glyphs); /**< 0 for NULL */

/** One letter. */
typedef struct batten_glyph {
  size_t struct_size;     /**< sizeof of the struct, set by the caller */
  const char* name;       /**< unique on its sheet; owned by the glyphs */
  const size_t* outlines; /**< indices of its outlines in the drawing; owned by the glyphs */
  size_t outline_count;   /**< how many */
  double origin_x;        /**< px: where the baseline meets the left edge of its room */
  double origin_y;        /**< px */
  double advance_px;      /**< width of its room */
  double units_per_px;    /**< scale of all glyphs */
  uint32_t character;     /**< Unicode code point; 0: none */
} batten_glyph;

/** What the letters of a sheet tell of their font. */
typedef struct batten_glyph_heights {
  size_t struct_size;   /**< sizeof of the struct, set by the caller */
  double x_height_px;   /**< above the baseline; 0: the letters do not tell */
  double cap_height_px; /**< the same of capitals */
  double space_px;      /**< width of a word space; 0: no letter tells */
} batten_glyph_heights;

/** Like batten_drawing_summary(), for the sheet as a whole. */
BATTEN_EXPORT int batten_glyphs_heights(const batten_glyphs* glyphs, batten_glyph_heights* heights);

/** Like batten_drawing_summary(), for one glyph. */
BATTEN_EXPORT int batten_glyph_at(const batten_glyphs* glyphs, size_t glyph, batten_glyph* info);

/** Writes a Unified Font Object, version 3, as the folder `path`, whole or not at all. family_name may be NULL;
 * whole_units: 1 rounds coordinates to whole units. */
BATTEN_EXPORT int32_t batten_save_ufo(const char* path, const batten_drawing* drawing, const batten_glyphs* glyphs,
                                      const char* family_name, int32_t whole_units, batten_error* error);

#ifdef __cplusplus
}
#endif
#endif
