/* The C interface from C11: its numbers, its sizes, its errors, cancelling. Prints nothing when all is well. */
#include <math.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>

#include "batten/batten_loops.h"
#include "batten/version.h"
#include "check.h"

/* What may never change where pointers and size_t have 8 bytes. */
_Static_assert(sizeof(void*) != 8 ||
                   (offsetof(batten_options, tolerance_px) == 8 && offsetof(batten_options, dpi) == 16 &&
                    offsetof(batten_options, extremes) == 24 && offsetof(batten_options, drawing) == 28 &&
                    offsetof(batten_options, threads) == 32 && offsetof(batten_options, straighten) == 40 &&
                    offsetof(batten_options, symmetry) == 44 && offsetof(batten_options, deskew) == 48 &&
                    offsetof(batten_options, direction) == 52 && offsetof(batten_options, start) == 56 &&
                    offsetof(batten_options, grid_px) == 64 && offsetof(batten_options, output) == 72 &&
                    offsetof(batten_options, construction) == 76 && offsetof(batten_options, hold_tolerance) == 80),
               "batten_options");
_Static_assert(sizeof(void*) != 8 ||
                   (offsetof(batten_image, pixels) == 8 && offsetof(batten_image, width) == 16 &&
                    offsetof(batten_image, format) == 24 && offsetof(batten_image, stride_bytes) == 32 &&
                    offsetof(batten_image, mask) == 40 && offsetof(batten_image, mask_stride_bytes) == 48),
               "batten_image");
_Static_assert(sizeof(void*) != 8 || (offsetof(batten_job, progress) == 8 && offsetof(batten_job, user) == 16 &&
                                      offsetof(batten_job, stop) == 24 && offsetof(batten_job, log) == 32 &&
                                      offsetof(batten_job, threads) == 40),
               "batten_job");
_Static_assert(sizeof(batten_error) == 4 + 256 + 64, "batten_error");
_Static_assert(BATTEN_NO_INK_FOUND == 200 && BATTEN_BAD_PIXELS == 105 && BATTEN_BAD_POLYLINE == 5,
               "codes are for ever");

_Static_assert(sizeof(void*) != 8 ||
                   (offsetof(batten_polyline, xy) == 8 && offsetof(batten_polyline, sigma_px) == 32 &&
                    offsetof(batten_polyline, sigmas_px) == 40 && offsetof(batten_polyline, correlation_px) == 48 &&
                    offsetof(batten_polyline, band_px) == 56 && offsetof(batten_loop, sigma_px) == 32),
               "batten_polyline and batten_loop");

static batten_image image_of(const void* pixels, int32_t format, ptrdiff_t stride) {
  batten_image image = {sizeof(batten_image), NULL, width, height, 0, 0, NULL, 0};
  image.pixels = pixels, image.format = format, image.stride_bytes = stride;
  return image;
}

