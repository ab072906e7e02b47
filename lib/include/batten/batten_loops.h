#ifndef BATTEN_BATTEN_LOOPS_H
#define BATTEN_BATTEN_LOOPS_H
/** \file
 * The C interface, continued: the lines that were located, and polylines that say how nearly they are known. All that
 * batten.h says holds here.
 */
#include "batten/batten.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A located line: what outlines are fitted to, with what is known of it. */
typedef struct batten_loop {
  size_t struct_size;    /**< sizeof of the struct, set by the caller */
  const double* xy;      /**< x, y of all points, px; the first of a closed one is not repeated. Owned by the handle */
  size_t points;         /**< how many */
  int32_t closed;        /**< 0: a line from its first point to its last */
  int32_t kind;          /**< batten_kind */
  double sigma_px;       /**< how far points lie off what was meant, across the line: one standard deviation */
  double correlation_px; /**< length along the line over which errors of neighbouring points are alike */
  double band_px;        /**< width of the pencil band; 0: none measured */
} batten_loop;

/** How many lines were located; 0 for NULL. */
BATTEN_EXPORT size_t batten_located_count(const batten_located* located);
/** Line `loop` of what was located; its points can be read until the handle is freed. False (0) beyond the last. */
BATTEN_EXPORT int batten_located_loop(const batten_located* located, size_t loop, batten_loop* info);

/** What outline `outline` was fitted to; its points can be read until the drawing is freed. False (0) beyond the last.
 */
BATTEN_EXPORT int batten_outline_loop(const batten_drawing* drawing, size_t outline, batten_loop* info);

/** A polyline of the caller's, with what is known of its noise. */
typedef struct batten_polyline {
  size_t struct_size; /**< sizeof of the struct, set by the caller; the same for all of an array */
  const double* xy;   /**< x, y of all points, px */
  size_t points;      /**< how many: at least 3 if closed, else 2 */
  int32_t closed;     /**< 0: a line from its first point to its last */
  int32_t reserved;   /**< 0 */
  double sigma_px;    /**< how far points stray across the line, one standard deviation; 0: found from the points */
  const double* sigmas_px; /**< the same for each point, in place of sigma_px; NULL: none */
  double correlation_px;   /**< length over which errors of neighbouring points are alike; 0: found from the points */
  double band_px;          /**< width of the pencil line down whose middle the points run; 0: no pencil line */
} batten_polyline;

/** As batten_fit_lines(), for polylines that say how nearly they are known; the drawing has the closed ones first, then
 * the open ones. batten_located_loop() gives what goes in here. */
BATTEN_EXPORT int32_t batten_fit_polylines(const batten_polyline* polylines, size_t count,
                                           const batten_options* options, const batten_job* job, batten_drawing** out,
                                           batten_error* error);

#ifdef __cplusplus
}
#endif
#endif
