#ifndef BATTEN_BATTEN_PINS_H
#define BATTEN_BATTEN_PINS_H
/** \file
 * The C interface, continued: pins, what whoever drew has decided where a drawing can be read in more than one way. All
 * that batten.h says holds here. batten_files.h reads lists of them.
 */
#include "batten/batten.h"

#ifdef __cplusplus
extern "C" {
#endif

/** What a pin decides; README.md says more of each. Those up to START are about outlines, the others about the scan. */
typedef enum batten_pin_kind {
  BATTEN_PIN_NODE = 0,       /**< one place; see turn and along */
  BATTEN_PIN_NO_NODE = 1,    /**< one place; length_px: how far round it, 0: one line width, at least 6 px */
  BATTEN_PIN_CORNER = 2,     /**< one place */
  BATTEN_PIN_NO_CORNER = 3,  /**< one place */
  BATTEN_PIN_STRAIGHT = 4,   /**< between two places; see along */
  BATTEN_PIN_SHARE_X = 5,    /**< the nodes at two or more places */
  BATTEN_PIN_SHARE_Y = 6,    /**< the nodes at two or more places */
  BATTEN_PIN_EQUAL = 7,      /**< four places: two as far apart as the other two */
  BATTEN_PIN_THROUGH = 8,    /**< one place */
  BATTEN_PIN_START = 9,      /**< one place */
  BATTEN_PIN_IGNORE = 10,    /**< a polygon */
  BATTEN_PIN_DRAWN_AS = 11,  /**< a polygon; see drawn */
  BATTEN_PIN_INK = 12,       /**< a polygon */
  BATTEN_PIN_PAPER = 13,     /**< a polygon */
  BATTEN_PIN_TOLERANCE = 14, /**< a polygon; length_px */
  BATTEN_PIN_CLOSE_GAP = 15, /**< from one place to another */
  BATTEN_PIN_KEEP_APART = 16 /**< from one place to another */
} batten_pin_kind;
/** Which sort of node. */
typedef enum batten_turn { BATTEN_TURN_ANY = 0, BATTEN_TURN_CORNER = 1, BATTEN_TURN_SMOOTH = 2 } batten_turn;
/** Which way handles or a straight run. */
typedef enum batten_along { BATTEN_ALONG_ANY = 0, BATTEN_ALONG_LEVEL = 1, BATTEN_ALONG_VERTICAL = 2 } batten_along;
/** What a region was drawn as. */
typedef enum batten_drawn { BATTEN_DRAWN_SHADED = 0, BATTEN_DRAWN_OUTLINED = 1, BATTEN_DRAWN_LINES = 2 } batten_drawn;

/** One decision. */
typedef struct batten_pin {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  int32_t kind;       /**< batten_pin_kind */
  int32_t turn;       /**< batten_turn, of a node */
  int32_t along;      /**< batten_along, of a node and of a straight */
  int32_t drawn;      /**< batten_drawn */
  double length_px;   /**< of a tolerance, and round a place without a node */
  const double* xy;   /**< px: x, y of its places one after another; copied */
  size_t places;      /**< how many */
} batten_pin;

/** A list of pins for batten_options.pins. Release with batten_pins_free(), not before the jobs that use it return. */
typedef struct batten_pins batten_pins;
BATTEN_EXPORT batten_pins* batten_pins_new(void); /**< NULL: out of memory */
/** Puts a copy of a pin at the end of the list. */
BATTEN_EXPORT int32_t batten_pins_add(batten_pins* pins, const batten_pin* pin, batten_error* error);
BATTEN_EXPORT size_t batten_pins_count(const batten_pins* pins); /**< 0 for NULL */
BATTEN_EXPORT void batten_pins_free(batten_pins* pins);          /**< NULL is fine */

/** What became of a pin. */
typedef struct batten_pin_outcome {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  int32_t held;       /**< 1: the drawing is as the pin says */
  int32_t outline;    /**< nearest to its first place; -1: none is near */
  double distance_px; /**< how far the drawing misses it; 0 where it is held */
  double off_line_px; /**< held, but the outline lies so far off the drawn line there, over its limit; else 0 */
  double x;           /**< px: its first place */
  double y;           /**< px */
  size_t against;     /**< how many pins contradict it */
  const char* text;   /**< one sentence, UTF-8; owned by the drawing */
} batten_pin_outcome;

/** Like batten_drawing_summary(), for one pin of the list that the drawing was made with. */
BATTEN_EXPORT int batten_pin_outcome_at(const batten_drawing* drawing, size_t pin, batten_pin_outcome* info);
/** The number, from 0 on, of a pin that contradicts it. False (0) beyond the last. */
BATTEN_EXPORT int batten_pin_against(const batten_drawing* drawing, size_t pin, size_t which, size_t* other);

#ifdef __cplusplus
}
#endif
#endif
