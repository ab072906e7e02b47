#pragma once
// Leaf: an outline whose nodes may all lie anywhere (no corner, no straight, no extreme asked for) with one node fewer.

#include "edit_draft.h"

namespace batten {

/// Deleting a node of a ring leaves one piece twice as long as the others, and its error is 2^6 times theirs (de Boor,
/// Hoellig, Sabin, CAGD 4, 1987): such a deletion is never seen to succeed. Here the remaining nodes are spaced evenly
/// by arc first, then solved together towards the smallest largest offset. Kept if everything holds the limit.
bool try_respaced_ring(const EditContext& c, DraftLoop* d);

}  // namespace batten
