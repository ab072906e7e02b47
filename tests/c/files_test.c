/* The C interface of files, writers and glyphs. Prints nothing when all is well. Called with a scan of eight letters
 * and a folder for files, which it makes. */
#include <string.h>
#include <sys/stat.h>

#include "batten/batten_files.h"
#include "check.h"

static int begins_with(const batten_bytes* bytes, const char* text) {
  return batten_bytes_size(bytes) > 100 && memcmp(batten_bytes_data(bytes), text, strlen(text)) == 0;
}

static void test_writers(const batten_picture* picture, const batten_drawing* drawing) {
  const struct {
    int32_t file;
    const char* beginning;
  } drawings[] = {{BATTEN_FILE_SVG, "<?xml"},
                  {BATTEN_FILE_PDF, "%PDF"},
                  {BATTEN_FILE_EPS, "%!PS"},
                  {BATTEN_FILE_JSON, "{"}},
    proofs[] = {{BATTEN_FILE_HTML, "<!"}, {BATTEN_FILE_PNG, "\x89PNG"}, {BATTEN_FILE_PDF, "%PDF"}};
  batten_bytes* bytes = NULL;
  batten_error error;
  for (size_t i = 0; i < 4; ++i) {
    CHECK(batten_write_drawing(drawing, drawings[i].file, "A title", &bytes, &error) == BATTEN_OK);
    CHECK(begins_with(bytes, drawings[i].beginning));
    CHECK(strlen(batten_bytes_data(bytes)) <= batten_bytes_size(bytes));
    if (drawings[i].file == BATTEN_FILE_SVG) CHECK(strstr(batten_bytes_data(bytes), "<title>A title</title>"));
    batten_bytes_free(bytes);
  }
  for (size_t i = 0; i < 3; ++i) {
    CHECK(batten_write_proof(picture, drawing, proofs[i].file, NULL, &bytes, &error) == BATTEN_OK);
    CHECK(begins_with(bytes, proofs[i].beginning));
    batten_bytes_free(bytes);
  }
  CHECK(batten_write_overlay(picture, drawing, 1, &bytes, NULL) == BATTEN_OK && begins_with(bytes, "\x89PNG"));
  batten_bytes_free(bytes);
  CHECK(batten_write_drawing(drawing, BATTEN_FILE_HTML, NULL, &bytes, &error) == BATTEN_BAD_OPTION && !bytes);
  CHECK(error.message[0] != 0 && strcmp(error.place, "file") == 0);
  CHECK(batten_write_drawing(NULL, BATTEN_FILE_SVG, NULL, &bytes, &error) == BATTEN_BAD_OPTION);
  CHECK(batten_write_drawing(drawing, BATTEN_FILE_SVG, NULL, NULL, &error) == BATTEN_BAD_OPTION);
  CHECK(!batten_bytes_data(NULL) && batten_bytes_size(NULL) == 0);
  batten_bytes_free(NULL);
}

/* What is written reads back the same, to the digits of the file. */
static void test_back(const batten_drawing* drawing, const char* folder) {
  char path[512];
  snprintf(path, sizeof path, "%s/sheet.svg", folder);
  batten_bytes* bytes = NULL;
  CHECK(batten_write_drawing(drawing, BATTEN_FILE_SVG, NULL, &bytes, NULL) == BATTEN_OK);
  CHECK(batten_save(path, batten_bytes_data(bytes), batten_bytes_size(bytes), NULL) == BATTEN_OK);
  batten_bytes_free(bytes);
  batten_summary summary = {.struct_size = sizeof summary};
  CHECK(batten_drawing_summary(drawing, &summary));
  batten_drawing* read = NULL;
  CHECK(batten_read_outlines(path, summary.width_px, summary.height_px, 0, &read, NULL) == BATTEN_OK);
  batten_finding finding = {.struct_size = sizeof finding};
  CHECK(batten_finding_at(read, 0, &finding) && finding.what == BATTEN_PLACED);
  batten_comparison c = {.struct_size = sizeof c};
  CHECK(batten_compare(read, drawing, &c) && c.missing == 0 && c.extra == 0 && c.outlines == summary.outlines);
  CHECK(c.max_px < 0.05 && c.segments == summary.segments);
  batten_drawing_free(read);
  batten_error error;
  CHECK(batten_read_outlines("/no/such.svg", 0, 0, 0, &read, &error) == BATTEN_FILE_NOT_FOUND && !read);
  CHECK(batten_save("/no/such/folder/x", "x", 1, &error) == BATTEN_CANNOT_WRITE && error.message[0] != 0);
}

