#pragma once
// Where a picture shows no sheet of paper: the table round it, the lid of the scanner, a dark frame.

#include <stop_token>

#include "ink/look_at_copy.h"

namespace batten {

/// 1 where there is no sheet, on the grid of the look at Scan::copy; empty where the sheet fills the picture, as in
/// most scans. What is no sheet runs along the frame, ends at straight edges (so that the sheet is convex), and is of
/// another colour than the sheet or darker than a third of it. A cast shadow has the paper's colour and is brighter; a
/// drawing that runs out of the picture is not all this at once. Cut short (and to be thrown away) when asked to stop.
Plane<std::uint8_t> find_no_sheet(const Look& look, const std::stop_token& stop);

}  // namespace batten
