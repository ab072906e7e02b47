#pragma once
// Areas that are dark all over, and areas that are shaded.

#include <opencv2/core.hpp>
#include <stop_token>

namespace batten {

/// 255 in areas thicker than four lines and darker than about half the darkest ink, with a flat inside: a bundle of
/// strokes has none. line_px: width of a line.
cv::Mat1b find_solids(const cv::Mat1f& ink, const cv::Mat1b& valid, double line_px, int threads,
                      const std::stop_token& stop);

/// 255 in round dots that stand alone, such as the pupil of an eye: thicker than two lines, at least 12 line widths
/// squared large, and as compact as a circle that is drawn by hand. What lines lead to is an arrow head or a knot of
/// them, what touches shading a dark place of it. lines: pencil lines; toned: find_tones(); line_px: width of a line.
cv::Mat1b find_dots(const cv::Mat1b& lines, const cv::Mat1b& toned, double line_px, const std::stop_token& stop);

/// 255 well inside areas that are dark on average and wider than eight lines: shading and hatching, whose strokes are
/// no lines of the drawing.
cv::Mat1b find_tones(const cv::Mat1f& ink, double line_px);

}  // namespace batten
