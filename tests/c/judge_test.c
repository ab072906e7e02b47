/* The C interface of what is judged, measured and compared, and of sweeps. Prints nothing when all is well. */
#include <string.h>

#include "batten/batten_judge.h"
#include "check.h"

/* Share of a quarter circle's radius at which the handles of a cubic stand: 4/3 (sqrt(2) - 1). */
#define QUARTER 0.5522847498307936

/* Six numbers a node: a circle of four nodes, clockwise on screen from its lowest place. */
static void circle(double x, double y, double r, double* nodes) {
  const double turn[4][2] = {{0, 1}, {-1, 0}, {0, -1}, {1, 0}};
  for (int k = 0; k < 4; ++k) {
    const double cx = turn[k][0], cy = turn[k][1];
    const double px = x + r * cx, py = y + r * cy;
    /* Clockwise on screen (y down): the way on is the radius turned by 90 degrees. */
    const double ax = -cy * r * QUARTER, ay = cx * r * QUARTER;
    const double node[6] = {px - ax, py - ay, px, py, px + ax, py + ay};
    memcpy(nodes + 6 * k, node, sizeof node);
  }
}

static batten_drawing* drawing_of_circles(const double* radii, size_t count) {
  double nodes[2 * 24];
  const size_t lengths[2] = {4, 4};
  batten_drawing* drawing = NULL;
  for (size_t i = 0; i < count; ++i) circle(110, 80, radii[i], nodes + 24 * i);
  CHECK(batten_drawing_of(nodes, lengths, count, 0, width, height, 300, &drawing, NULL) == BATTEN_OK);
  return drawing;
}

static batten_located* located_ring(const unsigned char* pixels) {
  const batten_image image = {sizeof(batten_image), pixels, width, height, BATTEN_GRAY8, width, NULL, 0};
  batten_located* located = NULL;
  CHECK(batten_locate(&image, NULL, NULL, &located, NULL) == BATTEN_OK);
  return located;
}

static void test_drawing_of(void) {
  const double radii[2] = {60, 30};
  batten_drawing* drawing = drawing_of_circles(radii, 2);
  batten_summary summary = {.struct_size = sizeof summary};
  CHECK(batten_drawing_summary(drawing, &summary) && summary.outlines == 2 && summary.dpi == 300);
  CHECK(batten_outline_nodes(drawing, 1)[2] == 110 && batten_outline_nodes(drawing, 1)[3] == 110);
  batten_drawing_free(drawing);
  const double line[] = {0, 0, 0, 0, 10, 0, 20, 0, 30, 0, 30, 0};
  const size_t length = 2;
  batten_outline info = {.struct_size = sizeof info};
  CHECK(batten_drawing_of(line, &length, 0, 1, 40, 10, 0, &drawing, NULL) == BATTEN_OK);
  CHECK(batten_outline_at(drawing, 0, &info) && !info.closed && info.kind == BATTEN_KIND_LINE && info.nodes == 2);
  CHECK(batten_outline_reasons(drawing, 0)[1] == BATTEN_REASON_LINE_END);
  batten_drawing_free(drawing);
  batten_error error;
  CHECK(batten_drawing_of(NULL, NULL, 1, 0, 1, 1, 0, &drawing, &error) == BATTEN_BAD_OPTION && !drawing);
  CHECK(error.message[0] != 0 && strcmp(batten_name_of(error.code), "bad option") == 0);
}

static void test_judge(const batten_located* located) {
  const double right[2] = {60, 30}, wrong[1] = {63};
  batten_drawing *drawn = drawing_of_circles(right, 2), *judged = NULL;
  batten_summary summary = {.struct_size = sizeof summary};
  CHECK(batten_judge(located, drawn, NULL, NULL, &judged, NULL) == BATTEN_OK);
  CHECK(batten_drawing_summary(judged, &summary) && summary.segments == 8 && summary.max_px < 0.3);
  batten_outline info = {.struct_size = sizeof info};
  CHECK(batten_outline_at(judged, 1, &info) && info.parent == 0); /* nesting is found */
  CHECK(batten_outline_reasons(judged, 0)[0] == BATTEN_REASON_EXTREME_BOTTOM);
  batten_drawing_free(judged), batten_drawing_free(drawn);
  /* One outline 3 px too large, the counter missing. */
  drawn = drawing_of_circles(wrong, 1);
  CHECK(batten_judge(located, drawn, NULL, NULL, &judged, NULL) == BATTEN_OK);
  CHECK(batten_drawing_summary(judged, &summary) && fabs(summary.max_px - 3) < 0.3);
  int missing = 0;
  for (size_t i = 0; i < summary.findings; ++i) {
    batten_finding finding = {.struct_size = sizeof finding};
    CHECK(batten_finding_at(judged, i, &finding));
    missing += finding.what == BATTEN_NO_OUTLINE;
  }
  CHECK(missing == 1);
  batten_drawing_free(judged);
  batten_error error;
  CHECK(batten_judge(NULL, drawn, NULL, NULL, &judged, &error) == BATTEN_BAD_OPTION && !judged);
  CHECK(batten_judge(located, NULL, NULL, NULL, &judged, &error) == BATTEN_BAD_OPTION && error.place[0] != 0);
  batten_drawing_free(drawn);
}