static void test_ring(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_drawing* drawing = NULL;
  batten_error error;
  CHECK(batten_convert(&image, NULL, NULL, &drawing, &error) == BATTEN_OK);
  CHECK(error.code == BATTEN_OK && error.message[0] == 0);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(drawing, &summary));
  CHECK(summary.width_px == width && summary.height_px == height && summary.outlines == 2);
  CHECK(summary.segments == 8 && summary.max_px < 1 && summary.tolerance_px == 1);
  CHECK(summary.within_tolerance == 1);
  CHECK(summary.p95_px <= summary.max_px && summary.p95_px >= summary.rms_px);
  CHECK(summary.fewest_proven >= 2 && summary.fewest_found >= summary.fewest_proven && summary.fewest_found <= 8);
  CHECK(batten_outline_count(drawing) == 2);
  int counters = 0;
  for (size_t i = 0; i < 2; ++i) {
    batten_outline info;
    info.struct_size = sizeof info;
    CHECK(batten_outline_at(drawing, i, &info));
    CHECK(info.closed && info.nodes == 4 && info.kind == BATTEN_KIND_FILLED);
    CHECK(info.within_tolerance == 1 && info.tolerance_px == 1);
    CHECK(info.inside == (info.parent >= 0 ? BATTEN_INSIDE_PAPER : BATTEN_INSIDE_SOLID));
    CHECK((info.ink_share > 0.9) == (info.parent < 0) && strlen(info.why) > 20);
    counters += info.parent >= 0;
    const double* node = batten_outline_nodes(drawing, i);
    const double radius = info.parent >= 0 ? 30 : 60;
    for (size_t k = 0; k < info.nodes; ++k) {
      CHECK(fabs(hypot(node[6 * k + 2] - 110, node[6 * k + 3] - 80) - radius) < 0.5);
      const int32_t reason = batten_outline_reasons(drawing, i)[k];
      CHECK(reason >= BATTEN_REASON_EXTREME_LEFT && reason <= BATTEN_REASON_EXTREME_BOTTOM);
      CHECK(batten_reason_name(reason)[0] != 0);
    }
  }
  CHECK(counters == 1);
  batten_outline none;
  none.struct_size = sizeof none;
  CHECK(!batten_outline_at(drawing, 2, &none));
  CHECK(!batten_outline_nodes(drawing, 2) && !batten_outline_reasons(drawing, 2));
  for (size_t i = 0; i < summary.findings; ++i) {
    batten_finding finding;
    finding.struct_size = sizeof finding;
    CHECK(batten_finding_at(drawing, i, &finding) && finding.text[0] != 0);
  }
  char small[8];
  CHECK(batten_to_svg(drawing, small, sizeof small) > sizeof small && strlen(small) == 7);
  const size_t size = batten_to_svg(drawing, NULL, 0) + 1;
  char* svg = (char*)malloc(size);
  CHECK(batten_to_svg(drawing, svg, size) == size - 1 && strlen(svg) == size - 1 && strstr(svg, "</svg>"));
  free(svg);
  batten_drawing_free(drawing);
  batten_drawing_free(NULL);
}

/* The same ring as RGBA with room between the rows, upside down, and in 16 bits: the same outlines, but for the last
 * digits of floats. */
static void test_formats(const unsigned char* gray) {
  batten_drawing *expected = NULL, *drawing = NULL;
  batten_image image = image_of(gray, BATTEN_GRAY8, width);
  CHECK(batten_convert(&image, NULL, NULL, &expected, NULL) == BATTEN_OK);
  const ptrdiff_t stride = 4 * width + 12;
  unsigned char* rgba = (unsigned char*)calloc((size_t)(stride * height), 1);
  uint16_t* wide = (uint16_t*)malloc(sizeof(uint16_t) * width * height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) {
      const unsigned char v = gray[y * width + x];
      unsigned char* p = rgba + (height - 1 - y) * stride + 4 * x;
      p[0] = p[1] = p[2] = v, p[3] = 255;
      wide[y * width + x] = (uint16_t)(257 * v);
    }
  const batten_image others[] = {image_of(rgba + (height - 1) * stride, BATTEN_RGBA8, -stride),
                                 image_of(wide, BATTEN_GRAY16, sizeof(uint16_t) * width)};
  for (size_t k = 0; k < 2; ++k) {
    CHECK(batten_convert(&others[k], NULL, NULL, &drawing, NULL) == BATTEN_OK);
    CHECK(batten_outline_count(drawing) == 2);
    for (size_t i = 0; i < batten_outline_count(drawing); ++i) {
      batten_outline info;
      info.struct_size = sizeof info;
      CHECK(batten_outline_at(drawing, i, &info) && info.nodes == 4);
      const double *a = batten_outline_nodes(drawing, i), *b = batten_outline_nodes(expected, i);
      for (size_t n = 0; n < 24; ++n) CHECK(fabs(a[n] - b[n]) < 0.01);
    }
    batten_drawing_free(drawing);
  }
  batten_drawing_free(expected);
  free(rgba), free(wide);
}

