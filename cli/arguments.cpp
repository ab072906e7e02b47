#include "arguments.h"

#include <CLI/CLI.hpp>

#include "batten/version.h"
#include "declare_batch.h"
#include "declare_options.h"
#include "examples.h"

namespace batten::cli {
namespace {

// All that can be typed, and where it goes.
struct Command {
  Command() {
    app.set_version_flag("--version", "batten " BATTEN_VERSION);
    app.get_formatter()->column_width(28);
    trace = app.add_subcommand("trace", "Traces scans of pencil drawings to SVG, PDF, EPS, JSON or glyphs of a font.");
    app.footer(trace_examples);
    sweep = app.add_subcommand("sweep", "Traces one scan at many tolerances, to choose one of them.");
    measure = app.add_subcommand("measure", "Measures how well outlines that are there already sit on a scan.");
    declare_trace(*trace, arguments);
    declare_batch(*trace, arguments.batch);
    declare_sweep(*sweep, swept);
    declare_measure(*measure, measured);
    refit = app.add_subcommand("refit", "Gives the paths of an SVG file the fewest nodes.");
    declare_refit(*refit, refitted);
  }
  Command(const Command&) = delete;
  CLI::App app{"Turns scanned pencil drawings into clean outlines made of the fewest curves.", "batten"};
  CLI::App *trace = nullptr, *sweep = nullptr, *measure = nullptr, *refit = nullptr;
  Arguments arguments;
  SweepArguments swept;
  MeasureArguments measured;
  RefitArguments refitted;
};

Finished refused(std::string sentence, const std::string& command = "trace") {
  std::replace(sentence.begin(), sentence.end(), '\n', ' ');
  return {bad_arguments, sentence + " (batten " + command + " --help shows what is possible)"};
}

// What only a scan can be asked for needs one.
Parsed checked(const Command& command) {
  const RefitArguments& refitted = command.refitted;
  if (!refitted.over.empty()) return refitted;
  if (refitted.common.tolerance.unit == Tolerance::Unit::automatic)
    return refused("--tolerance auto asks a scan: add --over SCAN, or give a length such as 0.25px.", "refit");
  for (const char* option : {"--drawing", "--dpi", "--most-memory"})
    if (command.refit->count(option) > 0)
      return refused(std::string(option) + " is about a scan: add --over SCAN.", "refit");
  return refitted;
}

}  // namespace

void describe(const std::function<void(const CLI::App&)>& show) {
  const Command command;
  show(command.app);
}

Parsed parse(int argc, const char* const* argv) {
  Command command;
  CLI::App& app = command.app;
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return Finished{all_done, app.help()};
  } catch (const CLI::CallForVersion&) {
    return Finished{all_done, "batten " BATTEN_VERSION "\n"};
  } catch (const CLI::ParseError& error) {
    for (const CLI::App* one : {command.sweep, command.measure, command.refit})
      if (one->parsed()) return refused(error.what(), one->get_name());
    return refused(error.what());
  }
  std::string words;
  for (const CLI::App* one : app.get_subcommands()) words += (words.empty() ? "" : " and ") + one->get_name();
  if (app.get_subcommands().size() > 1)
    return refused("Two commands are given, " + words + ": give one at a time, and a file of that name as ./" +
                   app.get_subcommands().back()->get_name() + ".");
  if (command.sweep->parsed()) return command.swept;
  if (command.trace->parsed()) {
    command.arguments.batch.asked = what_decides(*command.trace);
    return command.arguments;
  }
  if (command.refit->parsed()) return checked(command);
  if (!command.measure->parsed()) return refused("Say what to do: batten trace SCAN...");
  const MeasureArguments& measured = command.measured;
  if (measured.common.scans.empty() && measured.against.empty())
    return refused("SCAN is missing: give the scan of the drawing, or the right outlines with --against.", "measure");
  if (measured.common.scans.empty() && !(measured.common.proof + measured.common.report).empty())
    return refused("SCAN is missing: a proof and a report need it.", "measure");
  return measured;
}

}  // namespace batten::cli
