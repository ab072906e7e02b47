#pragma once
/// BATTEN_EXPORT marks the few public functions of a shared build; everything else stays hidden.
#if defined(BATTEN_SHARED) || defined(BATTEN_BUILDING)
#define BATTEN_EXPORT __attribute__((visibility("default")))
#else
#define BATTEN_EXPORT
#endif
