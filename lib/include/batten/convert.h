#pragma once
/// \file
/// The two entry points of the library: convert() takes pixels, fit() takes polylines.

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
#include "batten/options.h"
#include "batten/pins.h"

namespace batten {

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
  /// Gets each finding as it is made; the library itself prints nothing. Null: nobody listens.
  std::function<void(Level, std::string_view)> log;
  std::stop_token stop;  ///< looked at all the time: once stop is requested the job soon ends, ErrorCode::cancelled
  /// How many threads this job may use, 0..1024; 0: one for each core that this process may use. Threads of its own are
  /// gone when it returns. The same bytes for any number. Empty: as Options::threads says.
  std::optional<int> threads = std::nullopt;
};

/// Something the caller should know although the drawing was delivered.
struct Finding {
  /// What a finding is about.
  enum class What {
    tolerance_exceeded,           ///< amount_px is the deviation, place where it is
    tolerance_below_uncertainty,  ///< the outline is likely to lie off what was meant by more than the tolerance;
                                  ///< amount_px is the standard deviation of the pencil line
    fallback,                     ///< a simpler method was used
    crossing_outline,             ///< an outline crosses itself or another
    refinement_stopped,           ///< the nodes of an outline were not worked out to the end
    open_lines_left_out,          ///< lines that enclose nothing were not traced
    dropped_speck,                ///< ink too small to be a shape
    guide_removed,                ///< a ruled line was taken out of the ink
    hatching_removed,             ///< a shape was outlined and hatched in: its outline was traced
    turned_over,                  ///< light lines on a dark ground were taken for the drawing
    // From judge(), about an outline that was there already.
    not_drawn,              ///< an outline lies on nothing that was drawn
    no_outline,             ///< something was drawn that has no outline; amount_px is its length
    extreme_without_node,   ///< amount_px is how far the curve goes beyond its nodes
    handle_off_axis,        ///< the handles of an extreme are tilted a little; amount_px sideways at the longer one
    kink,                   ///< the handles of a smooth node are not in one line; amount_px sideways at the shorter one
    needless_node,          ///< amount_px is how much the outline changes without it
    straight_with_handles,  ///< a straight drawn as a curve; amount_px is how far it bulges
    nearly_on_axis,         ///< a straight that is level or vertical but for amount_px
    placed,                 ///< how an outline was read and laid on the scan
    // About the file of the scan.
    pages_left_out,  ///< only the first of several pages was read
    // From convert().
    left_out,  ///< an outline came out crossed, or thinner than its own line: it was not delivered; amount_px: its
               ///< length
    // From refit_svg().
    left_as_it_was,  ///< an outline was not refitted
    // From fit(), about a polyline of the caller's.
    closed_by_straight,  ///< it ended far from its start; amount_px is the length of the straight that closes it
    // About Options::pins.
    pin_not_held,     ///< amount_px is how far the drawing misses the pin, or lies off the drawn line because of it
    pins_contradict,  ///< two of them ask for what cannot be had together: the later one counts
    // About a large scan whose lines are all broad.
    read_in_copy,  ///< lines were located in a copy of half the size or less
    // About a tolerance that is finer than the line wavers.
    tolerance_widened  ///< amount_px is what was held in its place, OutlineReport::limit_px
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

/// The fewest segments that an outline could have if it stays within its limit of the located loop and keeps its
/// corners and, where extremes are required, its extremes and ends of straights.
struct LowerBound {
  /// What a proof rests on.
  enum class Argument {
    fixed_nodes,  ///< a segment between each two nodes that have to be there; a smooth closed outline needs two
    degree        ///< besides that: a cubic has at most two extremes in a direction, and crosses a line three times
  };
  std::size_t proven = 0;     ///< no outline can have fewer, by `argument`; 0: not sought
  std::size_t numerical = 0;  ///< >= proven; fitting found none with fewer, which is evidence and no proof
  Argument argument = Argument::fixed_nodes;  ///< what `proven` rests on
};
/// "nodes that have to be there", "degree of a cubic"
BATTEN_EXPORT const char* name_of(LowerBound::Argument argument);

/// Where an outline reaches beyond the line that was located, or that line beyond it, by over the larger of limit_px
/// and 2 px: locating rounds corners, and the outline runs on along its sides to where they meet; an open line may lead
/// on to the line that it ends on.
struct Tip {
  std::size_t node = 0;  ///< of the outline: the corner, or the end of a line
  double length_px = 0;  ///< how far it reaches
  double along_px = 0;   ///< how much of the outline lies there
};

/// A corner of an outline where the bands of its two sides run together, or where locating rounds the edge of a shaded
/// shape, so that neither side shows by itself. An outline that runs within that is not measured there; how nearly the
/// place is known is this.
struct HiddenCorner {
  std::size_t node = 0;  ///< of the outline
  double sigma_px = 0;   ///< of the outline there off what was meant, one standard deviation
};

/// Figures of one outline, from the independent measurement.
struct OutlineReport {
  std::size_t segments = 0;                                 ///< cubics and straights together
  std::array<std::size_t, reason_count> nodes_by_reason{};  ///< index: static_cast<std::size_t>(Reason)
  double max_px = 0;              ///< largest distance, both ways, to the located loop, its sides extended at corners;
                                  ///< what is hidden there counts in none of these figures
  double rms_px = 0;              ///< root mean square of the same distances
  double p95_px = 0;              ///< 95 % of them are smaller
  Point worst;                    ///< where max_px is
  double replaced_length_px = 0;  ///< loop length near corners that was judged against the extended sides
  double loop_length_px = 0;      ///< of the located loop
  double limit_px = 0;         ///< what was held here: the tolerance, or how far the line wavers where that is larger
  double known_px = 0;         ///< how nearly the line is known: 2.6 times its standard deviation, Outline::sigma_px
  std::vector<Tip> tips;       ///< corners and ends that reach beyond the located line, in order of nodes
  double strayed_px = 0;       ///< largest distance, both ways, to the located line itself, apart from tips
  LowerBound least;            ///< fewest segments possible
  std::vector<Point> judged;   ///< what was judged against: the located loop, its sides extended at corners
  std::vector<Point> located;  ///< the loop as it was located
  double tolerance_px = 0;     ///< as asked for this outline; where none was, as chosen
  double correlation_px = 0;   ///< length along the located loop over which errors of its points are alike
  std::vector<HiddenCorner> hidden;  ///< corners whose sides run together, in order of nodes: not measured, but known
                                     ///< less nearly than the line
  /// Is the whole outline within tolerance_px, by the independent measurement and both ways? True if max_px is no more
  /// than tolerance_px, and nothing but the stated tips lies off the located line itself by over the larger of limit_px
  /// and 2 px. It speaks of the line as it was located. Whether that line is right is another question: of that warn
  /// Finding::What::tolerance_exceeded, only from 1.5 standard deviations beyond the tolerance on (known_px / 2.6; up
  /// to there it may well be the line that is wrong), and tolerance_below_uncertainty. False for an outline that lies
  /// on nothing drawn.
  bool within_tolerance = false;
};

/// Something straightened within the tolerance.
struct Edit {
  /// What was done.
  enum class Kind {
    level,      ///< a straight became exactly level
    vertical,   ///< ... exactly vertical
    slant,      ///< a straight took the slope of those that lean alike
    line,       ///< two straights came to lie on one line; nodes of the one that was followed come first
    width,      ///< a stroke took the width of another; nodes of the one that was followed come first
    overshoot,  ///< a round took the overshoot of another; nodes of the one that was followed come first
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
  bool undone = false;  ///< the outlines were turned back by it (Options::deskew)
};

/// Figures of a whole drawing, from the independent measurement.
struct Report {
  std::size_t segments = 0;                                 ///< of all outlines
  std::array<std::size_t, reason_count> nodes_by_reason{};  ///< of all outlines
  LowerBound least;                                         ///< sum over the outlines
  double max_px = 0;                                        ///< the largest of the outlines' deviations, both ways;
                                                            ///< infinite, as the next two, where there is none
  double rms_px = 0;                                        ///< over all outlines
  double p95_px = 0;                                        ///< 95 % of the length of all outlines lies nearer
  double tolerance_px = 0;                                  ///< as asked; where none was, the largest that was chosen
  double known_px = 0;                                      ///< the largest of the outlines'
  bool hold_tolerance = false;                              ///< as asked: held where it is finer than known_px as well
  std::vector<OutlineReport> outlines;                      ///< one for each Drawing::outlines
  std::vector<Finding> findings;                            ///< tolerances not held, specks left out ...
  std::vector<Edit> edits;                                  ///< what was straightened, undone edits too
  SheetTurn sheet;                                          ///< how the sheet lay on the glass
  std::vector<PinOutcome> pins;                             ///< one for each of Options::pins
  /// Is the whole drawing within the tolerance that was asked for (for each outline its own, where none was)? True if
  /// OutlineReport::within_tolerance is true of every outline, there is one, and nothing that was to be delivered was
  /// left out for its form (Finding::What::left_out) or, in judge(), has no outline (no_outline). What was never
  /// located, such as specks and guides, does not count.
  bool within_tolerance = false;
};

/// A drawing and what is known about it.
struct Conversion {
  Drawing drawing;  ///< the outlines
  Report report;    ///< their figures
};

/// Samples of a pixel, in this order in memory.
enum class PixelFormat {
  gray8,                 ///< one byte
  gray16,                ///< one 16-bit sample
  rgb8,                  ///< three bytes
  rgba8,                 ///< four bytes, alpha last, not premultiplied
  rgb16,                 ///< three 16-bit samples
  rgba16,                ///< four 16-bit samples, alpha last, not premultiplied
  bgr8,                  ///< three bytes, blue first
  bgra8,                 ///< four bytes, blue first, alpha last, not premultiplied
  bgr16,                 ///< three 16-bit samples, blue first
  bgra16,                ///< four 16-bit samples, blue first, alpha last, not premultiplied
  rgba8_premultiplied,   ///< as rgba8, the colours multiplied by alpha; one over its alpha counts as equal to it
  bgra8_premultiplied,   ///< as bgra8, premultiplied
  rgba16_premultiplied,  ///< as rgba16, premultiplied
  bgra16_premultiplied   ///< as bgra16, premultiplied
};

/// Pixels owned by the caller; 16-bit samples in native byte order; alpha is laid over white.
struct ImageView {
  const void* pixels = nullptr;             ///< first sample of the upper left pixel
  int width = 0;                            ///< px, > 0
  int height = 0;                           ///< px, > 0
  std::ptrdiff_t stride_bytes = 0;          ///< from one row to the next; may be negative
  PixelFormat format = PixelFormat::gray8;  ///< of each pixel
  /// A byte for each pixel, 0: that pixel is not read, and counts as bare paper, as bright as what is read around it.
  /// Nothing is found there. Null: all are read.
  const std::uint8_t* mask = nullptr;
  std::ptrdiff_t mask_stride_bytes = 0;  ///< from one row of the mask to the next; may be negative
};

/// About how many bytes convert() needs at most for a picture of this size, beside the picture itself. It is an
/// estimate from measured runs: drawings full of lines come near it, others stay below.
BATTEN_EXPORT double memory_needed(int width, int height);

/// Traces a picture. A tolerance that cannot be held somewhere is a finding with place and amount; the drawing is
/// delivered all the same. Errors: bad_option, bad_pixels, no_ink_found, cancelled, out_of_memory.
///
/// \snippet follow.cpp follow
BATTEN_EXPORT Result<Conversion> convert(const ImageView& image, const Options& options = {}, const Job& job = {});

/// A located line: what outlines are fitted to, with what is known of it.
struct LocatedLoop {
  std::span<const Point> points;  ///< px, about 1 px apart or less; the first of a closed one is not repeated
  bool closed = true;             ///< false: a line from its first point to its last
  Kind kind = Kind::outlined;     ///< what the shape was drawn as
  double sigma_px = 0;            ///< how far points lie off what was meant, across the line: one standard deviation
  double correlation_px = 0;      ///< length along the line over which the errors of neighbouring points are alike
  double band_px = 0;             ///< width of the pencil band; 0: none was measured
};

/// The located lines of one scan: the pixel stages run once, then any number of drawings can be made. A handle to data
/// that never changes: it is cheap to copy, and several threads may use it at once.
class BATTEN_EXPORT Located {
 public:
  struct Data;  ///< defined inside the library
  /// The lines, in an order that is always the same for the same scan and options. Lines that are shared by areas are
  /// there once. They can be read as long as this handle, or a copy of it, lives.
  ///
  /// \snippet loops.cpp loops
  std::vector<LocatedLoop> loops() const;
  /// For the library: a caller gets one from locate().
  explicit Located(std::shared_ptr<const Data> data) : data_(std::move(data)) {}
  /// For the library.
  const Data& data() const { return *data_; }

