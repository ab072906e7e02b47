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

struct Options {
  enum class Extremes { required, free };
  enum class DrawingKind { automatic, outlined, filled };

  /// px, > 0. Largest distance, both ways, between the outline and the located edge or middle of the band.
  /// Empty: the pencil line's own uncertainty decides (not below 0.5 px). DEFAULT: 1 px.
  std::optional<double> tolerance_px = 1.0;
  /// A node wherever a smooth curve touches its leftmost, rightmost, highest or lowest place. `free` drops the rule for
  /// those who want the bare minimum. DEFAULT: required.
  Extremes extremes = Extremes::required;
  /// What was drawn; automatic decides for each patch of ink. DEFAULT: automatic.
  DrawingKind drawing = DrawingKind::automatic;
  /// Pixels per inch of the scan, > 0; 0: unknown. Used for sizes in mm only. DEFAULT: 0.
  double dpi = 0;
  /// >= 1. The drawing never depends on it. DEFAULT: 1.
  int threads = 1;
};

/// Names the field and its range if an option is out of range.
BATTEN_EXPORT std::optional<Error> check(const Options& options);

/// Stages in order of running.
enum class Stage { load, ink, guides, patches, loops, locate, corners, structure, minimise, refine, regularise, finish };
BATTEN_EXPORT const char* name_of(Stage stage);

enum class Level { info, warning };

/// How a caller follows a long job. All optional; called on the caller's thread only.
struct Job {
  std::function<void(Stage, double fraction)> progress;  ///< fraction 0..1 of the whole, never falls
  std::function<void(Level, std::string_view)> log;      ///< the library itself prints nothing
  std::stop_token stop;
};

/// Something the caller should know: a tolerance that could not be held, a fallback, a dropped speck.
struct Finding {
  enum class What {
    tolerance_exceeded,          ///< amount_px is the deviation, place where it is
    tolerance_below_uncertainty, ///< amount_px is the uncertainty of the pencil line
    fallback,                    ///< a simpler method was used
    dropped_speck,               ///< ink too small to be a shape
    guide_removed                ///< a ruled line was taken out of the ink
  };
  What what = What::fallback;
  int outline = -1;  ///< index into Drawing::outlines; -1: the whole sheet
  Point place;
  double amount_px = 0;
  std::string text;  ///< one sentence
};
/// "tolerance exceeded", "fallback" ...
BATTEN_EXPORT const char* name_of(Finding::What what);
/// Findings of tolerance and fallback are warnings, the others are for information.
BATTEN_EXPORT Level level_of(Finding::What what);

/// Figures of one outline, from the independent measurement.
struct OutlineReport {
  std::size_t segments = 0;
  std::array<std::size_t, reason_count> nodes_by_reason{};
  double max_px = 0, rms_px = 0, p95_px = 0;  ///< distance, both ways, to the located loop (arms at corners)
  Point worst;                                ///< where max_px is
  double replaced_length_px = 0;              ///< loop length near corners judged against the extended arms
  std::size_t points_set_aside = 0;           ///< located points left out as stray
  double loop_length_px = 0;
  double limit_px = 0;                        ///< what was held here: tolerance, or 2.6 sigma where that is larger
  std::vector<Point> judged;                  ///< the located loop as it was judged against: arms run on at corners
};

struct Report {
  std::size_t segments = 0;
  double max_px = 0, rms_px = 0;
  double tolerance_px = 0;  ///< as asked, or as chosen for `auto`
  std::vector<OutlineReport> outlines;  ///< one for each Drawing::outlines
  std::vector<Finding> findings;
};

struct Conversion {
  Drawing drawing;
  Report report;
};

enum class PixelFormat { gray8, gray16, rgb8, rgba8, rgb16, rgba16 };

/// Pixels owned by the caller; 16-bit samples in native byte order; alpha is laid over white.
struct ImageView {
  const void* pixels = nullptr;
  int width = 0, height = 0;
  std::ptrdiff_t stride_bytes = 0;  ///< from one row to the next; may be negative
  PixelFormat format = PixelFormat::gray8;
};

/// Trace a picture. A tolerance that cannot be held somewhere is a finding with place and amount; the drawing is
/// delivered all the same. Errors: bad_option, bad_pixels, no_ink_found, cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> convert(const ImageView& image, const Options& options = {}, const Job& job = {});

/// The located lines of one scan: the pixel stages run once, and any number of drawings made from them. A handle to
/// data that never changes: cheap to copy, and several threads may use it at once.
class BATTEN_EXPORT Sketch {
 public:
  struct Data;
  explicit Sketch(std::shared_ptr<const Data> data) : data_(std::move(data)) {}
  const Data& data() const { return *data_; }

 private:
  std::shared_ptr<const Data> data_;
};

/// The first half of convert(): where the pencil went. Of the options, `drawing`, `dpi` and `threads` count here.
/// Errors as of convert().
BATTEN_EXPORT Result<Sketch> locate(const ImageView& image, const Options& options = {}, const Job& job = {});

/// The second half of convert(): locate() and then this give the same bytes as convert() in one go. Errors: bad_option,
/// cancelled, out_of_memory.
BATTEN_EXPORT Result<Conversion> convert(const Sketch& sketch, const Options& options = {}, const Job& job = {});

/// Moves everything that has a place by `offset`: for the tracing of a part of a scan, whose outlines should lie on the
/// whole. Width and height of the drawing stay as they are.
BATTEN_EXPORT void translate(Conversion& conversion, Point offset);

/// Fit closed polylines (px; at least 8 finite points each; last point != first). No pixels involved: benchmarks feed it
/// exact curves, so that fit error and pixel error can be told apart. Errors: bad_option, bad_polyline, cancelled.
BATTEN_EXPORT Result<Conversion> fit(std::span<const std::vector<Point>> loops, const Options& options = {},
                                     const Job& job = {});

}  // namespace batten
