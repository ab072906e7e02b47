#pragma once
/// \file
/// The two doors of the library: convert() takes pixels, fit() takes located polylines.

#include <array>
#include <cstddef>
#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <stop_token>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "batten/error.h"
#include "batten/export.h"
#include "batten/geometry.h"

namespace batten {

/// What is asked for. Plain values; check() knows their ranges.
struct Options {
  /// Whether extremes of smooth curves must be nodes.
  enum class Extremes {
    required,  ///< always, but for those shallower than what the line is known by
    free       ///< only where one is needed
  };
  /// What shapes were drawn as.
  enum class DrawingKind {
    automatic,  ///< decided for each patch of ink
    outlined,   ///< a line or many strokes run round each shape
    filled      ///< each shape is shaded in
  };
  /// What is straightened within the tolerance.
  struct Straighten {
    bool axes = true;        ///< straights that are nearly so become exactly level or vertical
    bool slants = true;      ///< straights that lean alike get one slope
    bool lines = true;       ///< feet, tops and crossbars of a row share one height; sides of a letter one place
    bool widths = true;      ///< stems and horizontal strokes of nearly equal width become equal
    bool overshoots = true;  ///< rounds that pass the line by nearly the same do so by the same
  };
  /// Which way outer outlines run on screen.
  enum class Direction {
    clockwise,     ///< counters run anticlockwise
    anticlockwise  ///< counters run clockwise
  };
  /// Where outlines start.
  enum class Start {
    corner,  ///< at the lowest corner
    extreme  ///< at the lowest extreme
  };

