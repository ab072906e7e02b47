#ifndef CHECK_H
#define CHECK_H
/* What the tests of the C interface share: they print nothing when all is well. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

static int failures = 0;
#define CHECK(condition)                                                      \
  do {                                                                        \
    if (!(condition)) {                                                       \
      fprintf(stderr, "%s:%d: not so: %s\n", __FILE__, __LINE__, #condition); \
      ++failures;                                                             \
    }                                                                         \
  } while (0)

enum { width = 220, height = 160 };

/* How dark a ring of ink (radii 30 and 60) is at a pixel, 0 to 1: a counter in an outer outline. */
static inline double ring(int x, int y) {
  const double r = hypot(x + 0.5 - 110, y + 0.5 - 80);
  const double outside = fmax(r - 60, 30 - r);
  return 1 - fmin(1, fmax(0, outside + 0.5));
}

static inline unsigned char* gray8(void) {
  unsigned char* p = (unsigned char*)malloc(width * height);
  for (int y = 0; y < height; ++y)
    for (int x = 0; x < width; ++x) p[y * width + x] = (unsigned char)lround(255 * (1 - ring(x, y)));
  return p;
}
#endif