/* Colours in another order, premultiplied: the same bytes. A mask hides a half of the ring. */
static void test_orders_and_mask(const unsigned char* gray) {
  unsigned char* samples[4];
  for (int k = 0; k < 4; ++k) samples[k] = (unsigned char*)malloc((size_t)(4 * width * height));
  for (int i = 0; i < width * height; ++i) {
    const unsigned char blue = (unsigned char)(gray[i] / 2 + 120), red = gray[i];
    const unsigned char rgba[4] = {red, gray[i], blue, 255}, bgra[4] = {blue, gray[i], red, 255};
    memcpy(samples[0] + 3 * i, rgba, 3), memcpy(samples[1] + 3 * i, bgra, 3);
    memcpy(samples[2] + 4 * i, rgba, 4), memcpy(samples[3] + 4 * i, bgra, 4);
  }
  const batten_image images[] = {
      image_of(samples[0], BATTEN_RGB8, 3 * width), image_of(samples[1], BATTEN_BGR8, 3 * width),
      image_of(samples[2], BATTEN_RGBA8_PREMULTIPLIED, 4 * width), image_of(samples[3], BATTEN_BGRA8, 4 * width),
      image_of(samples[3], BATTEN_BGRA8_PREMULTIPLIED, 4 * width)};
  char *expected = NULL, *other = NULL;
  for (size_t k = 0; k < sizeof images / sizeof *images; ++k) {
    batten_drawing* drawing = NULL;
    CHECK(batten_convert(&images[k], NULL, NULL, &drawing, NULL) == BATTEN_OK);
    const size_t size = batten_to_svg(drawing, NULL, 0) + 1;
    /* Laid over white, colours with alpha have other last digits than those without. */
    if (k == 2) free(expected);
    char** to = k == 0 || k == 2 ? &expected : &other;
    *to = (char*)malloc(size);
    CHECK(batten_to_svg(drawing, *to, size) == size - 1 && size > 100);
    if (to == &other) {
      CHECK(strcmp(expected, other) == 0);
      free(other);
    }
    batten_drawing_free(drawing);
  }
  free(expected);
  unsigned char* mask = samples[0];
  for (int i = 0; i < width * height; ++i) mask[i] = i % width < 110;
  batten_image half = image_of(gray, BATTEN_GRAY8, width);
  half.mask = mask, half.mask_stride_bytes = width;
  batten_drawing* drawing = NULL;
  CHECK(batten_convert(&half, NULL, NULL, &drawing, NULL) == BATTEN_OK);
  for (size_t i = 0; i < batten_outline_count(drawing); ++i) {
    batten_outline info;
    info.struct_size = sizeof info;
    CHECK(batten_outline_at(drawing, i, &info));
    for (size_t n = 0; n < info.nodes; ++n) CHECK(batten_outline_nodes(drawing, i)[6 * n + 2] < 113);
  }
  batten_drawing_free(drawing);
  half.mask_stride_bytes = 5;
  CHECK(batten_convert(&half, NULL, NULL, &drawing, NULL) == BATTEN_BAD_PIXELS);
  for (int k = 0; k < 4; ++k) free(samples[k]);
}

