/* A grey picture of the caller's own in, outlines out. C11, and C++ without exceptions too. */
#include <batten/batten.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int keep_going(void* user, int32_t stage, double fraction) {
  (void)stage;
  *(double*)user = fraction; /* a real program would draw a bar here, and return 0 to cancel */
  return 1;
}

int main(void) {
  enum { side = 200 };
  static unsigned char grey[side * side]; /* a black disc of radius 60 on white, its edge as soft as a scan's */
  for (int y = 0; y < side; ++y)
    for (int x = 0; x < side; ++x) {
      const double outside = hypot(x + 0.5 - 100, y + 0.5 - 100) - 60 + 0.5; /* 0 to 1 across the edge */
      grey[y * side + x] = (unsigned char)(255 * (outside < 0 ? 0 : outside > 1 ? 1 : outside));
    }
  const batten_image image = {sizeof(batten_image), grey, side, side, BATTEN_GRAY8, side, NULL, 0};

  batten_options options;
  batten_options_init(&options, sizeof options);
  options.tolerance_px = 0.5;
  double done = 0;
  const batten_job job = {sizeof(batten_job), keep_going, &done, NULL, NULL, 0, 0};

  batten_drawing* drawing = NULL;
  batten_error error;
  if (batten_convert(&image, &options, &job, &drawing, &error) != BATTEN_OK) {
    fprintf(stderr, "%s\n", error.message);
    return 1;
  }
  for (size_t i = 0; i < batten_outline_count(drawing); ++i) {
    batten_outline info;
    info.struct_size = sizeof info;
    if (!batten_outline_at(drawing, i, &info)) continue;
    const double* node = batten_outline_nodes(drawing, i); /* handle in, place, handle out */
    printf("outline %zu: %zu nodes, at most %.2f px off\n", i, info.nodes, info.max_px);
    for (size_t k = 0; k < info.nodes; ++k)
      printf("  %.1f %.1f (%s)\n", node[6 * k + 2], node[6 * k + 3],
             batten_reason_name(batten_outline_reasons(drawing, i)[k]));
  }
  const size_t size = batten_to_svg(drawing, NULL, 0) + 1;
  char* svg = (char*)malloc(size);
  if (svg && batten_to_svg(drawing, svg, size)) fwrite(svg, 1, size - 1, stdout);
  free(svg);
  batten_drawing_free(drawing);
  return 0;
}
