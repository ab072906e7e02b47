#include "arguments.h"

#include <CLI/CLI.hpp>
#include <charconv>
#include <cmath>

#include "batten/version.h"

namespace batten::cli {
namespace {

constexpr const char* examples = R"(
Examples:
  batten trace letter.png
      traces the drawing to letter.svg beside it, within 1 px of the pencil line.
  batten trace a.jpg b.jpg --out outlines --tolerance 0.1mm --dpi 300 --overlay looks
      traces both within 0.1 mm on paper to outlines/a.svg and outlines/b.svg, and paints
      each outline over its scan in looks/a.png and looks/b.png: look there first.
  batten trace sheet.png --out sheet.ufo --names A,B,ampersand
      makes the three letters of a sheet glyphs of a font.

Exit status: 0 done; 1 several scans and some failed; 2 bad arguments; 3 a scan cannot be read;
4 nothing to trace; 5 cannot write; 6 mm without a known resolution; 7 more or fewer --names than
glyphs; 70 a defect of batten.
)";

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

template <class Value>
struct Word {
  const char* text;
  Value value;
};
constexpr Word<Options::DrawingKind> kinds[] = {{"auto", Options::DrawingKind::automatic},
                                                {"outlined", Options::DrawingKind::outlined},
                                                {"filled", Options::DrawingKind::filled}};
constexpr Word<Options::Extremes> rules[] = {{"required", Options::Extremes::required},
                                             {"free", Options::Extremes::free}};

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

std::string format_words() {
  std::string text;
  for (const FormatEntry& entry : formats) text += (text.empty() ? "" : "|") + std::string(entry.word);
  return text;
}

template <class Value, std::size_t count>
std::string alternatives(const Word<Value> (&words)[count]) {
  std::string text;
  for (const Word<Value>& word : words) text += (text.empty() ? "" : "|") + std::string(word.text);
  return text;
}

struct Texts {  // as typed, before they are understood
  std::string tolerance = "1px", drawing = "auto", extremes = "required", crop, dpi;
  std::optional<std::string> format, names, units_per_em, em, baseline;  // nothing: not typed
};

void declare_font(CLI::App& trace, FontArguments& font, Texts& texts) {
  trace
      .add_option("--names", texts.names,
                  "Names of the glyphs in reading order: A,b,ampersand, or the characters themselves\n"
                  "[shape-1, shape-2 ...]")
      ->type_name("NAME,...");
  trace.add_option("--units-per-em", texts.units_per_em, "Units of the font to the em [1000]")->type_name("N");
  trace.add_option("--em", texts.em, "Height of the em on the paper: 1200px, 40mm [the tallest letter is 0.7 em tall]")
      ->type_name("LENGTH");
  trace
      .add_option("--baseline", texts.baseline,
                  "y of the baseline of each row of letters, px from the top of the scan\n"
                  "[the ruled line, or the level, that most letters stand on]")
      ->type_name("Y,...");
  trace.add_flag("--whole-units", font.whole_units, "Round the glyphs' coordinates to whole units");
}

void declare(CLI::App& trace, Arguments& arguments, Texts& texts) {
  trace.add_option("SCAN", arguments.scans, "PNG, JPEG, TIFF, WebP, BMP or PNM of pencil drawings")->required();
  trace
      .add_option("-o,--out", arguments.out,
                  "A file, whose ending says the format, or a folder, which is made if missing and\n"
                  "gets NAME.svg for each scan. Without it: NAME.svg beside each scan")
      ->type_name("FILE|DIR");
  trace
      .add_option("-f,--format", texts.format,
                  "svg, pdf, eps, json (all nodes and figures) or ufo (a font's glyphs), or several\n"
                  "with commas [by the ending of --out, else svg]")
      ->type_name(format_words() + ",...");
  trace
      .add_option("-t,--tolerance", texts.tolerance,
                  "Largest distance between outline and drawing: 1px, 0.1mm, or auto, which takes\n"
                  "the uncertainty of the pencil line itself. More tolerance, fewer nodes [1px]")
      ->type_name("auto|LENGTH");
  trace
      .add_option("--drawing", texts.drawing,
                  "auto, outlined (a line or many strokes run round each shape) or filled\n"
                  "(each shape is shaded in). auto decides for each shape [auto]")
      ->type_name(alternatives(kinds));
  trace
      .add_option("--extremes", texts.extremes,
                  "required: a node at each leftmost, rightmost, highest and lowest place of a\n"
                  "curve. free: only where one is needed, for the fewest nodes [required]")
      ->type_name(alternatives(rules));
  trace
      .add_option("--crop", texts.crop, "Trace this part only, px; its outlines stay where they lie on the whole scan")
      ->type_name("X,Y,W,H");
  trace.add_option("--dpi", texts.dpi, "Pixels per inch, where the file does not say or says wrong")->type_name("N");
  trace.add_option("--overlay", arguments.overlay, "Paint outline, nodes and handles over the scan [none]")
      ->type_name("FILE.png|DIR");
  trace
      .add_option("--proof", arguments.proof,
                  "Write a page to judge the outlines by: scan, fill, nodes with their reasons,\n"
                  "deviation, all figures. One file that opens in any browser [none]")
      ->type_name("FILE.html|DIR");
  trace.add_option("--report", arguments.report, "Write all figures and nodes as JSON [none]")
      ->type_name("FILE.json|DIR");
  trace.add_flag("--nodes", arguments.nodes, "Put a dot for each node into the SVG");
  declare_font(trace, arguments.font, texts);
  trace.add_flag("-q,--quiet", arguments.quiet, "Print errors only");
  trace.footer(examples);
}

// All that can be typed, and where it goes.
struct Command {
  Command() {
    app.set_version_flag("--version", "batten " BATTEN_VERSION);
    app.get_formatter()->column_width(28);
    trace = app.add_subcommand("trace", "Traces scans of pencil drawings to SVG, PDF, EPS, JSON or glyphs of a font.");
    app.footer(examples);
    declare(*trace, arguments, texts);
  }
  Command(const Command&) = delete;
  CLI::App app{"Turns scanned pencil drawings into clean outlines made of the fewest curves.", "batten"};
  CLI::App* trace = nullptr;
  Arguments arguments;
  Texts texts;
};

Finished refused(const std::string& sentence) {
  std::string line = sentence;
  std::replace(line.begin(), line.end(), '\n', ' ');
  return {bad_arguments, line + " (batten trace --help shows what is possible)"};
}

// The option that sets a field of GlyphOptions.
std::string option_of(const std::string& field) {
  return field == "units_per_em" ? "--units-per-em" : field == "baselines_px" ? "--baseline" : "--names";
}

std::optional<Error> understand_font(const Texts& texts, FontArguments& font) {
  const std::pair<const char*, bool> options[] = {{"--names", texts.names.has_value()},
                                                  {"--units-per-em", texts.units_per_em.has_value()},
                                                  {"--em", texts.em.has_value()},
                                                  {"--baseline", texts.baseline.has_value()},
                                                  {"--whole-units", font.whole_units}};
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
  if (auto error = check(font.glyphs)) return bad(option_of(error->place) + ":", error->message);
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

std::variant<Arguments, Finished> parse(int argc, const char* const* argv) {
  Command command;
  CLI::App& app = command.app;
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return Finished{all_done, app.help()};
  } catch (const CLI::CallForVersion&) {
    return Finished{all_done, "batten " BATTEN_VERSION "\n"};
  } catch (const CLI::ParseError& error) {
    return refused(error.what());
  }
  if (!command.trace->parsed()) return refused("Say what to do: batten trace SCAN...");
  if (const std::optional<Error> error = understand(command.texts, command.arguments)) return refused(error->message);
  return command.arguments;
}

}  // namespace batten::cli
