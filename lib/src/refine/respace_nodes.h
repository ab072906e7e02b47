#pragma once
// Spaces the nodes of a stretch anew with one fewer, where nodes may lie anywhere.

#include "refine/edit_draft.h"

namespace batten {

/// Deleting one node leaves a segment twice as long as the others, and its error is 2^6 times theirs (de Boor, Hoellig,
/// Sabin, CAGD 4, 1987): such a deletion is never seen to succeed. Here the remaining nodes of a loop without corners
/// and straights are spaced evenly by arc first, then solved together towards the smallest largest offset. Kept if
/// everything holds the limit.
bool try_respaced_ring(const EditContext& c, DraftLoop* d);

/// Stretches between two corners that can't do with fewer segments: they are not tried again while they stay as they
/// are.
struct FailedSpans {
  struct Span {
    double from_arc, to_arc;
    std::size_t segments;
  };
  std::vector<Span> spans;
};

/// The same between corners: fewest_segments() for the least wider limit that saves a segment says where the nodes go,
/// since their places are worth more once they may leave the loop. Returns whether the draft changed.
bool try_respaced_spans(const EditContext& c, DraftLoop* d, FailedSpans* failed);

}  // namespace batten