  /// px, > 0. Largest distance, both ways, between the outline and the located edge or middle of the band.
  /// Empty: 2.6 times the pencil line's own uncertainty, as far as a right line strays from it now and then (not below
  /// 0.5 px). DEFAULT: 1 px.
  std::optional<double> tolerance_px = 1.0;
  /// A node wherever a smooth curve touches its leftmost, rightmost, highest or lowest place. `free` drops the rule for
  /// those who want the bare minimum. DEFAULT: required.
  Extremes extremes = Extremes::required;
  /// What was drawn; automatic decides for each patch of ink. DEFAULT: automatic.
  DrawingKind drawing = DrawingKind::automatic;
  /// What is straightened as a letterer does by hand, within the tolerance; every edit is in Report::edits. All false
  /// gives the outlines as they were fitted. DEFAULT: all true.
  Straighten straighten;
  /// Outlines that are mirror images of themselves about a vertical line, within the tolerance, become exactly so.
  /// DEFAULT: false, since it takes the life out of drawn rounds.
  bool symmetry = false;
  /// Turn the output by the sheet's own turn (Report::sheet), so that a sheet laid askew comes out vertical; level and
  /// vertical are then the sheet's own. DEFAULT: false, so that the outlines lie on the scan.
  bool deskew = false;
  /// px, >= 0 and at most 1000. > 0: every coordinate is a whole multiple of it, handles included; what shares a
  /// coordinate, is equally wide or mirrored stays exactly so. DEFAULT: 0, thousandths of a pixel.
  double grid_px = 0;
  /// Which way outer outlines run on screen; counters run the other way. DEFAULT: clockwise.
  Direction direction = Direction::clockwise;
  /// Where an outline starts: at its lowest corner (the leftmost of those within a band width of the lowest), or at its
  /// lowest extreme even if it has corners. Without the one it starts at the other. DEFAULT: corner.
  Start start = Start::corner;
  /// Pixels per inch of the scan, > 0; 0: unknown. Used for sizes in mm only. DEFAULT: 0.
  double dpi = 0;
  /// >= 1. The drawing never depends on it. DEFAULT: 1.
  int threads = 1;
};

/// Names the field and its range if an option is out of range.
BATTEN_EXPORT std::optional<Error> check(const Options& options);

/// Stages in order of running.
enum class Stage {
  load,
  ink,
  guides,
  patches,
  loops,
  locate,
  corners,
  structure,
  minimise,
  refine,
  straighten,
  finish
};
/// "load", "ink" ... : the word for a progress line.
BATTEN_EXPORT const char* name_of(Stage stage);

/// How much a message matters.
enum class Level {
  info,    ///< good to know
  warning  ///< look at the drawing there
};

/// How a caller follows a long job. All optional; called on the caller's thread only.
///
/// \snippet follow.cpp follow
struct Job {
  std::function<void(Stage, double fraction)> progress;  ///< fraction 0..1 of the whole, never falls
  /// Each finding as it is made; the library itself prints nothing. Null: nobody listens.
  std::function<void(Level, std::string_view)> log;
  std::stop_token stop;  ///< asked for all the time: the job soon ends with ErrorCode::cancelled
};

/// Something the caller should know: a tolerance that could not be held, a fallback, a dropped speck.
struct Finding {
  /// The kinds of things there are to know.
  enum class What {
    tolerance_exceeded,           ///< amount_px is the deviation, place where it is
    tolerance_below_uncertainty,  ///< amount_px is the uncertainty of the pencil line
    fallback,                     ///< a simpler method was used
    crossing_outline,             ///< an outline crosses itself or another
    refinement_stopped,           ///< the nodes of an outline were not worked out to the end
    open_lines_left_out,          ///< lines that enclose nothing were not traced
    dropped_speck,                ///< ink too small to be a shape
    guide_removed,                ///< a ruled line was taken out of the ink
    // Of judge(), about an outline that was there already; amount_px as each says.
    not_drawn,              ///< an outline lies on nothing that was drawn
    no_outline,             ///< something was drawn that has no outline; amount_px is its length
    extreme_without_node,   ///< amount_px is how far the curve goes beyond its nodes
    handle_off_axis,        ///< the handles of an extreme are tilted a little; amount_px sideways at the longer one
    kink,                   ///< the handles of a smooth node are not in one line; amount_px sideways at the shorter one
    needless_node,          ///< amount_px is how much the outline changes without it
    straight_with_handles,  ///< a straight drawn as a curve; amount_px is how far it bulges
    nearly_on_axis,         ///< a straight that is level or vertical but for amount_px
    placed                  ///< how an outline was read and laid on the scan
  };
  What what = What::fallback;  ///< which of them
  int outline = -1;            ///< index into Drawing::outlines; -1: the whole sheet
  Point place;                 ///< px; where the deviation, the speck or the middle of the line is
  double amount_px = 0;        ///< how much; see What
  std::string text;            ///< one sentence
};
/// "tolerance exceeded", "fallback" ...
BATTEN_EXPORT const char* name_of(Finding::What what);
/// Whether a kind of finding is a warning or for information.
BATTEN_EXPORT Level level_of(Finding::What what);

/// The fewest segments that an outline could have, given its corners and, where they are required, its extremes and
/// ends of straights, if every stretch of the located loop is to lie within the limit of its segment, in order.
struct LowerBound {
  /// What a proof rests on.
  enum class Argument {
    fixed_nodes,  ///< a segment between each two nodes that have to be there; a smooth closed outline needs two
    degree        ///< besides: a cubic has two extremes in any direction and crosses a line three times, no more
  };
  std::size_t proven = 0;     ///< none can have fewer, by `argument`
  std::size_t numerical = 0;  ///< >= proven; none fewer was found by fitting, which is evidence and no proof
  Argument argument = Argument::fixed_nodes;  ///< what `proven` rests on
};
/// "nodes that have to be there", "degree of a cubic"
BATTEN_EXPORT const char* name_of(LowerBound::Argument argument);

/// Figures of one outline, from the independent measurement.
struct OutlineReport {
  std::size_t segments = 0;                                 ///< cubics and straights together
  std::array<std::size_t, reason_count> nodes_by_reason{};  ///< index: static_cast<std::size_t>(Reason)
  double max_px = 0;              ///< largest distance, both ways, to the located loop (arms at corners)
  double rms_px = 0;              ///< root mean square of the same distances
  double p95_px = 0;              ///< 95 % of them are smaller
  Point worst;                    ///< where max_px is
  double replaced_length_px = 0;  ///< loop length near corners judged against the extended arms
  double loop_length_px = 0;      ///< of the located loop
  double limit_px = 0;            ///< what was held here: tolerance, or 2.6 sigma where that is larger
  LowerBound least;               ///< fewest segments possible
  std::vector<Point> judged;      ///< the located loop as it was judged against: arms run on at corners
};

/// Something straightened within the tolerance.
struct Edit {
  /// What was done.
  enum class Kind {
    level,      ///< a straight became exactly level
    vertical,   ///< ... exactly vertical
    slant,      ///< a straight took the slope of those that lean alike
    line,       ///< two straights came to lie on one line; the nodes of the line joined come first
    width,      ///< a stroke took the width of another; the nodes of the other come first
    overshoot,  ///< a round took the overshoot of another, which comes first
    symmetry    ///< an outline became the mirror image of itself
  };
  /// A node of the drawing.
  struct Where {
    int outline = 0;  ///< into Drawing::outlines
    int node = 0;     ///< into its Outline::nodes
  };
  Kind kind = Kind::level;   ///< what was done
  std::vector<Where> nodes;  ///< those that it concerns
  double moved_px = 0;       ///< how far the outline moved at its nodes, at most
  bool kept = true;          ///< false: it would have broken the tolerance and was undone
};
/// "level", "vertical", "slant", "line", "width", "overshoot", "symmetry".
BATTEN_EXPORT const char* name_of(Edit::Kind kind);

/// How the sheet lay on the glass.
struct SheetTurn {
  bool known = false;   ///< false: too few guides or straights to tell
  double deg = 0;       ///< positive clockwise on screen
  double sd_deg = 0;    ///< one standard deviation
  bool undone = false;  ///< the output was turned back by it (Options::deskew)
};

/// Figures of a whole drawing, from the independent measurement.
struct Report {
  std::size_t segments = 0;                                 ///< of all outlines
  std::array<std::size_t, reason_count> nodes_by_reason{};  ///< of all outlines
  LowerBound least;                                         ///< sum over the outlines
  double max_px = 0;                                        ///< the largest of the outlines' deviations, both ways
  double rms_px = 0;                                        ///< over all outlines
  double p95_px = 0;                                        ///< 95 % of the length of all outlines is nearer
  double tolerance_px = 0;                                  ///< as asked, or as chosen for `auto`
  std::vector<OutlineReport> outlines;                      ///< one for each Drawing::outlines
  std::vector<Finding> findings;                            ///< fallbacks, specks left out, tolerances not held ...
  std::vector<Edit> edits;                                  ///< what was straightened, undone edits too
  SheetTurn sheet;                                          ///< how the sheet lay on the glass
};

/// A drawing and what is known of it.
struct Conversion {
  Drawing drawing;  ///< the outlines
  Report report;    ///< their figures
};

/// Samples of a pixel, in this order in memory.
enum class PixelFormat {
  gray8,   ///< one byte
  gray16,  ///< one 16-bit sample
  rgb8,    ///< three bytes
  rgba8,   ///< four bytes, alpha last, not premultiplied
  rgb16,   ///< three 16-bit samples
  rgba16   ///< four 16-bit samples, alpha last, not premultiplied
};

/// Pixels owned by the caller; 16-bit samples in native byte order; alpha is laid over white.
struct ImageView {
  const void* pixels = nullptr;             ///< first sample of the upper left pixel
  int width = 0;                            ///< px, > 0
  int height = 0;                           ///< px, > 0
  std::ptrdiff_t stride_bytes = 0;          ///< from one row to the next; may be negative
  PixelFormat format = PixelFormat::gray8;  ///< of each pixel
};

/// Trace a picture. A tolerance that cannot be held somewhere is a finding with place and amount; the drawing is
/// delivered all the same. Errors: bad_option, bad_pixels, no_ink_found, cancelled, out_of_memory.
///
/// \snippet follow.cpp follow
BATTEN_EXPORT Result<Conversion> convert(const ImageView& image, const Options& options = {}, const Job& job = {});

/// The located lines of one scan: the pixel stages run once, and any number of drawings made from them. A handle to
/// data that never changes: cheap to copy, and several threads may use it at once.
class BATTEN_EXPORT Located {
 public:
  struct Data;  ///< known to the library alone
  /// For the library: a caller gets one from locate().
  explicit Located(std::shared_ptr<const Data> data) : data_(std::move(data)) {}
  /// For the library.
  const Data& data() const { return *data_; }

