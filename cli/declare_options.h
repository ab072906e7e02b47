#pragma once
// The table of options: what --help, the manual page and the completion show, and where each value goes. A value that
// is not accepted throws CLI::ValidationError, whose text is the sentence for the user.

#include "arguments.h"

namespace batten::cli {

void declare_trace(CLI::App& trace, Arguments& arguments);
void declare_sweep(CLI::App& sweep, SweepArguments& arguments);
void declare_refit(CLI::App& refit, RefitArguments& arguments);
void declare_measure(CLI::App& measure, MeasureArguments& arguments);

}  // namespace batten::cli