static void test_glyphs(const batten_drawing* drawing, const char* folder) {
  const char* names[] = {"Q", "u", "o", "m", "b", "e", "leaf.left", "leaf.right"};
  batten_glyph_options options;
  batten_glyph_options_init(&options, sizeof options);
  CHECK(options.units_per_em == 1000 && options.side_bearing_em == 0.06);
  options.names = names, options.name_count = 8;
  batten_glyphs* glyphs = NULL;
  batten_error error;
  CHECK(batten_arrange_glyphs(drawing, &options, &glyphs, &error) == BATTEN_OK && batten_glyph_count(glyphs) == 8);
  batten_glyph info = {.struct_size = sizeof info};
  CHECK(batten_glyph_at(glyphs, 0, &info) && strcmp(info.name, "Q") == 0 && info.character == 'Q');
  CHECK(info.outline_count == 2 && info.outlines[0] < batten_outline_count(drawing) && info.advance_px > 100);
  CHECK(!batten_glyph_at(glyphs, 8, &info));
  batten_glyph_heights heights = {.struct_size = sizeof heights};
  CHECK(batten_glyphs_heights(glyphs, &heights) && !batten_glyphs_heights(NULL, &heights));
  CHECK(heights.x_height_px > 50 && heights.cap_height_px > 1.2 * heights.x_height_px && heights.space_px > 0);
  char path[512];
  snprintf(path, sizeof path, "%s/sheet.ufo", folder);
  CHECK(batten_save_ufo(path, drawing, glyphs, "Quombe", 0, &error) == BATTEN_OK);
  struct stat about;
  snprintf(path, sizeof path, "%s/sheet.ufo/fontinfo.plist", folder);
  CHECK(stat(path, &about) == 0 && about.st_size > 100);
  batten_glyphs_free(glyphs), batten_glyphs_free(NULL);
  options.name_count = 7;
  CHECK(batten_arrange_glyphs(drawing, &options, &glyphs, &error) == BATTEN_NAMES_MISMATCH && !glyphs);
  options.struct_size = 8;
  CHECK(batten_arrange_glyphs(drawing, &options, &glyphs, &error) == BATTEN_BAD_OPTION);
}

static void test_sweep(const batten_image* image) {
  const double tolerances[3] = {1, 2, 4};
  batten_located* located = NULL;
  batten_sweep* sweep = NULL;
  batten_bytes* bytes = NULL;
  CHECK(batten_locate(image, NULL, NULL, &located, NULL) == BATTEN_OK);
  CHECK(batten_sweep_located(located, tolerances, 3, NULL, NULL, &sweep, NULL) == BATTEN_OK);
  CHECK(batten_write_sweep(sweep, BATTEN_FILE_CSV, "sheet", &bytes, NULL) == BATTEN_OK && begins_with(bytes, "#"));
  batten_bytes_free(bytes);
  CHECK(batten_write_sweep(sweep, BATTEN_FILE_SVG, NULL, &bytes, NULL) == BATTEN_OK && begins_with(bytes, "<?xml"));
  batten_bytes_free(bytes);
  CHECK(batten_write_sweep(sweep, BATTEN_FILE_PDF, NULL, &bytes, NULL) == BATTEN_BAD_OPTION && !bytes);
  batten_sweep_free(sweep), batten_located_free(located);
}

int main(int count, char** arguments) {
  if (count != 3) return 2;
  mkdir(arguments[2], 0777);
  batten_picture* picture = NULL;
  batten_error error;
  CHECK(batten_read_picture(arguments[1], 0, &picture, &error) == BATTEN_OK);
  batten_picture_info info = {.struct_size = sizeof info};
  batten_image image = {.struct_size = sizeof image};
  CHECK(batten_picture_at(picture, &info) && info.width == 1500 && info.height == 820 && info.dpi == 300);
  CHECK(batten_picture_image(picture, &image) && image.pixels == info.pixels && image.stride_bytes == 1500);
  batten_drawing* drawing = NULL;
  CHECK(batten_convert(&image, NULL, NULL, &drawing, &error) == BATTEN_OK);
  test_writers(picture, drawing);
  test_back(drawing, arguments[2]);
  test_glyphs(drawing, arguments[2]);
  test_sweep(&image);
  batten_drawing_free(drawing), batten_picture_free(picture), batten_picture_free(NULL);
  CHECK(batten_read_picture("/no/such.png", 0, &picture, &error) == BATTEN_FILE_NOT_FOUND && !picture);
  CHECK(batten_read_picture(arguments[1], 0.1, &picture, &error) == BATTEN_IMAGE_TOO_LARGE && error.message[0] != 0);
  return failures != 0;
}