/* What was located can be read, and fitted with a tolerance of its own; threads are the job's. */
static void test_loops(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_located* located = NULL;
  batten_job job;
  memset(&job, 0, sizeof job);
  job.struct_size = sizeof job, job.threads = 2;
  CHECK(batten_locate(&image, NULL, &job, &located, NULL) == BATTEN_OK);
  CHECK(batten_located_count(located) == 2 && batten_located_count(NULL) == 0);
  batten_polyline lines[2];
  memset(lines, 0, sizeof lines);
  for (size_t i = 0; i < 2; ++i) {
    batten_loop loop;
    loop.struct_size = sizeof loop;
    CHECK(batten_located_loop(located, i, &loop) && loop.closed && loop.points > 100);
    CHECK(loop.kind == BATTEN_KIND_FILLED && loop.sigma_px > 0 && loop.sigma_px < 0.5 && loop.correlation_px > 0);
    const double radius = hypot(loop.xy[0] - 110, loop.xy[1] - 80);
    for (size_t p = 0; p < loop.points; ++p)
      CHECK(fabs(hypot(loop.xy[2 * p] - 110, loop.xy[2 * p + 1] - 80) - (radius > 45 ? 60 : 30)) < 0.5);
    lines[i].struct_size = sizeof lines[i], lines[i].xy = loop.xy, lines[i].points = loop.points, lines[i].closed = 1;
    lines[i].sigma_px = loop.sigma_px, lines[i].correlation_px = loop.correlation_px;
  }
  batten_loop none;
  none.struct_size = sizeof none;
  CHECK(!batten_located_loop(located, 2, &none));
  batten_options options;
  batten_options_init(&options, sizeof options);
  options.tolerance_px = 2;
  batten_drawing* drawing = NULL;
  CHECK(batten_fit_polylines(lines, 2, &options, &job, &drawing, NULL) == BATTEN_OK);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(drawing, &summary) && summary.outlines == 2 && summary.segments == 8);
  CHECK(summary.within_tolerance == 1 && summary.tolerance_px == 2);
  batten_loop fitted_to;
  fitted_to.struct_size = sizeof fitted_to;
  CHECK(batten_outline_loop(drawing, 0, &fitted_to) && fitted_to.points > 100 && fitted_to.xy);
  CHECK(!batten_outline_loop(drawing, 2, &fitted_to));
  batten_drawing_free(drawing);
  batten_error error;
  lines[1].sigma_px = -1;
  CHECK(batten_fit_polylines(lines, 2, NULL, NULL, &drawing, &error) == BATTEN_BAD_POLYLINE && !drawing);
  lines[0].struct_size = 8;
  CHECK(batten_fit_polylines(lines, 2, NULL, NULL, &drawing, &error) == BATTEN_BAD_OPTION);
  CHECK(batten_fit_polylines(NULL, 0, NULL, NULL, &drawing, &error) == BATTEN_BAD_POLYLINE);
  job.threads = -3;
  CHECK(batten_convert_located(located, NULL, &job, &drawing, &error) == BATTEN_BAD_OPTION);
  CHECK(strcmp(error.place, "threads") == 0);
  batten_located_free(located);
}

static int32_t code_of(const batten_image* image, const batten_options* options, const batten_job* job) {
  batten_drawing* drawing = (batten_drawing*)image; /* anything but NULL */
  batten_error error;
  const int32_t code = batten_convert(image, options, job, &drawing, &error);
  CHECK(drawing == NULL && error.code == code && error.message[0] != 0);
  CHECK(memchr(error.message, 0, sizeof error.message) && memchr(error.place, 0, sizeof error.place));
  return code;
}

static void test_errors(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_image bad = image;
  CHECK(code_of(NULL, NULL, NULL) == BATTEN_BAD_OPTION);
  bad.struct_size = 8;
  CHECK(code_of(&bad, NULL, NULL) == BATTEN_BAD_OPTION);
  bad = image, bad.format = 77;
  CHECK(code_of(&bad, NULL, NULL) == BATTEN_BAD_OPTION);
  bad = image, bad.pixels = NULL;
  CHECK(code_of(&bad, NULL, NULL) == BATTEN_BAD_PIXELS);
  bad = image, bad.width = -3;
  CHECK(code_of(&bad, NULL, NULL) == BATTEN_BAD_PIXELS);
  unsigned char* white = (unsigned char*)malloc(width * height);
  memset(white, 255, width * height);
  bad = image, bad.pixels = white;
  CHECK(code_of(&bad, NULL, NULL) == BATTEN_NO_INK_FOUND);
  free(white);
  batten_options options;
  batten_options_init(&options, sizeof options);
  CHECK(options.hold_tolerance == 0 && options.tolerance_px == 1 && options.threads == 1 &&
        options.extremes == BATTEN_EXTREMES_REQUIRED && options.dpi == 0);
  options.tolerance_px = -1;
  CHECK(code_of(&image, &options, NULL) == BATTEN_BAD_OPTION);
  batten_options_init(&options, sizeof options);
  options.drawing = 4;
  CHECK(code_of(&image, &options, NULL) == BATTEN_BAD_OPTION);
  options.struct_size = 0;
  CHECK(code_of(&image, &options, NULL) == BATTEN_BAD_OPTION);
  batten_job job = {0, NULL, NULL, NULL, NULL, 0, 0};
  CHECK(code_of(&image, NULL, &job) == BATTEN_BAD_OPTION);
  CHECK(batten_convert(&image, NULL, NULL, NULL, NULL) == BATTEN_BAD_OPTION);
}

