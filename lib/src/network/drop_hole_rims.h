#pragma once
// Rims of punched holes whose inside is as light as the paper.

#include "network/line_paths.h"

namespace batten {

/// A hole over a light ground shows as an arc of shadow on one side only. Three or more short open lines go where they
/// lie along one edge of the picture, in a row parallel to it, are alike in size, all bow the same way, and stand at
/// equal distances to a hundredth or at multiples of one: filing holes are punched 80 mm apart, two or four of them
/// (ISO 838), and no hand is as exact. Numbers of paths in areas are kept up to date; returns how many went.
int drop_hole_rims(int width_px, int height_px, LinePaths* paths);

}  // namespace batten
