#ifndef BATTEN_BATTEN_JUDGE_H
#define BATTEN_BATTEN_JUDGE_H
/** \file
 * The C interface, continued: outlines that were there already, judged and compared; one scan at many tolerances. All
 * that batten.h says holds here.
 */
#include "batten/batten.h"

#ifdef __cplusplus
extern "C" {
#endif

/** A drawing of outlines of the caller's, without figures, to be judged, compared or written. nodes: six numbers for
 * each node of all outlines one after another, as batten_outline_nodes() has them; lengths[i]: number of nodes of
 * outline i. `closed` closed ones first, then `open` open ones. */
BATTEN_EXPORT int32_t batten_drawing_of(const double* nodes, const size_t* lengths, size_t closed, size_t open,
                                        double width_px, double height_px, double dpi, batten_drawing** out,
                                        batten_error* error);

/** Judges the drawing's outlines on the located lines of a scan: *out has the same coordinates, with the figures that
 * batten_convert() reports, and findings about how the nodes are set. Figures of an outline that lies on nothing drawn
 * are infinite. options, job and error may be NULL. */
BATTEN_EXPORT int32_t batten_judge(const batten_located* located, const batten_drawing* drawing,
                                   const batten_options* options, const batten_job* job, batten_drawing** out,
                                   batten_error* error);

/** How far two curves are apart, both ways. */
typedef struct batten_deviation {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  double max_px;      /**< largest distance; infinite where one of the curves is empty or not finite */
  double rms_px;      /**< root mean square, by length */
  double p95_px;      /**< 95 % of the length lies nearer */
  double worst_x;     /**< px; where max_px is */
  double worst_y;     /**< px; where max_px is */
} batten_deviation;

/** Distance between an outline and a polyline, both closed, or both open where the outline is. xy: x, y of `points`
 * points; step_px > 0: samples are at most so far apart (0.25 is usual). False (0): an argument that is none, or out of
 * memory. */
BATTEN_EXPORT int batten_measure(const batten_drawing* drawing, size_t outline, const double* xy, size_t points,
                                 double step_px, batten_deviation* info);

/** How a drawing compares with the right one; outlines are paired by where they lie. */
typedef struct batten_comparison {
  size_t struct_size;     /**< sizeof of the struct, set by the caller */
  size_t outlines;        /**< in both */
  size_t missing;         /**< outlines of the truth without one in the drawing */
  size_t extra;           /**< outlines of the drawing without one in the truth */
  size_t segments;        /**< of the drawing's outlines that are in both */
  size_t truth_segments;  /**< of the truth's */
  size_t corners_found;   /**< corners of the truth with one of the drawing within 5 px */
  size_t corners_missing; /**< corners of the truth without one */
  size_t corners_extra;   /**< corners of the drawing that are none in the truth */
  double max_px;          /**< largest distance, over all outlines that are in both; infinite where none is */
  double rms_px;          /**< root mean square, by length */
  double p95_px;          /**< 95 % of the length lies nearer */
  double worst_x;         /**< px; where max_px is */
  double worst_y;         /**< px; where max_px is */
} batten_comparison;

/** Both drawings are in px of the same sheet. False (0): an argument that is NULL, or out of memory. */
BATTEN_EXPORT int batten_compare(const batten_drawing* drawing, const batten_drawing* truth, batten_comparison* info);

/** Drawings of one scan, from the finest tolerance to the widest. Release with batten_sweep_free(). */
typedef struct batten_sweep batten_sweep;

/** Makes a drawing for each of `count` tolerances (px, > 0, in any order). options->tolerance_px is not used. */
BATTEN_EXPORT int32_t batten_sweep_located(const batten_located* located, const double* tolerances_px, size_t count,
                                           const batten_options* options, const batten_job* job, batten_sweep** out,
                                           batten_error* error);
BATTEN_EXPORT void batten_sweep_free(batten_sweep* sweep);          /**< NULL is fine; its drawings go with it */
BATTEN_EXPORT size_t batten_sweep_count(const batten_sweep* sweep); /**< how many drawings; 0 for NULL */
/** Drawing `index`, owned by the sweep; NULL beyond the last. */
BATTEN_EXPORT const batten_drawing* batten_sweep_drawing(const batten_sweep* sweep, size_t index);
/** Indices of the drawing to take, and of the knee beyond which further nodes buy little (-1: there is none). */
BATTEN_EXPORT int batten_sweep_choice(const batten_sweep* sweep, size_t* recommended, int32_t* knee);

#ifdef __cplusplus
}
#endif
#endif
