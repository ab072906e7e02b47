#pragma once
// What the edits of a conversion say of themselves, checked against its drawing.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "batten/convert.h"

namespace batten::support {

/// Kept edits of a kind.
inline std::size_t count(const Conversion& c, Edit::Kind kind) {
  return std::size_t(std::count_if(c.report.edits.begin(), c.report.edits.end(),
                                   [&](const Edit& e) { return e.kept && e.kind == kind; }));
}

/// Numbers of the file, as whole thousandths.
inline long long file_units(double v) { return std::llround(v * 1000); }

/// Every edit that the report names is of nodes there are, moves them little, and holds exactly in the file if it was
/// kept.
inline void expect_edits_hold(const Conversion& c) {
  for (const Edit& e : c.report.edits) {
    ASSERT_GE(e.nodes.size(), e.kind == Edit::Kind::width ? 8u : 2u) << name_of(e.kind);
    for (const Edit::Where& w : e.nodes) {
      ASSERT_LT(std::size_t(w.outline), c.drawing.outlines.size());
      ASSERT_LT(std::size_t(w.node), c.drawing.outlines[std::size_t(w.outline)].nodes.size());
    }
    EXPECT_GE(e.moved_px, 0);
    EXPECT_LE(e.moved_px, 2 * c.report.outlines[std::size_t(e.nodes[0].outline)].limit_px);
    if (!e.kept) continue;
    const auto at = [&](std::size_t i) {
      return c.drawing.outlines[std::size_t(e.nodes[i].outline)].nodes[std::size_t(e.nodes[i].node)].at;
    };
    if (e.kind == Edit::Kind::level) {
      EXPECT_EQ(at(0).y, at(1).y);
    } else if (e.kind == Edit::Kind::vertical) {
      EXPECT_EQ(at(0).x, at(1).x);
    } else if (e.kind == Edit::Kind::line) {
      EXPECT_TRUE(at(0).y == at(2).y || at(0).x == at(2).x);
    } else if (e.kind == Edit::Kind::width) {
      const Point one = at(2) - at(0), other = at(6) - at(4);
      EXPECT_TRUE(file_units(one.x) == file_units(other.x) || file_units(one.y) == file_units(other.y));
    }
  }
}

}  // namespace batten::support
