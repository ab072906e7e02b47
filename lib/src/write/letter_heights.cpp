#include "write/letter_heights.h"

#include <algorithm>
#include <initializer_list>
#include <string_view>

namespace batten {
namespace {

// Letters by how they meet their height: flat, by a serif or an arch, round. Rounds and arches pass it by 1 to 3 %
// (common practice, no source).
constexpr std::string_view x_height_tiers[] = {"xzvw", "uynmrpqi", "aceosg"};
constexpr std::string_view cap_height_tiers[] = {"HEITZXKLFNPRDBM", "UVWYA", "OCGQSJ"};

// Groups of heights, where letters have no names. Overshoot, and a hand's unevenness, keep a group within an eighth;
// x-height is 0.55 to 0.8 of the capitals' and ascenders' in text faces (common practice, no source).
constexpr double widest_group = 1.125, least_step = 1.25, most_step = 1.8;
constexpr std::size_t least_group = 2;

double middle_of(std::vector<double> values) {
  std::sort(values.begin(), values.end());
  return values[(values.size() - 1) / 2];
}

template <std::size_t count>
double height_by_name(const std::vector<DrawnLetter>& letters, const std::string_view (&tiers)[count]) {
  for (const std::string_view tier : tiers) {
    std::vector<double> heights;
    for (const DrawnLetter& l : letters)
      if (l.name.size() == 1 && tier.find(l.name[0]) != std::string_view::npos && l.height_px > 0)
        heights.push_back(l.height_px);
    if (!heights.empty()) return middle_of(std::move(heights));
  }
  return 0;
}

// A word space is about as wide as an i with its room, or as half an n (common practice, no source).
double space_by_name(const std::vector<DrawnLetter>& letters) {
  struct Source {
    std::string_view name;
    double share;
  };
  for (const auto& [name, share] : {Source{"i", 1}, {"n", 0.5}, {"o", 0.5}, {"I", 1}, {"H", 0.4}})
    for (const DrawnLetter& l : letters)
      if (l.name == name && l.advance_px > 0) return share * l.advance_px;
  return 0;
}

LetterHeights by_groups(std::vector<double> heights) {
  std::sort(heights.begin(), heights.end());
  LetterHeights out;
  for (std::size_t i = least_group; i + least_group <= heights.size(); ++i) {
    const double low = heights[0], below = heights[i - 1], above = heights[i], high = heights.back();
    if (!(low > 0) || below > widest_group * low || high > widest_group * above) continue;
    if (above < least_step * below || above > most_step * below) continue;
    // Flat letters are the lower ones of a group: the lower quartile.
    out.x_height_px = heights[(i - 1) / 4];
    out.cap_height_px = heights[i + (heights.size() - 1 - i) / 4];
  }
  return out;
}

}  // namespace

LetterHeights letter_heights(const std::vector<DrawnLetter>& letters) {
  const bool named = std::any_of(letters.begin(), letters.end(), [](const DrawnLetter& l) { return !l.name.empty(); });
  if (named)
    return {height_by_name(letters, x_height_tiers), height_by_name(letters, cap_height_tiers), space_by_name(letters)};
  std::vector<double> heights;
  for (const DrawnLetter& l : letters) heights.push_back(l.height_px);
  return by_groups(std::move(heights));
}

}  // namespace batten