 private:
  std::shared_ptr<const Data> data_;
};

/// What each outline of a drawing was fitted to, in the order of Drawing::outlines: evenly spaced, turned with the
/// sheet where the outlines were (Options::deskew), smoothed where fit() smoothed. Empty points where an outline lies
/// on nothing located. They can be read as long as the conversion is not changed.
BATTEN_EXPORT std::vector<LocatedLoop> located_loops(const Conversion& conversion);

/// The first half of convert(): finds where the pencil went. `drawing`, `dpi`, `threads` and pins about the scan count.
/// Errors: those of convert().
BATTEN_EXPORT Result<Located> locate(const ImageView& image, const Options& options = {}, const Job& job = {});

/// The second half of convert(): locate() and then this give the same bytes as convert() in one go. Errors: bad_option,
/// cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> convert(const Located& located, const Options& options = {}, const Job& job = {});

/// Judges outlines that were there already, drawn by hand or by a program, on the located lines of a scan: gives the
/// figures that convert() reports, and findings about how the nodes are set (Finding::What from not_drawn on). Nodes
/// get their reasons, outlines their direction and nesting; no coordinate changes. Coordinates of the drawing are px of
/// the scan. Figures of an outline that lies on nothing drawn are infinite, and so are then those of the whole drawing.
/// Errors: bad_option, bad_polyline (a coordinate that is no place on a sheet: not a number, or over 1e9 px),
/// cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> judge(const Located& located, const Drawing& drawing, const Options& options = {},
                                       const Job& job = {});

/// Moves everything that has a place by `offset`, for outlines of a part of a scan that should lie on the whole scan.
/// Width and height of the drawing stay as they are.
BATTEN_EXPORT void translate(Conversion& conversion, Point offset);

/// A polyline of the caller's, read where it is.
struct PolylineView {
  std::span<const Point> points;  ///< px, finite, within 1e9; closed ones at least 3, open ones 2
  bool closed = true;             ///< false: a line from its first point to its last
  /// px, 0..1e6: how far points stray from the line that they sample, across it, one standard deviation. Empty: found
  /// from the points.
  std::optional<double> sigma_px = std::nullopt;
  /// px, 0..1e6: the same for each point, as many as there are points; what is known less counts for less. Counts in
  /// place of sigma_px unless it is empty.
  std::span<const double> sigmas_px = {};
  /// px, 0..1000: length along the line over which errors of neighbouring points are alike; 0: found from the points.
  double correlation_px = 0;
  /// px, 0..1000: width of the pencil line down whose middle the points run (LocatedLoop::band_px): its corners are
  /// rounded by a third of that, and the points are taken as they are. 0: no pencil line.
  double band_px = 0;
};

/// Fits polylines. No pixels are involved: benchmarks pass exact curves, which tells the error of fitting from that of
/// locating. The drawing has the outlines of closed ones first, then the lines of open ones, each in its order; a line
/// begins and ends exactly where its polyline does. A closed polyline that ends far from its start is closed by a
/// straight, with a finding. Noise, and the stairs of a contour that follows pixels, are measured and smoothed first;
/// deviations are then those from the smoothed line, whose Outline::sigma_px says how well it is known; corners within
/// 6 px of one another may become one. Noise that is alike over some px is found on long lines, as far as the tolerance
/// is 2.6 times it. Coordinates may lie anywhere; the drawing's box follows them (Drawing::origin).
/// Errors: bad_option, bad_polyline, cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> fit(std::span<const PolylineView> polylines, const Options& options = {},
                                     const Job& job = {});

/// The same for closed polylines.
///
/// \snippet polyline.cpp fit
BATTEN_EXPORT Result<Conversion> fit(std::span<const std::vector<Point>> polylines, const Options& options = {},
                                     const Job& job = {});
/// The same for closed polylines that lie anywhere in memory. A name of its own: fit({{circle}}) could mean either.
BATTEN_EXPORT Result<Conversion> fit_spans(std::span<const std::span<const Point>> polylines,
                                           const Options& options = {}, const Job& job = {});
/// The same for closed polylines whose points follow one another: lengths[i] of them are polyline i.
BATTEN_EXPORT Result<Conversion> fit(std::span<const Point> points, std::span<const std::size_t> lengths,
                                     const Options& options = {}, const Job& job = {});

/// The same for closed polylines and then open ones.
///
/// \snippet polyline.cpp open
BATTEN_EXPORT Result<Conversion> fit_lines(std::span<const std::vector<Point>> closed,
                                           std::span<const std::vector<Point>> open, const Options& options = {},
                                           const Job& job = {});

}  // namespace batten
