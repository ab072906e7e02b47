#include "arguments.h"

#include <CLI/CLI.hpp>
#include <charconv>
#include <cmath>
#include <tuple>

#include "batten/version.h"
#include "declare_options.h"
#include "option_words.h"

namespace batten::cli {
namespace {

Error bad(const std::string& option, const std::string& sentence) {
  return {ErrorCode::bad_option, option + " " + sentence, option};
}

// A whole or decimal number that fills `text`, or nothing. Independent of the locale.
template <class Number>
std::optional<Number> number(std::string_view text) {
  Number value{};
  const auto [end, code] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (code != std::errc() || end != text.data() + text.size()) return std::nullopt;
  return value;
}

// "a,b,c" -> a, b, c; empty parts stay.
std::vector<std::string> parts(std::string_view text) {
  std::vector<std::string> found;
  for (std::size_t comma = 0; comma != std::string_view::npos;) {
    comma = text.find(',');
    found.emplace_back(text.substr(0, comma));
    text.remove_prefix(comma == std::string_view::npos ? text.size() : comma + 1);
  }
  return found;
}

// A length that is over 0: "12", "12px" or "12mm".
std::optional<Tolerance> length(std::string_view text) {
  Tolerance length;
  if (text.ends_with("mm")) length.unit = Tolerance::Unit::mm;
  if (text.ends_with("px") || text.ends_with("mm")) text.remove_suffix(2);
  while (text.ends_with(' ')) text.remove_suffix(1);
  const std::optional<double> value = number<double>(text);
  if (!value) return std::nullopt;
  length.value = *value;
  return length;
}

template <class Value, std::size_t count>
std::optional<Error> choose(const std::string& option, const std::string& text, const Word<Value> (&words)[count],
                            Value& chosen) {
  std::string known;
  for (std::size_t i = 0; i < count; ++i) {
    if (text == words[i].text) return chosen = words[i].value, std::nullopt;
    known += (i == 0 ? "" : i + 1 == count ? " or " : ", ") + std::string(words[i].text);
  }
  return bad(option, text + " is not known: give " + known + ".");
}

// All that can be typed, and where it goes.
struct Command {
  Command() {
    app.set_version_flag("--version", "batten " BATTEN_VERSION);
    app.get_formatter()->column_width(28);
    trace = app.add_subcommand("trace", "Traces scans of pencil drawings to SVG, PDF, EPS, JSON or glyphs of a font.");
    app.footer(trace_examples);
    sweep = app.add_subcommand("sweep", "Traces one scan at many tolerances: which one to take?");
    measure = app.add_subcommand("measure", "Measures how well outlines that are there already sit on a scan.");
    declare_trace(*trace, arguments, texts);
    declare_sweep(*sweep, swept, texts);
    declare_measure(*measure, measured, texts);
  }
  Command(const Command&) = delete;
  CLI::App app{"Turns scanned pencil drawings into clean outlines made of the fewest curves.", "batten"};
  CLI::App *trace = nullptr, *sweep = nullptr, *measure = nullptr;
  Arguments arguments;
  SweepArguments swept;
  MeasureArguments measured;
  Texts texts;
};

Finished refused(const std::string& sentence, const std::string& command = "trace") {
  std::string line = sentence;
  std::replace(line.begin(), line.end(), '\n', ' ');
  return {bad_arguments, line + " (batten " + command + " --help shows what is possible)"};
}

// endings: ".html .png .pdf".
std::optional<Error> check_ending(const char* option, const std::string& path, const std::string& endings) {
  if (path.empty() || path.starts_with("/dev/")) return std::nullopt;
  std::string known, lower = path;
  for (char& c : lower)
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  for (std::size_t at = 0; at < endings.size(); at = endings.find('.', at + 1)) {
    const std::string ending = endings.substr(at, endings.find(' ', at) - at);
    if (lower.ends_with(ending)) return std::nullopt;
    known += (known.empty() ? "" : " or ") + ending;
  }
  return bad(option, path + " is written by its ending: let its name end in " + known + ".");
}

// The option that sets a field of GlyphOptions.
std::string option_of(const std::string& field) {
  return field == "units_per_em"      ? "--units-per-em"
         : field == "baselines_px"    ? "--baseline"
         : field == "side_bearing_em" ? "--side-bearing"
                                      : "--names";
}

std::optional<Error> understand_font(const Texts& texts, FontArguments& font) {
  const std::pair<const char*, bool> options[] = {{"--names", texts.names.has_value()},
                                                  {"--units-per-em", texts.units_per_em.has_value()},
                                                  {"--em", texts.em.has_value()},
                                                  {"--baseline", texts.baseline.has_value()},
                                                  {"--side-bearing", texts.side_bearing.has_value()}};
  for (const auto& [option, typed] : options)
    if (typed && font.given.empty()) font.given = option;
  if (texts.names) font.glyphs.names = parts(*texts.names);
  if (texts.units_per_em) {
    const std::optional<int> units = number<int>(*texts.units_per_em);
    if (!units) return bad("--units-per-em", *texts.units_per_em + " is no whole number: try 1000.");
    font.glyphs.units_per_em = *units;
  }
  if (texts.em) {
    font.em = length(*texts.em);
    if (!font.em || !std::isfinite(font.em->value) || font.em->value <= 0)
      return bad("--em", *texts.em + " is no length: give the height of the em on the paper, such as 1200px or 40mm.");
  }
  if (texts.baseline)
    for (const std::string& part : parts(*texts.baseline)) {
      const std::optional<double> y = number<double>(part);
      if (!y)
        return bad("--baseline", *texts.baseline + " is no list of px: give one y for each row, such as 410,890.");
      font.glyphs.baselines_px.push_back(*y);
    }
  if (texts.side_bearing) {
    const std::optional<double> em = number<double>(*texts.side_bearing);
    if (!em) return bad("--side-bearing", *texts.side_bearing + " is no number: give parts of the em, such as 0.06.");
    font.glyphs.side_bearing_em = *em;
  }
  if (auto error = check(font.glyphs)) return bad(option_of(error->place) + ":", error->message);
  return std::nullopt;
}

std::optional<Error> understand_regularity(const Texts& texts, Arguments& arguments) {
  const Result<Options::Straighten> straighten = parse_straighten(texts.straighten);
  if (!straighten) return straighten.error();
  arguments.straighten = *straighten;
  if (auto error = choose("--symmetry", texts.symmetry, switches, arguments.symmetry)) return error;
  if (auto error = choose("--deskew", texts.deskew, switches, arguments.deskew)) return error;
  if (auto error = choose("--direction", texts.direction, directions, arguments.direction)) return error;
  if (auto error = choose("--start", texts.start, starts, arguments.start)) return error;
  if (texts.grid.empty()) return std::nullopt;
  const std::optional<double> grid = number<double>(texts.grid);
  if (!grid || !std::isfinite(*grid) || *grid <= 0 || *grid > 1000)
    return bad("--grid", texts.grid + " is no grid: give px over 0 and up to 1000, such as 1.");
  arguments.grid = *grid;
  return std::nullopt;
}

std::optional<Error> understand(const Texts& texts, Arguments& arguments) {
  const Result<Tolerance> tolerance = parse_tolerance(texts.tolerance);
  if (!tolerance) return tolerance.error();
  arguments.tolerance = *tolerance;
  if (auto error = choose("--drawing", texts.drawing, kinds, arguments.drawing)) return error;
  if (auto error = choose("--extremes", texts.extremes, rules, arguments.extremes)) return error;
  if (texts.format) {
    const Result<std::vector<Format>> chosen = parse_formats(*texts.format);
    if (!chosen) return chosen.error();
    arguments.formats = *chosen;
  }
  if (auto error = understand_font(texts, arguments.font)) return error;
  if (auto error = understand_regularity(texts, arguments)) return error;
  if (!texts.crop.empty()) {
    const Result<Crop> crop = parse_crop(texts.crop);
    if (!crop) return crop.error();
    arguments.crop = *crop;
  }
  if (!texts.dpi.empty()) {
    const std::optional<double> dpi = number<double>(texts.dpi);
    if (!dpi || !std::isfinite(*dpi) || *dpi < 1 || *dpi > 100000)
      return bad("--dpi", texts.dpi + " is no resolution: give pixels per inch between 1 and 100000, such as 300.");
    arguments.dpi = *dpi;
  }
  return std::nullopt;
}

}  // namespace

void describe(const std::function<void(const CLI::App&)>& show) {
  const Command command;
  show(command.app);
}

Result<Tolerance> parse_tolerance(const std::string& text) {
  if (text == "auto") return Tolerance{Tolerance::Unit::automatic, 0};
  const std::optional<Tolerance> tolerance = length(text);
  constexpr double largest = 10000;  // as check(Options) has it, in px
  if (!tolerance) return bad("--tolerance", text + " is no length: try 1px, 0.1mm or auto.");
  if (!std::isfinite(tolerance->value) || tolerance->value <= 0 || tolerance->value > largest)
    return bad("--tolerance", text + " is out of range: try something over 0, such as 1px, 0.1mm or auto.");
  return *tolerance;
}

Result<std::vector<Format>> parse_formats(const std::string& text) {
  std::vector<Format> chosen;
  for (const std::string& word : parts(text)) {
    const FormatEntry* found = nullptr;
    for (const FormatEntry& entry : formats)
      if (word == entry.word) found = &entry;
    if (!found) return bad("--format", word + " is not known: give " + known_words() + ", or several with commas.");
    if (std::find(chosen.begin(), chosen.end(), found->format) != chosen.end())
      return bad("--format", word + " is given twice.");
    chosen.push_back(found->format);
  }
  return chosen;
}

Result<Options::Straighten> parse_straighten(const std::string& text) {
  Options::Straighten out;
  if (text == "all") return out;
  for (const auto& word : edits) out.*word.value = false;
  if (text == "off") return out;
  for (const std::string& part : parts(text)) {
    bool Options::Straighten::*edit = nullptr;
    if (auto error = choose("--straighten", part, edits, edit)) return *error;
    out.*edit = true;
  }
  return out;
}

Result<Crop> parse_crop(const std::string& text) {
  std::vector<int> numbers;
  for (const std::string& part : parts(text)) {
    const std::optional<int> value = number<int>(part);
    if (!value) return bad("--crop", text + " is no rectangle: give four whole numbers of px, such as 100,50,800,600.");
    numbers.push_back(*value);
  }
  if (numbers.size() != 4)
    return bad("--crop", text + " is no rectangle: give four whole numbers of px, such as 100,50,800,600.");
  if (numbers[0] < 0 || numbers[1] < 0 || numbers[2] < 1 || numbers[3] < 1)
    return bad("--crop", text + " is empty or begins outside the scan: X,Y are at least 0, W,H at least 1.");
  return Crop{numbers[0], numbers[1], numbers[2], numbers[3]};
}

namespace {

std::optional<Error> understand(const Texts& texts, SweepArguments& arguments) {
  if (auto error = understand(texts, arguments.common)) return error;
  const auto range = parse_range(texts.range);
  if (!range) return range.error();
  std::tie(arguments.least, arguments.most) = *range;
  if (arguments.steps < 1 || arguments.steps > 200)
    return bad("--steps", std::to_string(arguments.steps) + " is out of range: 1 to 200, such as 12.");
  if (auto error = check_ending("--out", arguments.common.out, ".csv")) return error;
  if (auto error = check_ending("--plot", arguments.plot, ".svg")) return error;
  return check_ending("--proof", arguments.common.proof, ".html");
}

std::optional<Error> understand(const Texts& texts, MeasureArguments& arguments) {
  if (auto error = understand(texts, arguments.common)) return error;
  if (arguments.common.scans.empty() && arguments.against.empty())
    return bad("SCAN", "is missing: give the scan of the drawing, or the right outlines with --against.");
  if (arguments.common.scans.empty() && !(arguments.common.proof + arguments.common.report).empty())
    return bad("SCAN", "is missing: a proof and a report need it.");
  if (auto error = check_ending("--proof", arguments.common.proof, ".html .png .pdf")) return error;
  return check_ending("--report", arguments.common.report, ".json");
}

template <class Kind>
Parsed finish(const CLI::App& command, const Texts& texts, Kind& arguments) {
  if (const std::optional<Error> error = understand(texts, arguments))
    return refused(error->message, command.get_name());
  return arguments;
}

}  // namespace

Result<std::pair<Tolerance, Tolerance>> parse_range(const std::string& text) {
  const std::size_t dots = text.find("..");
  if (dots == std::string::npos) return bad("--tolerance", text + " is no range: try 0.5px..4px.");
  const Result<Tolerance> least = parse_tolerance(text.substr(0, dots)), most = parse_tolerance(text.substr(dots + 2));
  if (!least) return least.error();
  if (!most) return most.error();
  if (least->unit != most->unit || least->unit == Tolerance::Unit::automatic || most->value < least->value)
    return bad("--tolerance", text + " is no range: from a finer to a wider length of one unit, such as 0.5px..4px.");
  return std::pair(*least, *most);
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
    return refused(error.what(), command.sweep->parsed() ? "sweep" : command.measure->parsed() ? "measure" : "trace");
  }
  if (command.sweep->parsed()) return finish(*command.sweep, command.texts, command.swept);
  if (command.measure->parsed()) return finish(*command.measure, command.texts, command.measured);
  if (!command.trace->parsed()) return refused("Say what to do: batten trace SCAN...");
  return finish(*command.trace, command.texts, command.arguments);
}

}  // namespace batten::cli