/* A caller of a later version hands over more than this library knows; one of an earlier version less. */
static void test_struct_size(const unsigned char* pixels) {
  struct {
    batten_options known;
    double later;
  } newer;
  memset(&newer, 0x55, sizeof newer);
  batten_options_init(&newer.known, sizeof newer);
  CHECK(newer.known.struct_size == sizeof newer && newer.later == 0);
  newer.known.tolerance_px = NAN; /* decided from the line */
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_drawing* drawing = NULL;
  CHECK(batten_convert(&image, &newer.known, NULL, &drawing, NULL) == BATTEN_OK);
  unsigned char guarded[sizeof(batten_summary)];
  memset(guarded, 0x55, sizeof guarded);
  batten_summary* older = (batten_summary*)malloc(sizeof(batten_summary));
  memcpy(older, guarded, sizeof guarded);
  older->struct_size = offsetof(batten_summary, max_px);
  CHECK(batten_drawing_summary(drawing, older));
  CHECK(older->segments == 8 && memcmp(&older->max_px, guarded, sizeof(double)) == 0);
  older->struct_size = 0;
  CHECK(!batten_drawing_summary(drawing, older) && !batten_drawing_summary(drawing, NULL) &&
        !batten_drawing_summary(NULL, older));
  free(older);
  batten_drawing_free(drawing);
}

static void test_fit(void) {
  enum { points = 800 };
  double* xy = (double*)malloc(sizeof(double) * 2 * points);
  for (int i = 0; i < points; ++i) {
    const double a = 2 * 3.14159265358979323846 * i / points;
    xy[2 * i] = 150 + 100 * cos(a), xy[2 * i + 1] = 150 + 100 * sin(a);
  }
  const size_t length = points, short_length = 2;
  batten_options options;
  batten_options_init(&options, sizeof options);
  options.extremes = BATTEN_EXTREMES_FREE;
  batten_drawing* drawing = NULL;
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &drawing, NULL) == BATTEN_OK);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(drawing, &summary));
  CHECK(summary.segments == 2); /* two free cubics hold a circle up to 110 tolerances: Goldapp, CAGD 8, 1991 */
  CHECK(summary.origin_x == 0 && summary.width_px == 250);
  batten_drawing_free(drawing);
  for (int i = 0; i < points; ++i) xy[2 * i] -= 400;
  CHECK(batten_fit(xy, &length, 1, NULL, NULL, &drawing, NULL) == BATTEN_OK);
  CHECK(batten_drawing_summary(drawing, &summary) && summary.origin_x == -350 && summary.width_px == 200);
  batten_drawing_free(drawing);
  CHECK(batten_fit(xy, &short_length, 1, NULL, NULL, &drawing, NULL) == BATTEN_BAD_POLYLINE);
  CHECK(batten_fit(NULL, NULL, 0, NULL, NULL, &drawing, NULL) == BATTEN_BAD_POLYLINE);
  free(xy);
}

