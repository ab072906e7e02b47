#include "ink/estimate_paper.h"

#include "base/plane_cv.h"
#include "base/statistics.h"

namespace batten {
namespace {

// Fills dark places into which a square does not fit (morphological closing), on a copy reduced so that the square
// stays small. The border is repeated, so that what runs out of the picture (a dark table) is not filled.
cv::Mat1f closing(const cv::Mat1f& in, double half_side_px) {
  const int reduce = std::max(1, int(half_side_px / 12));
  cv::Mat1f small;
  cv::resize(in, small, {std::max(1, in.cols / reduce), std::max(1, in.rows / reduce)}, 0, 0, cv::INTER_AREA);
  const int r = std::max(1, int(std::lround(half_side_px / reduce)));
  cv::Mat1f padded, closed;
  cv::copyMakeBorder(small, padded, r, r, r, r, cv::BORDER_REPLICATE);
  cv::morphologyEx(padded, closed, cv::MORPH_CLOSE, cv::getStructuringElement(cv::MORPH_RECT, {2 * r + 1, 2 * r + 1}));
  cv::resize(closed(cv::Rect(r, r, small.cols, small.rows)), small, in.size(), 0, 0, cv::INTER_LINEAR);
  return small;
}

// The standard deviation of the grain of the reduced copy, as a share of its brightness (by median absolute deviation).
double relative_noise(const cv::Mat1f& copy) {
  const cv::Mat1f rest = cv::abs(copy - gauss(copy, 1.5));
  const std::span<const float> all = all_values(copy), off = all_values(rest);
  const float level = median<float>({all.begin(), all.end()});
  return 1.4826 * median<float>({off.begin(), off.end()}) / std::max(level, paper_floor);
}

// Marks lines that are darker by 2.5 sigma (at least 2.5 %) than a closing wider than any band, and areas that are
// darker than wide closings. The thresholds of those are so high that uneven light does not count: it falls by less
// than 22 % within 0.2 of the sheet, and by less than 35 % within 0.4.
cv::Mat1b find_dark(const cv::Mat1f& smooth, double side_px, double noise, const cv::Mat1f& widest) {
  const cv::Mat1f lines = closing(smooth, 0.028 * side_px), areas = closing(smooth, 0.17 * side_px);
  const float line_threshold = float(std::max(2.5 * noise, 0.025));
  cv::Mat1b dark(smooth.size());
  for (int y = 0; y < smooth.rows; ++y)
    for (int x = 0; x < smooth.cols; ++x) {
      const float g = smooth(y, x);
      dark(y, x) = lines(y, x) - g > line_threshold * lines(y, x) || areas(y, x) - g > 0.22f * areas(y, x) ||
                   widest(y, x) - g > 0.35f * widest(y, x);
    }
  return dark;
}

cv::Mat1f fill_in(const cv::Mat1f& copy, const cv::Mat1f& weight, double side_px) {
  const double bare = cv::sum(weight)[0];
  if (bare < 1) {  // no bare paper at all: the brightest place stands for it
    double brightest = 0;
    cv::minMaxLoc(copy, nullptr, &brightest);
    return cv::Mat1f(copy.size(), float(brightest));
  }
  cv::Mat1f paper(copy.size(), float(cv::sum(copy.mul(weight))[0] / bare));
  for (const double part : {0.16, 0.08, 0.04, 0.02}) {
    const MaskedMean m = masked_mean(copy, weight, std::max(part * side_px, 0.5));
    for (int y = 0; y < copy.rows; ++y)
      for (int x = 0; x < copy.cols; ++x) {
        // Full trust where half of the window is bare, none below 15 %; the widest window takes what it can get.
        const float w = m.weight(y, x);
        const float trust = part == 0.16 ? std::min(1.f, w / 0.02f) : std::clamp((w - 0.15f) / 0.35f, 0.f, 1.f);
        paper(y, x) += trust * (m.mean(y, x) - paper(y, x));
      }
  }
  return paper;
}

// Marks what is no sheet of paper: places darker than a third of its bright parts (a table, the lid of the scanner),
// and steps of brightness within a fiftieth of the side (the edge of the sheet). Light and vignettes fall off more
// slowly.
cv::Mat1b find_unreliable(const cv::Mat1f& paper, double side_px) {
  std::vector<float> values(paper.total());
  std::copy_n(all_values(paper).data(), values.size(), values.begin());
  const float bright = quantile(std::move(values), 0.9);
  const int r = std::max(1, int(std::lround(0.02 * side_px)));
  const cv::Mat square = cv::getStructuringElement(cv::MORPH_RECT, {2 * r + 1, 2 * r + 1});
  cv::Mat1f lowest, highest;
  cv::erode(paper, lowest, square);
  cv::dilate(paper, highest, square);
  cv::Mat1b out(paper.size());
  for (int y = 0; y < paper.rows; ++y)
    for (int x = 0; x < paper.cols; ++x)
      out(y, x) = paper(y, x) < 0.33f * bright || lowest(y, x) < 0.6f * highest(y, x);
  return out;
}

// Lets the sheet go on where there is none, at its brightness nearby, so that closings and steps see no edge there.
void extend_sheet(const cv::Mat1b& no_sheet, double side_px, cv::Mat1f* copy) {
  cv::Mat1f weight;
  cv::Mat1b(no_sheet == 0).convertTo(weight, CV_32F, 1. / 255);
  cv::Mat1f level(copy->size(), float(cv::sum(copy->mul(weight))[0] / std::max(1., cv::sum(weight)[0])));
  for (const double part : {0.16, 0.05, 0.015}) {
    const MaskedMean near = masked_mean(*copy, weight, std::max(part * side_px, 0.5));
    near.mean.copyTo(level, near.weight > 0.02f);
  }
  level.copyTo(*copy, no_sheet);
}

}  // namespace

Paper estimate_paper(const Plane<float>& grey, const Plane<std::uint8_t>& no_sheet, const std::stop_token& stop) {
  const cv::Mat1f full = as_mat(grey);
  const int reduce = copy_reduction(grey.width, grey.height);
  cv::Mat1f copy;
  cv::resize(full, copy, {std::max(1, grey.width / reduce), std::max(1, grey.height / reduce)}, 0, 0, cv::INTER_AREA);
  const double side_px = std::max(copy.cols, copy.rows);
  if (!no_sheet.empty()) extend_sheet(as_mat(no_sheet), side_px, &copy);
  const cv::Mat1f smooth = gauss(copy, 1);
  const cv::Mat1f widest = closing(smooth, 0.4 * side_px);
  if (stop.stop_requested()) return {};
  const cv::Mat1b dark = find_dark(smooth, side_px, relative_noise(copy), widest);
  cv::Mat1b near;
  cv::dilate(dark, near, cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  cv::Mat1f weight;
  cv::Mat1b(1 - near).convertTo(weight, CV_32F);
  if (!no_sheet.empty()) weight.setTo(0, as_mat(no_sheet));
  if (stop.stop_requested()) return {};
  const cv::Mat1f paper = fill_in(copy, weight, side_px);

  if (stop.stop_requested()) return {};
  Paper out{Plane<float>(copy.cols, copy.rows), Plane<std::uint8_t>(copy.cols, copy.rows),
            Plane<std::uint8_t>(copy.cols, copy.rows)};
  find_unreliable(widest, side_px).copyTo(as_mat(out.unreliable));
  as_mat(out.brightness) = cv::max(paper, paper_floor);
  cv::dilate(near, as_mat(out.near_ink), cv::getStructuringElement(cv::MORPH_ELLIPSE, {5, 5}));
  if (!no_sheet.empty()) {
    as_mat(out.near_ink).setTo(1, as_mat(no_sheet));
    as_mat(out.unreliable).setTo(1, as_mat(no_sheet));
  }
  return out;
}

}  // namespace batten