static void test_measure_and_compare(void) {
  const double radii[2] = {60, 30}, larger[1] = {61};
  batten_drawing *truth = drawing_of_circles(radii, 2), *other = drawing_of_circles(larger, 1);
  double xy[2 * 400];
  for (int i = 0; i < 400; ++i) {
    const double turn = 2 * 3.14159265358979323846 * i / 400;
    xy[2 * i] = 110 + 58 * cos(turn), xy[2 * i + 1] = 80 + 58 * sin(turn);
  }
  batten_deviation d = {.struct_size = sizeof d};
  CHECK(batten_measure(truth, 0, xy, 400, 0.25, &d));
  CHECK(fabs(d.max_px - 2) < 0.05 && fabs(d.rms_px - 2) < 0.05 && d.p95_px <= d.max_px);
  CHECK(fabs(hypot(d.worst_x - 110, d.worst_y - 80) - 59) < 1.1);
  CHECK(!batten_measure(truth, 2, xy, 400, 0.25, &d) && !batten_measure(truth, 0, xy, 400, 0, &d));
  CHECK(batten_measure(truth, 0, xy, 0, 0.25, &d) && isinf(d.max_px));
  batten_comparison c = {.struct_size = sizeof c};
  CHECK(batten_compare(other, truth, &c));
  CHECK(c.outlines == 1 && c.missing == 1 && c.extra == 0 && c.segments == 4 && c.truth_segments == 4);
  CHECK(fabs(c.max_px - 1) < 0.05 && !batten_compare(other, NULL, &c));
  batten_drawing_free(truth), batten_drawing_free(other);
}

static void test_sweep(const batten_located* located) {
  const double tolerances[3] = {4, 0.5, 1};
  batten_sweep* sweep = NULL;
  batten_error error;
  CHECK(batten_sweep_located(located, tolerances, 3, NULL, NULL, &sweep, &error) == BATTEN_OK);
  CHECK(batten_sweep_count(sweep) == 3 && batten_sweep_count(NULL) == 0 && !batten_sweep_drawing(sweep, 3));
  double before = 0;
  for (size_t i = 0; i < 3; ++i) {
    batten_summary summary = {.struct_size = sizeof summary};
    CHECK(batten_drawing_summary(batten_sweep_drawing(sweep, i), &summary));
    CHECK(summary.tolerance_px > before && summary.outlines == 2);
    before = summary.tolerance_px;
  }
  size_t recommended = 99;
  int32_t knee = -2;
  CHECK(batten_sweep_choice(sweep, &recommended, &knee) && recommended < 3 && knee >= -1 && knee < 3);
  batten_sweep_free(sweep), batten_sweep_free(NULL);
  CHECK(batten_sweep_located(located, NULL, 0, NULL, NULL, &sweep, &error) == BATTEN_BAD_OPTION && !sweep);
  CHECK(batten_sweep_located(NULL, tolerances, 3, NULL, NULL, &sweep, &error) == BATTEN_BAD_OPTION);
}

static void test_names(void) {
  CHECK(strcmp(batten_name_of(BATTEN_NO_INK_FOUND), "no ink found") == 0);
  CHECK(strcmp(batten_name_of(BATTEN_OK), "ok") == 0 &&
        strcmp(batten_name_of(BATTEN_CANNOT_WRITE), "cannot write") == 0);
  CHECK(strcmp(batten_name_of(6), "unknown") == 0 && strcmp(batten_name_of(-1), "unknown") == 0);
}

int main(void) {
  unsigned char* pixels = gray8();
  batten_located* located = located_ring(pixels);
  test_drawing_of();
  test_judge(located);
  test_measure_and_compare();
  test_sweep(located);
  test_names();
  batten_located_free(located);
  free(pixels);
  return failures != 0;
}