/* A triangle and a line of two points: closed ones first, the line open, and left out where outlines are asked for. */
static void test_lines(void) {
  double xy[2 * 32];
  for (int i = 0; i < 30; ++i) {
    const double corner[4][2] = {{10, 10}, {110, 10}, {60, 90}, {10, 10}}, t = (i % 10) / 10.0;
    for (int k = 0; k < 2; ++k) xy[2 * i + k] = (1 - t) * corner[i / 10][k] + t * corner[i / 10 + 1][k];
  }
  xy[60] = 200, xy[61] = 20, xy[62] = 320, xy[63] = 85;
  const size_t lengths[2] = {30, 2};
  batten_options options;
  batten_options_init(&options, sizeof options);
  CHECK(options.output == BATTEN_OUTPUT_BOTH);
  CHECK(options.construction == BATTEN_CONSTRUCTION_LEAVE_OUT);
  batten_drawing* drawing = NULL;
  CHECK(batten_fit_lines(xy, lengths, 1, 1, &options, NULL, &drawing, NULL) == BATTEN_OK);
  CHECK(batten_outline_count(drawing) == 2);
  batten_outline line;
  line.struct_size = sizeof line;
  CHECK(batten_outline_at(drawing, 1, &line) && !line.closed && line.kind == BATTEN_KIND_LINE && line.nodes == 2);
  const double* n = batten_outline_nodes(drawing, 1);
  CHECK(fabs(n[2] - 200) < 0.01 && fabs(n[3] - 20) < 0.01 && fabs(n[8] - 320) < 0.01 && fabs(n[9] - 85) < 0.01);
  CHECK(batten_outline_reasons(drawing, 1)[0] == BATTEN_REASON_LINE_END);
  CHECK(strcmp(batten_reason_name(BATTEN_REASON_LINE_END), "line end") == 0);
  batten_drawing_free(drawing);
  options.output = BATTEN_OUTPUT_OUTLINES;
  CHECK(batten_fit_lines(xy, lengths, 1, 1, &options, NULL, &drawing, NULL) == BATTEN_OK);
  CHECK(batten_outline_count(drawing) == 1);
  batten_drawing_free(drawing);
  options.output = 3;
  CHECK(batten_fit_lines(xy, lengths, 1, 1, &options, NULL, &drawing, NULL) == BATTEN_BAD_OPTION);
}

/* A box whose sides are off their axes by 0.3 px in 200: straightened as asked, and every edit told. */
static void test_straighten(void) {
  enum { side = 400, points = 4 * side };
  const double corner[5][2] = {{50, 50}, {250, 50.3}, {249.7, 250}, {50.2, 249.8}, {50, 50}};
  double* xy = (double*)malloc(sizeof(double) * 2 * points);
  for (int i = 0; i < points; ++i) {
    const double *a = corner[i / side], *b = corner[i / side + 1], t = (double)(i % side) / side;
    xy[2 * i] = a[0] + t * (b[0] - a[0]), xy[2 * i + 1] = a[1] + t * (b[1] - a[1]);
  }
  const size_t length = points;
  batten_options options;
  batten_options_init(&options, sizeof options);
  CHECK(options.straighten == BATTEN_STRAIGHTEN_ALL && options.symmetry == 0 && options.deskew == 0 &&
        options.direction == BATTEN_CLOCKWISE && options.start == BATTEN_START_CORNER && options.grid_px == 0);
  options.grid_px = 1;
  batten_drawing* drawing = NULL;
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &drawing, NULL) == BATTEN_OK);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(drawing, &summary) && summary.segments == 4);
  const double* n = batten_outline_nodes(drawing, 0);
  for (int i = 0; i < 4; ++i) {
    const int k = (i + 1) % 4;
    CHECK(n[6 * i + 2] == n[6 * k + 2] || n[6 * i + 3] == n[6 * k + 3]);
    CHECK(n[6 * i + 2] == floor(n[6 * i + 2]) && n[6 * i + 3] == floor(n[6 * i + 3]));
  }
  for (size_t e = 0; e < summary.edits; ++e) {
    batten_edit edit;
    edit.struct_size = sizeof edit;
    CHECK(batten_edit_at(drawing, e, &edit) && edit.kind >= 0 && edit.kind <= BATTEN_EDIT_SYMMETRY);
    CHECK(edit.nodes >= 2 && edit.moved_px >= 0 && edit.moved_px <= 1);
    size_t outline = 9, node = 9;
    for (size_t k = 0; k < edit.nodes; ++k)
      CHECK(batten_edit_node(drawing, e, k, &outline, &node) && outline == 0 && node < 4);
    CHECK(!batten_edit_node(drawing, e, edit.nodes, &outline, &node));
  }
  batten_edit none;
  none.struct_size = sizeof none;
  CHECK(!batten_edit_at(drawing, summary.edits, &none));
  batten_drawing_free(drawing);
  options.straighten = BATTEN_STRAIGHTEN_ALL + 1;
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &drawing, NULL) == BATTEN_BAD_OPTION);
  options.straighten = BATTEN_STRAIGHTEN_OFF, options.direction = 2;
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &drawing, NULL) == BATTEN_BAD_OPTION);
  free(xy);
}

