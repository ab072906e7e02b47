#pragma once
// What stands below the options of each command: how it goes about things, and examples.

namespace batten::cli {

extern const char* const trace_examples;  ///< shown by `batten --help` too
extern const char* const sweep_examples;
extern const char* const measure_examples;
extern const char* const refit_examples;

}  // namespace batten::cli
