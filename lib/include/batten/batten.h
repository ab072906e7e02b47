#ifndef BATTEN_BATTEN_H
#define BATTEN_BATTEN_H
/** \file
 * The C interface: pixels or polylines in, outlines out. C11 and C++; nothing is thrown, printed or kept between calls,
 * and any number of threads may call at once, each with handles of its own.
 *
 * Units: pixels of the scan; x runs right, y runs DOWN; (0,0) is the outer corner of the first pixel.
 *
 * Structs begin with struct_size: set it to sizeof before handing one over. They only ever grow at the end, so that a
 * program built against an older header keeps working. Functions that can fail return a batten_code and, if `error` is
 * not NULL, a sentence in it that says what to try.
 *
 * \include trace.c
 */
#include <stddef.h>
#include <stdint.h>

#include "batten/export.h"

#ifdef __cplusplus
extern "C" {
#endif

/** The numbers never change. Those from 100 on but bad pixels and no ink belong to batten_files.h. */
typedef enum batten_code {
  BATTEN_OK = 0,
  BATTEN_BAD_OPTION = 1, /**< an option out of range, a NULL that must not be, or a struct_size that is unknown */
  BATTEN_CANCELLED = 2,
  BATTEN_OUT_OF_MEMORY = 3,
  BATTEN_INTERNAL = 4, /**< an error inside batten */
  BATTEN_BAD_POLYLINE = 5,
  BATTEN_FILE_NOT_FOUND = 100,
  BATTEN_NOT_AN_IMAGE = 101,
  BATTEN_IMAGE_TOO_LARGE = 102,
  BATTEN_IMAGE_TRUNCATED = 103,
  BATTEN_RESOLUTION_UNKNOWN = 104,
  BATTEN_BAD_PIXELS = 105,
  BATTEN_NOT_A_DRAWING = 106,
  BATTEN_NO_INK_FOUND = 200,
  BATTEN_NAMES_MISMATCH = 300,
  BATTEN_CANNOT_WRITE = 400
} batten_code;

/** An error, in the caller's memory; its texts are always terminated. */
typedef struct batten_error {
  int32_t code;      /**< batten_code */
  char message[256]; /**< one sentence: what is wrong and what to try */
  char place[64];    /**< option or stage; may be empty */
} batten_error;

/** Whether extremes of smooth curves must be nodes. */
typedef enum batten_extremes { BATTEN_EXTREMES_REQUIRED = 0, BATTEN_EXTREMES_FREE = 1 } batten_extremes;
/** What shapes were drawn as. */
typedef enum batten_drawing_kind {
  BATTEN_DRAWING_AUTOMATIC = 0,
  BATTEN_DRAWING_OUTLINED = 1,
  BATTEN_DRAWING_FILLED = 2,
  BATTEN_DRAWING_LINES = 3 /**< a network of pencil lines: open ones, and areas that share borders */
} batten_drawing_kind;
/** What is delivered. */
typedef enum batten_output {
  BATTEN_OUTPUT_BOTH = 0,
  BATTEN_OUTPUT_OUTLINES = 1, /**< closed outlines only */
  BATTEN_OUTPUT_LINES = 2     /**< open lines only, borders that areas share as well, in place of the areas */
} batten_output;
/** What becomes of pale lines and circles that were set out before the drawing. */
typedef enum batten_construction {
  BATTEN_CONSTRUCTION_LEAVE_OUT = 0,
  BATTEN_CONSTRUCTION_KEEP = 1 /**< they are delivered as lines */
} batten_construction;

/** What is straightened within the tolerance; bits of batten_options.straighten. */
typedef enum batten_straighten {
  BATTEN_STRAIGHTEN_OFF = 0,
  BATTEN_STRAIGHTEN_AXES = 1,        /**< straights near an axis become level or vertical */
  BATTEN_STRAIGHTEN_SLANTS = 2,      /**< stems of slanted letters take one slope */
  BATTEN_STRAIGHTEN_LINES = 4,       /**< feet, tops and crossbars of a row come to lie on one line */
  BATTEN_STRAIGHTEN_WIDTHS = 8,      /**< stems and strokes of nearly equal width become equal */
  BATTEN_STRAIGHTEN_OVERSHOOTS = 16, /**< rounds that pass the line by nearly the same amount get the same overshoot */
  BATTEN_STRAIGHTEN_ALL = 31
} batten_straighten;
/** Which way outer outlines run on screen; counters run the other way. */
typedef enum batten_direction { BATTEN_CLOCKWISE = 0, BATTEN_ANTICLOCKWISE = 1 } batten_direction;
/** Where outlines start. */
typedef enum batten_start { BATTEN_START_CORNER = 0, BATTEN_START_EXTREME = 1 } batten_start;

/** What is asked for. Start from batten_options_init(). */
typedef struct batten_options {
  size_t struct_size;     /**< sizeof of the struct, set by the caller */
  double tolerance_px;    /**< > 0; NAN: 2.6 times the pencil line's standard deviation, at least 0.5. DEFAULT: 1 */
  double dpi;             /**< pixels per inch, for sizes in mm; 0: unknown. DEFAULT: 0 */
  int32_t extremes;       /**< batten_extremes. DEFAULT: required */
  int32_t drawing;        /**< batten_drawing_kind. DEFAULT: automatic */
  int32_t threads;        /**< 0: one for each core; the drawing never depends on it. DEFAULT: 1 */
  int32_t reserved;       /**< 0 */
  int32_t straighten;     /**< bits of batten_straighten. DEFAULT: all */
  int32_t symmetry;       /**< 1: shapes that are their own mirror image become exactly so. DEFAULT: 0 */
  int32_t deskew;         /**< 1: a sheet that lay askew is turned level. DEFAULT: 0 */
  int32_t direction;      /**< batten_direction. DEFAULT: clockwise */
  int32_t start;          /**< batten_start. DEFAULT: corner */
  int32_t reserved2;      /**< 0 */
  double grid_px;         /**< coordinates become whole multiples of it, 1e-6 .. 1000; 0: none. DEFAULT: 0 */
  int32_t output;         /**< batten_output. DEFAULT: both */
  int32_t construction;   /**< batten_construction. DEFAULT: leave out */
  int32_t hold_tolerance; /**< 1: tolerance_px is held even where the pencil line is known less nearly. DEFAULT: 0 */
  int32_t reserved3;      /**< 0 */
  const struct batten_pins* pins; /**< decisions that win over detection; see batten_pins.h. DEFAULT: NULL, none */
} batten_options;

/** Fills in the defaults; struct_size is sizeof(batten_options) of the caller. */
BATTEN_EXPORT void batten_options_init(batten_options* options, size_t struct_size);

/** Samples of a pixel, in this order in memory; alpha is not premultiplied but where a name says so. */
typedef enum batten_format {
  BATTEN_GRAY8 = 0,
  BATTEN_GRAY16 = 1,
  BATTEN_RGB8 = 2,
  BATTEN_RGBA8 = 3,
  BATTEN_RGB16 = 4,
  BATTEN_RGBA16 = 5,
  BATTEN_BGR8 = 6,
  BATTEN_BGRA8 = 7,
  BATTEN_BGR16 = 8,
  BATTEN_BGRA16 = 9,
  BATTEN_RGBA8_PREMULTIPLIED = 10,
  BATTEN_BGRA8_PREMULTIPLIED = 11,
  BATTEN_RGBA16_PREMULTIPLIED = 12,
  BATTEN_BGRA16_PREMULTIPLIED = 13
} batten_format;

/** Pixels of the caller, read where they are; 16-bit samples in native byte order; alpha is laid over white. */
typedef struct batten_image {
  size_t struct_size;     /**< sizeof of the struct, set by the caller */
  const void* pixels;     /**< first sample of the upper left pixel */
  int32_t width;          /**< px, > 0 */
  int32_t height;         /**< px, > 0 */
  int32_t format;         /**< batten_format */
  ptrdiff_t stride_bytes; /**< from one row to the next; may be negative */
  /** A byte for each pixel, 0: it is not read, and counts as bare paper. NULL: all are read. */
  const uint8_t* mask;
  ptrdiff_t mask_stride_bytes; /**< from one row of the mask to the next; may be negative */
} batten_image;

/** A way to stop jobs from any thread; one may serve several jobs. */
typedef struct batten_stop batten_stop;
BATTEN_EXPORT batten_stop* batten_stop_new(void);          /**< NULL: out of memory. Release with batten_stop_free(). */
BATTEN_EXPORT void batten_stop_request(batten_stop* stop); /**< from any thread; NULL is fine */
BATTEN_EXPORT void batten_stop_free(batten_stop* stop);    /**< not before the jobs that use it have returned */

/** How much a message matters. */
typedef enum batten_level {
  BATTEN_LEVEL_INFO = 0,   /**< good to know */
  BATTEN_LEVEL_WARNING = 1 /**< look at the drawing there */
} batten_level;

/** How a caller follows a long job: all may be NULL. Callbacks come on the thread that called, and must not unwind. */
typedef struct batten_job {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  /** fraction: 0..1 of the whole, never falls; returning 0 cancels. */
  int (*progress)(void* user, int32_t stage, double fraction);
  void* user;        /**< handed to progress and log as it is */
  batten_stop* stop; /**< how another thread ends the job */
  /** Each finding as it is made: level is batten_level, text one sentence in UTF-8, valid during the call. */
  void (*log)(void* user, int32_t level, const char* text);
  int32_t threads;  /**< how many threads this job may use; 0: as batten_options.threads says */
  int32_t reserved; /**< 0 */
} batten_job;

/** What a job made; never changes, so that several threads may read it. Release with batten_drawing_free(). */
typedef struct batten_drawing batten_drawing;

/** Traces a picture. On BATTEN_OK *out is the drawing, otherwise NULL. options, job and error may be NULL. */
BATTEN_EXPORT int32_t batten_convert(const batten_image* image, const batten_options* options, const batten_job* job,
                                     batten_drawing** out, batten_error* error);

/** Where the pencil went, found once, for tracing at many tolerances; never changes, so that several threads may trace
 * from it at once. Release with batten_located_free(). */
typedef struct batten_located batten_located;

/** The first half of batten_convert(). Of the options, drawing, dpi and threads count here. On BATTEN_OK *out is what
 * was found, otherwise NULL; the image is not needed any more. options, job and error may be NULL. */
BATTEN_EXPORT int32_t batten_locate(const batten_image* image, const batten_options* options, const batten_job* job,
                                    batten_located** out, batten_error* error);

/** The second half: batten_locate() and then this give the same drawing as batten_convert() in one go. */
BATTEN_EXPORT int32_t batten_convert_located(const batten_located* located, const batten_options* options,
                                             const batten_job* job, batten_drawing** out, batten_error* error);

BATTEN_EXPORT void batten_located_free(batten_located* located); /**< NULL is fine; drawings made from it stay */

/** Fits `count` closed polylines. xy holds x, y of all points one after another; lengths[i] is the number of points of
 * polyline i, at least 3. Places may lie anywhere within 1e9 px; the sheet follows them. */
BATTEN_EXPORT int32_t batten_fit(const double* xy, const size_t* lengths, size_t count, const batten_options* options,
                                 const batten_job* job, batten_drawing** out, batten_error* error);

/** The same for `closed` closed polylines and then `open` open ones, of at least 2 points each; the drawing has them in
 * this order. A line begins and ends where its polyline does. */
BATTEN_EXPORT int32_t batten_fit_lines(const double* xy, const size_t* lengths, size_t closed, size_t open,
                                       const batten_options* options, const batten_job* job, batten_drawing** out,
                                       batten_error* error);

BATTEN_EXPORT void batten_drawing_free(batten_drawing* drawing); /**< NULL is fine */

/** Figures of the whole drawing. */
typedef struct batten_summary {
  size_t struct_size;   /**< sizeof of the struct, set by the caller */
  double width_px;      /**< of the scan */
  double height_px;     /**< of the scan */
  double dpi;           /**< 0: unknown */
  size_t outlines;      /**< how many */
  size_t segments;      /**< of all outlines */
  size_t findings;      /**< how many */
  double max_px;        /**< largest deviation, both ways, measured apart from the fit */
  double rms_px;        /**< root mean square of the same */
  double tolerance_px;  /**< as asked; where none was, the largest that was chosen */
  double p95_px;        /**< 95 % of the length lies nearer */
  size_t fewest_found;  /**< segments: fitting found no outlines with fewer; 0: not sought */
  size_t fewest_proven; /**< segments: no outlines with these corners and extremes can have fewer; 0: not sought */
  size_t edits;         /**< how many straightenings, undone ones too */
  double turn_deg;      /**< how the sheet lay on the glass, positive clockwise on screen; NAN: not known */
  double known_px;      /**< how nearly the lines are known: the largest of 2.6 sigma_px of the outlines */
  double origin_x;      /**< px; upper left corner of the sheet, (0, 0) but where batten_fit() got negative places */
  double origin_y;      /**< px */
  size_t pins;          /**< how many there were; see batten_pins.h */
  size_t pins_held;     /**< how many of them are held */
  /** 1: by the independent measurement all of it, but for the stated tips, lies within the tolerance that was asked for
   * (where none was, within what was chosen for each outline), and nothing was left out for its form */
  int32_t within_tolerance;
  int32_t reserved; /**< 0 */
} batten_summary;

/** summary->struct_size must be set; fills in what fits. False (0) if it is too small or an argument is NULL. */
BATTEN_EXPORT int batten_drawing_summary(const batten_drawing* drawing, batten_summary* summary);

/** Number of outlines; 0 for NULL. */
BATTEN_EXPORT size_t batten_outline_count(const batten_drawing* drawing);

/** What a shape was drawn as. */
typedef enum batten_kind { BATTEN_KIND_OUTLINED = 0, BATTEN_KIND_FILLED = 1, BATTEN_KIND_LINE = 2 } batten_kind;

/** What the inside of a closed outline holds. */
typedef enum batten_inside {
  BATTEN_INSIDE_UNKNOWN = 0, /**< too small to tell, or nothing was looked at */
  BATTEN_INSIDE_PAPER = 1,
  BATTEN_INSIDE_HATCHED = 2, /**< strokes with paper between them, one way or crossed */
  BATTEN_INSIDE_SHADED = 3,  /**< ink without a direction, uneven */
  BATTEN_INSIDE_SOLID = 4,   /**< ink all over, even */
  BATTEN_INSIDE_COLOURED = 5 /**< most of it has more of a tint than the paper */
} batten_inside;

/** One outline and its figures. */
typedef struct batten_outline {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  int32_t parent;     /**< the outline that this one is a counter (or an island) of; -1: none */
  int32_t kind;       /**< batten_kind */
  int32_t closed;     /**< segments run from node i to node i + 1, and from the last to the first if closed */
  size_t nodes;       /**< how many */
  double sigma_px;    /**< how far points of the line lie off what was meant, one standard deviation */
  double band_px;     /**< width of its band; 0: none measured */
  double max_px;      /**< largest deviation, both ways */
  double rms_px;      /**< root mean square of the same */
  double p95_px;      /**< 95 % of the length lies nearer */
  double worst_x;     /**< px; where max_px is */
  double worst_y;     /**< px; where max_px is */
  double limit_px;    /**< what was held here: the tolerance, or how far the line wavers if that is more */
  int32_t inside;     /**< batten_inside */
  double ink_share;   /**< 0..1 of what lies inside, a band off all lines; 0 where unknown */
  const char* why;    /**< why it was taken for its kind, and what its inside shows; owned by the drawing, never NULL */
  int32_t within_tolerance; /**< 1: all of it, but for the stated tips, lies within tolerance_px, as measured */
  int32_t reserved;         /**< 0 */
  double tolerance_px;      /**< as asked for this outline; where none was, as chosen */
} batten_outline;

/** Like batten_drawing_summary(), for one outline. Outer ones run clockwise on screen, counters the other way. */
BATTEN_EXPORT int batten_outline_at(const batten_drawing* drawing, size_t outline, batten_outline* info);

/** Six numbers for each node: handle before, place, handle after, x before y; positions, not offsets. A retracted
 * handle equals its place; a straight has both retracted. Owned by the drawing; NULL beyond the last outline. */
BATTEN_EXPORT const double* batten_outline_nodes(const batten_drawing* drawing, size_t outline);

/** Why a node is where it is. */
typedef enum batten_reason {
  BATTEN_REASON_CORNER = 0, /**< the direction jumps here; all other nodes but ends of lines are smooth */
  BATTEN_REASON_EXTREME_LEFT = 1,
  BATTEN_REASON_EXTREME_RIGHT = 2,
  BATTEN_REASON_EXTREME_TOP = 3,
  BATTEN_REASON_EXTREME_BOTTOM = 4,
  BATTEN_REASON_STRAIGHT_END = 5,
  BATTEN_REASON_ADDED = 6,
  BATTEN_REASON_LINE_END = 7 /**< an open line ends here */
} batten_reason;

/** Why each node is where it is (batten_reason). Owned by the drawing; NULL beyond the last outline. */
BATTEN_EXPORT const int32_t* batten_outline_reasons(const batten_drawing* drawing, size_t outline);

/** What a finding is about. */
typedef enum batten_what {
  BATTEN_TOLERANCE_EXCEEDED = 0,
  BATTEN_TOLERANCE_BELOW_UNCERTAINTY = 1,
  BATTEN_FALLBACK = 2,            /**< a simpler method was used */
  BATTEN_CROSSING_OUTLINE = 3,    /**< an outline crosses itself or another */
  BATTEN_REFINEMENT_STOPPED = 4,  /**< the nodes of an outline were not worked out to the end */
  BATTEN_OPEN_LINES_LEFT_OUT = 5, /**< lines that enclose nothing were not traced */
  BATTEN_DROPPED_SPECK = 6,       /**< ink too small to be a shape */
  BATTEN_GUIDE_REMOVED = 7,       /**< a ruled line was taken out of the ink */
  BATTEN_HATCHING_REMOVED = 8,    /**< a shape was outlined and hatched in: its outline was traced */
  BATTEN_TURNED_OVER = 9,         /**< light lines on a dark ground were taken for the drawing */
  BATTEN_NOT_DRAWN = 10,          /**< from here on by batten_judge(): an outline lies on nothing that was drawn */
  BATTEN_NO_OUTLINE = 11,         /**< something was drawn that has no outline */
  BATTEN_EXTREME_WITHOUT_NODE = 12,
  BATTEN_HANDLE_OFF_AXIS = 13,
  BATTEN_KINK = 14,
  BATTEN_NEEDLESS_NODE = 15,
  BATTEN_STRAIGHT_WITH_HANDLES = 16,
  BATTEN_NEARLY_ON_AXIS = 17,
  BATTEN_PLACED = 18,         /**< how an outline was read and laid on the scan */
  BATTEN_PAGES_LEFT_OUT = 19, /**< does not occur here */
  BATTEN_LEFT_OUT = 20,       /**< an outline came out crossed, or thinner than its own line: it was not delivered */
  BATTEN_LEFT_AS_IT_WAS = 21, /**< does not occur here */
  BATTEN_CLOSED_BY_STRAIGHT = 22, /**< by batten_fit(): a polyline ended far from its start; amount_px is the gap */
  BATTEN_PIN_NOT_HELD = 23,       /**< amount_px: how far it is missed, or what it costs */
  BATTEN_PINS_CONTRADICT = 24,    /**< two pins ask for what cannot be had together: the later one counts */
  BATTEN_READ_IN_COPY = 25,       /**< a large scan whose lines are all broad was read in a smaller copy */
  BATTEN_TOLERANCE_WIDENED = 26   /**< the line wavers by more than the tolerance; amount_px was held instead */
} batten_what;

/** Something the caller should know although the drawing was delivered. */
typedef struct batten_finding {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  int32_t what;       /**< batten_what; more may come */
  int32_t warning;    /**< 0: for information */
  int32_t outline;    /**< -1: the whole sheet */
  double x;           /**< px; where */
  double y;           /**< px; where */
  double amount_px;   /**< how much: a deviation, a standard deviation, a size */
  const char* text;   /**< one sentence, UTF-8; owned by the drawing */
} batten_finding;

/** Like batten_drawing_summary(), for one finding. */
BATTEN_EXPORT int batten_finding_at(const batten_drawing* drawing, size_t finding, batten_finding* info);

/** What was straightened. */
typedef enum batten_edit_kind {
  BATTEN_EDIT_LEVEL = 0,     /**< a straight became exactly level */
  BATTEN_EDIT_VERTICAL = 1,  /**< a straight became exactly vertical */
  BATTEN_EDIT_SLANT = 2,     /**< a straight took the slope of those that lean alike */
  BATTEN_EDIT_LINE = 3,      /**< two straights came to lie on one line */
  BATTEN_EDIT_WIDTH = 4,     /**< a stroke took the width of another */
  BATTEN_EDIT_OVERSHOOT = 5, /**< a round took the overshoot of another */
  BATTEN_EDIT_SYMMETRY = 6   /**< an outline became the mirror image of itself */
} batten_edit_kind;

/** One straightening, within the tolerance. */
typedef struct batten_edit {
  size_t struct_size; /**< sizeof of the struct, set by the caller */
  int32_t kind;       /**< batten_edit_kind; more may come */
  int32_t kept;       /**< 0: it would have broken the tolerance and was undone */
  size_t nodes;       /**< how many; nodes of the straight or stroke that was followed come first */
  double moved_px;    /**< how far the outline moved at its nodes, at most */
} batten_edit;

/** Like batten_drawing_summary(), for one edit. */
BATTEN_EXPORT int batten_edit_at(const batten_drawing* drawing, size_t edit, batten_edit* info);
/** Which node of which outline a node of an edit is. False (0) beyond the last of either. */
BATTEN_EXPORT int batten_edit_node(const batten_drawing* drawing, size_t edit, size_t node, size_t* outline,
                                   size_t* node_of_outline);

/** The drawing as SVG. Writes at most `size` bytes, a terminating 0 among them, and returns the length of the whole
 * text without it: call with size 0 to learn how much to allocate. 0: out of memory. */
BATTEN_EXPORT size_t batten_to_svg(const batten_drawing* drawing, char* text, size_t size);

/** The word for a stage, for messages; "" for a number that is unknown. */
BATTEN_EXPORT const char* batten_stage_name(int32_t stage);
/** The word for a reason: "corner", "left" ...; "" for a number that is unknown. */
BATTEN_EXPORT const char* batten_reason_name(int32_t reason);

/** The word for an error's number (batten_code): "bad option", "no ink found" ...; "unknown" for any other. */
BATTEN_EXPORT const char* batten_name_of(int32_t code);

/** Version of the library that is running, "1.2.3"; BATTEN_VERSION in batten/version.h is that of the headers. */
BATTEN_EXPORT const char* batten_version(void);

#ifdef __cplusplus
}
#endif
#endif