struct followed {
  double last;
  int calls, fell, stop_at;
};
static int follow(void* user, int32_t stage, double fraction) {
  struct followed* f = (struct followed*)user;
  f->fell += fraction < f->last || fraction < 0 || fraction > 1;
  f->last = fraction;
  CHECK(batten_stage_name(stage)[0] != 0);
  return ++f->calls != f->stop_at;
}

static void test_progress_and_cancel(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  struct followed f = {0, 0, 0, 0};
  batten_job job = {sizeof(batten_job), follow, &f, NULL, NULL, 0, 0};
  batten_drawing* drawing = NULL;
  CHECK(batten_convert(&image, NULL, &job, &drawing, NULL) == BATTEN_OK);
  batten_drawing_free(drawing);
  CHECK(f.calls >= 5 && f.fell == 0 && f.last == 1);
  const int calls = f.calls;
  for (int at = 1; at < calls; at += 3) { /* at any moment */
    struct followed g = {0, 0, 0, 0};
    g.stop_at = at;
    job.user = &g;
    CHECK(code_of(&image, NULL, &job) == BATTEN_CANCELLED);
  }
  job.progress = NULL;
  job.stop = batten_stop_new();
  CHECK(batten_convert(&image, NULL, &job, &drawing, NULL) == BATTEN_OK);
  batten_drawing_free(drawing);
  batten_stop_request(job.stop);
  CHECK(code_of(&image, NULL, &job) == BATTEN_CANCELLED);
  batten_stop_free(job.stop);
}

/* Pixels looked at once: at every tolerance the same drawing as in one go, and all of it gone before the drawing is. */
static void test_located(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_located* located = NULL;
  batten_error error;
  CHECK(batten_locate(&image, NULL, NULL, &located, &error) == BATTEN_OK && located && error.code == BATTEN_OK);
  batten_options options;
  batten_options_init(&options, sizeof options);
  batten_drawing* kept = NULL;
  for (int k = 0; k < 3; ++k) {
    options.tolerance_px = 0.5 + k;
    batten_drawing *one_go = NULL, *two = NULL;
    CHECK(batten_convert(&image, &options, NULL, &one_go, NULL) == BATTEN_OK);
    CHECK(batten_convert_located(located, &options, NULL, &two, NULL) == BATTEN_OK);
    CHECK(batten_outline_count(two) == 2 && batten_outline_count(one_go) == 2);
    for (size_t i = 0; i < 2; ++i) {
      batten_outline info;
      info.struct_size = sizeof info;
      CHECK(batten_outline_at(two, i, &info));
      CHECK(memcmp(batten_outline_nodes(two, i), batten_outline_nodes(one_go, i), 48 * info.nodes) == 0);
    }
    batten_drawing_free(one_go);
    batten_drawing_free(kept);
    kept = two;
  }
  options.tolerance_px = -1;
  batten_drawing* none = kept;
  CHECK(batten_convert_located(located, &options, NULL, &none, &error) == BATTEN_BAD_OPTION && none == NULL);
  CHECK(batten_convert_located(NULL, NULL, NULL, &none, &error) == BATTEN_BAD_OPTION && error.message[0] != 0);
  batten_located_free(located);
  batten_located_free(NULL);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(kept, &summary) && summary.tolerance_px == 2.5);
  batten_drawing_free(kept);
  batten_image bad = image;
  bad.pixels = NULL;
  located = (batten_located*)&bad; /* anything but NULL */
  CHECK(batten_locate(&bad, NULL, NULL, &located, &error) == BATTEN_BAD_PIXELS && located == NULL);
  CHECK(batten_locate(&image, NULL, NULL, NULL, NULL) == BATTEN_BAD_OPTION);
}

