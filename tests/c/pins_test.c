/* The C interface of pins: lists, what they change, what became of them, files. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "batten/batten_files.h"
#include "batten/batten_pins.h"
#include "check.h"

enum { points = 500 };

static void circle(double* xy) {
  for (int i = 0; i < points; ++i) {
    const double t = 2 * 3.14159265358979323846 * i / points;
    xy[2 * i] = 120 + 80 * cos(t), xy[2 * i + 1] = 120 + 80 * sin(t);
  }
}

static batten_pin pin_of(int32_t kind, const double* xy, size_t places) {
  batten_pin pin;
  memset(&pin, 0, sizeof pin);
  pin.struct_size = sizeof pin, pin.kind = kind, pin.xy = xy, pin.places = places;
  return pin;
}

static double nearest_node(const batten_drawing* drawing, double x, double y) {
  double least = 1e9;
  for (size_t o = 0; o < batten_outline_count(drawing); ++o) {
    batten_outline outline;
    outline.struct_size = sizeof outline;
    CHECK(batten_outline_at(drawing, o, &outline));
    const double* nodes = batten_outline_nodes(drawing, o);
    for (size_t i = 0; i < outline.nodes; ++i) {
      const double px = hypot(nodes[6 * i + 2] - x, nodes[6 * i + 3] - y);
      if (px < least) least = px;
    }
  }
  return least;
}

static void lists(void) {
  const double at[2] = {100, 60}, bad[2] = {NAN, 0};
  batten_pins* pins = batten_pins_new();
  batten_pin pin = pin_of(BATTEN_PIN_NODE, at, 1);
  batten_error error;
  CHECK(pins && batten_pins_count(pins) == 0);
  CHECK(batten_pins_add(pins, &pin, &error) == BATTEN_OK && batten_pins_count(pins) == 1);
  pin.places = 0;
  CHECK(batten_pins_add(pins, &pin, &error) == BATTEN_BAD_OPTION && strlen(error.message) > 10);
  pin = pin_of(BATTEN_PIN_NODE, bad, 1);
  CHECK(batten_pins_add(pins, &pin, NULL) == BATTEN_BAD_OPTION);
  pin = pin_of(99, at, 1);
  CHECK(batten_pins_add(pins, &pin, NULL) == BATTEN_BAD_OPTION);
  pin.struct_size = 4;
  CHECK(batten_pins_add(pins, &pin, NULL) == BATTEN_BAD_OPTION);
  CHECK(batten_pins_add(NULL, &pin, NULL) == BATTEN_BAD_OPTION &&
        batten_pins_add(pins, NULL, NULL) == BATTEN_BAD_OPTION);
  CHECK(batten_pins_count(pins) == 1 && batten_pins_count(NULL) == 0);
  batten_pins_free(pins);
  batten_pins_free(NULL);
}

static void drawings(void) {
  static double xy[2 * points];
  const size_t length = points;
  const double at[2] = {120 + 80 * cos(0.6), 120 - 80 * sin(0.6)}, far[2] = {120, 46};
  batten_pins* pins = batten_pins_new();
  batten_pin node = pin_of(BATTEN_PIN_NODE, at, 1), through = pin_of(BATTEN_PIN_THROUGH, far, 1),
             none = pin_of(BATTEN_PIN_NO_NODE, at, 1);
  batten_options options;
  batten_drawing *without = NULL, *made = NULL;
  batten_pin_outcome outcome;
  batten_summary summary;
  size_t other = 77;
  circle(xy);
  batten_options_init(&options, sizeof options);
  CHECK(options.pins == NULL);
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &without, NULL) == BATTEN_OK);
  CHECK(nearest_node(without, at[0], at[1]) > 10);
  CHECK(batten_pins_add(pins, &node, NULL) == BATTEN_OK && batten_pins_add(pins, &through, NULL) == BATTEN_OK);
  options.pins = pins;
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &made, NULL) == BATTEN_OK);
  CHECK(nearest_node(made, at[0], at[1]) < 1e-3);
  outcome.struct_size = sizeof outcome;
  CHECK(batten_pin_outcome_at(made, 0, &outcome) && outcome.held && outcome.outline == 0 && outcome.x == at[0]);
  CHECK(batten_pin_outcome_at(made, 1, &outcome) && !outcome.held && fabs(outcome.distance_px - 6) < 0.5);
  CHECK(strstr(outcome.text, "Pin 2") == outcome.text);
  CHECK(!batten_pin_outcome_at(made, 2, &outcome) && !batten_pin_outcome_at(NULL, 0, &outcome));
  summary.struct_size = sizeof summary;
  CHECK(batten_drawing_summary(made, &summary) && summary.pins == 2 && summary.pins_held == 1);
  batten_drawing_free(made);
  CHECK(batten_pins_add(pins, &none, NULL) == BATTEN_OK);
  CHECK(batten_fit(xy, &length, 1, &options, NULL, &made, NULL) == BATTEN_OK);
  CHECK(batten_pin_outcome_at(made, 0, &outcome) && outcome.against == 1 && !outcome.held);
  CHECK(batten_pin_against(made, 0, 0, &other) && other == 2 && !batten_pin_against(made, 0, 1, &other));
  batten_drawing_free(made);
  batten_drawing_free(without);
  batten_pins_free(pins);
}

static void files(const char* folder) {
  char path[512];
  batten_pins* pins = NULL;
  batten_error error;
  FILE* file;
  snprintf(path, sizeof path, "%s/c-pins.json", folder);
  file = fopen(path, "w");
  CHECK(file != NULL);
  fputs("{\"batten_pins\": 1, \"unit\": \"mm\", \"pins\": [{\"pin\": \"corner\", \"at\": [1, 2]}]}", file);
  fclose(file);
  CHECK(batten_read_pins(path, 300, &pins, &error) == BATTEN_OK && batten_pins_count(pins) == 1);
  batten_pins_free(pins);
  CHECK(batten_read_pins(path, 0, &pins, &error) == BATTEN_RESOLUTION_UNKNOWN && pins == NULL);
  CHECK(batten_read_pins("/no/such/file", 0, &pins, &error) == BATTEN_FILE_NOT_FOUND);
  CHECK(batten_read_pins(NULL, 0, &pins, &error) == BATTEN_BAD_OPTION);
  remove(path);
}

int main(int argc, char** argv) {
  lists();
  drawings();
  files(argc > 1 ? argv[1] : "/tmp");
  return failures;
}