 private:
  std::shared_ptr<const Data> data_;
};

/// The first half of convert(): where the pencil went. Of the options, `drawing`, `dpi` and `threads` count here.
/// Errors as of convert().
BATTEN_EXPORT Result<Located> locate(const ImageView& image, const Options& options = {}, const Job& job = {});

/// The second half of convert(): locate() and then this give the same bytes as convert() in one go. Errors: bad_option,
/// cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> convert(const Located& located, const Options& options = {}, const Job& job = {});

/// An outline that was there already, drawn by hand or by anything, judged on a scan's located lines: the figures that
/// convert() reports, and findings about how its nodes are set (Finding::What from not_drawn on). Nodes are given their
/// reasons, outlines their direction and nesting; no coordinate changes. Coordinates of the drawing are px of the scan.
/// Figures of an outline that lies on nothing drawn are infinite. Errors: bad_option, cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> judge(const Located& located, const Drawing& drawing, const Options& options = {},
                                       const Job& job = {});

/// Moves everything that has a place by `offset`: for the tracing of a part of a scan, whose outlines should lie on the
/// whole. Width and height of the drawing stay as they are.
BATTEN_EXPORT void translate(Conversion& conversion, Point offset);

/// Fit closed polylines (px; at least 8 finite points each; last point != first). No pixels involved: benchmarks feed
/// it exact curves, so that fit error and pixel error can be told apart. Errors: bad_option, bad_polyline, cancelled.
///
/// \snippet polyline.cpp fit
BATTEN_EXPORT Result<Conversion> fit(std::span<const std::vector<Point>> loops, const Options& options = {},
                                     const Job& job = {});

}  // namespace batten