struct heard {
  size_t texts, warnings, empty;
};
static void hear(void* user, int32_t level, const char* text) {
  struct heard* h = (struct heard*)user;
  ++h->texts, h->warnings += level == BATTEN_LEVEL_WARNING, h->empty += text[0] == 0;
}

/* The log is the findings of the drawing, each once. A tolerance of 0.001 px is finer than any pixel can tell: a
 * warning. */
static void test_log(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  batten_options options;
  batten_options_init(&options, sizeof options);
  options.tolerance_px = 0.001;
  struct heard h = {0, 0, 0};
  batten_job job = {sizeof(batten_job), NULL, &h, NULL, hear, 0, 0};
  batten_drawing* drawing = NULL;
  CHECK(batten_convert(&image, &options, &job, &drawing, NULL) == BATTEN_OK);
  batten_summary summary;
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(drawing, &summary));
  CHECK(h.texts == summary.findings && h.texts >= 1 && h.warnings >= 1 && h.empty == 0);
  batten_drawing_free(drawing);
  options.hold_tolerance = 1; /* the wobble of the edge is followed: more segments */
  CHECK(batten_convert(&image, &options, NULL, &drawing, NULL) == BATTEN_OK);
  const size_t raised = summary.segments;
  CHECK(batten_drawing_summary(drawing, &summary) && summary.known_px > 0.001 && summary.segments > raised);
  batten_outline outline;
  outline.struct_size = sizeof outline;
  CHECK(batten_outline_at(drawing, 0, &outline) && outline.limit_px == 0.001);
  batten_drawing_free(drawing);
  options.hold_tolerance = 0;
  h.texts = 0;
  job.struct_size = offsetof(batten_job, log); /* a caller who knows of no log */
  CHECK(batten_convert(&image, &options, &job, &drawing, NULL) == BATTEN_OK && h.texts == 0);
  batten_drawing_free(drawing);
}

static void* stop_soon(void* stop) {
  batten_stop_request((batten_stop*)stop);
  return NULL;
}

static void test_stop_from_another_thread(const unsigned char* pixels) {
  const batten_image image = image_of(pixels, BATTEN_GRAY8, width);
  for (int i = 0; i < 5; ++i) {
    batten_job job = {sizeof(batten_job), NULL, NULL, batten_stop_new(), NULL, 0, 0};
    pthread_t thread;
    CHECK(pthread_create(&thread, NULL, stop_soon, job.stop) == 0);
    batten_drawing* drawing = NULL;
    const int32_t code = batten_convert(&image, NULL, &job, &drawing, NULL);
    CHECK(code == BATTEN_CANCELLED || (code == BATTEN_OK && drawing)); /* whichever came first */
    batten_drawing_free(drawing);
    pthread_join(thread, NULL);
    batten_stop_free(job.stop);
  }
}

int main(void) {
  unsigned char* pixels = gray8();
  CHECK(strcmp(batten_version(), BATTEN_VERSION) == 0);
  test_ring(pixels);
  test_formats(pixels);
  test_orders_and_mask(pixels);
  test_loops(pixels);
  test_errors(pixels);
  test_struct_size(pixels);
  test_fit();
  test_lines();
  test_straighten();
  test_progress_and_cancel(pixels);
  test_located(pixels);
  test_log(pixels);
  test_stop_from_another_thread(pixels);
  free(pixels);
  return failures != 0;
}
