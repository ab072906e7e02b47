#include "declare_options.h"

#include <CLI/CLI.hpp>
#include <cmath>

#include "batten/files.h"
#include "examples.h"
#include "parse_values.h"

namespace batten::cli {

namespace {

// An option whose text is read by `take`, which returns an Error if it does not accept it.
template <class Take>
CLI::Option* add_text(CLI::App& command, const char* name, const std::string& type, const char* help, Take take) {
  const auto read = [take](const std::string& text) {
    if (const std::optional<Error> error = take(text)) throw CLI::ValidationError(error->message);
  };
  return command.add_option_function<std::string>(name, read, help)->type_name(type);
}

// Puts what was read where it belongs.
template <class Value, class Target>
std::optional<Error> put(const Result<Value>& read, Target* target) {
  if (!read) return read.error();
  *target = *read;
  return std::nullopt;
}

// An option that takes one of a few words.
template <class Value, std::size_t count>
void add_choice(CLI::App& command, const char* name, Value& value, const Word<Value> (&words)[count],
                const char* help) {
  add_text(command, name, alternatives(words), help,
           [&value, &words, name](const std::string& text) { return put(parse_word(name, text, words), &value); });
}

// A place to write to; "-" is standard output.
std::optional<Error> take_place(const std::string& option, const std::string& text, std::string* path) {
  *path = text == "-" ? standard_output : text;
  if (text.empty()) return bad(option, "is empty: name a place to write to, or leave the option out.");
  return std::nullopt;
}

// An option that names a place to write to, a file or a folder.
void add_place(CLI::App& command, const char* option, const char* name, std::string& path, const char* type,
               const char* help) {
  add_text(command, option, type, help,
           [&path, name](const std::string& text) { return take_place(name, text, &path); });
}

// An option that names a file with one of these endings.
void add_file(CLI::App& command, const char* name, std::string& path, const std::vector<std::string>& endings,
              const std::string& type, const char* help) {
  const auto take = [&path, endings, name](const std::string& text) -> std::optional<Error> {
    if (auto error = take_place(name, text, &path)) return error;
    const bool known = destination_of(path).stream ||
                       std::any_of(endings.begin(), endings.end(), [&](auto& end) { return has_ending(text, end); });
    if (known) return std::nullopt;
    return bad(name, text + ": the name must end in " + listed(endings) + ".");
  };
  const std::string option = std::string(name) == "--out" ? "-o,--out" : name;
  add_text(command, option.c_str(), type, help, take);
}

// An option of fonts; `set` puts what was typed into the glyph options.
template <class Set>
void add_font_option(CLI::App& trace, const char* name, const char* type, const char* help, FontArguments& font,
                     Set set) {
  add_text(trace, name, type, help, [&font, name, set](const std::string& text) -> std::optional<Error> {
    if (font.given.empty()) font.given = name;
    if (auto error = set(text)) return error;
    if (const auto error = check(font.glyphs)) return bad(std::string(name) + ":", error->message);
    return std::nullopt;
  });
}

void declare_font(CLI::App& trace, FontArguments& font) {
  add_font_option(trace, "--names", "NAME,...",
                  "The names of the glyphs in reading order: A,b,ampersand, or the characters themselves.\n"
                  "[shape-1, shape-2 ...]",
                  font, [&font](const std::string& text) -> std::optional<Error> {
                    font.glyphs.names = parts(text);
                    return std::nullopt;
                  });
  add_font_option(trace, "--units-per-em", "N", "How many units of the font make an em. [1000]", font,
                  [&font](const std::string& text) -> std::optional<Error> {
                    const std::optional<int> units = number<int>(text);
                    if (!units) return bad("--units-per-em", text + " is no whole number: try 1000.");
                    font.glyphs.units_per_em = *units;
                    return std::nullopt;
                  });
  add_font_option(trace, "--em", "LENGTH",
                  "The height of the em on the paper, such as 1200px or 40mm. [the tallest letter becomes\n"
                  "0.7 em tall]",
                  font, [&font](const std::string& text) -> std::optional<Error> {
                    font.em = parse_length(text);
                    if (font.em) return std::nullopt;
                    return bad("--em", text +
                                           " is no length over 0: give the height of the em on the paper, such as "
                                           "1200px or 40mm.");
                  });
  add_font_option(trace, "--baseline", "Y,...",
                  "Where the baseline of each row of letters lies, in px from the top of the scan.\n"
                  "[the ruled line, or the level, that most letters of the row stand on]",
                  font, [&font](const std::string& text) -> std::optional<Error> {
                    for (const std::string& part : parts(text)) {
                      const std::optional<double> y = number<double>(part);
                      if (!y)
                        return bad("--baseline",
                                   text + " is no list of px: give one height for each row, such as 410,890.");
                      font.glyphs.baselines_px.push_back(*y);
                    }
                    return std::nullopt;
                  });
  add_font_option(trace, "--side-bearing", "N",
                  "How much room lies to the left and to the right of each glyph, in em. [0.06]", font,
                  [&font](const std::string& text) -> std::optional<Error> {
                    const std::optional<double> em = number<double>(text);
                    if (!em) return bad("--side-bearing", text + " is no number: give parts of the em, such as 0.06.");
                    font.glyphs.side_bearing_em = *em;
                    return std::nullopt;
                  });
}

void declare_scan(CLI::App& command, Arguments& arguments) {
  add_choice(command, "--drawing", arguments.options.drawing, kinds,
             "What was drawn. outlined: each shape is outlined by one line or by many loose strokes.\n"
             "filled: each shape is shaded in. lines: a network of pencil lines, open or closed.\n"
             "auto: decided for each shape. [auto]");
  add_text(command, "--dpi", "N",
           "How many pixels of the scan make an inch, where the file does not say so or is wrong.",
           [&arguments](const std::string& text) -> std::optional<Error> {
             const std::optional<double> dpi = number<double>(text);
             if (!dpi || !(*dpi >= 1 && *dpi <= 100000))
               return bad("--dpi", text + " is no resolution: give pixels per inch between 1 and 100000, such as 300.");
             arguments.options.dpi = *dpi;
             return std::nullopt;
           });
  add_text(command, "--most-memory", "SIZE",
           "How much memory may be used, such as 800MB or 2GB. A scan that may need more is refused\n"
           "before it is read. [what the machine has]",
           [&arguments](const std::string& text) { return put(parse_memory(text), &arguments.most_memory_bytes); });
  command.add_flag("-q,--quiet", arguments.quiet, "Print nothing but errors.");
}

void declare_crop(CLI::App& command, Arguments& arguments, const char* help) {
  add_text(command, "--crop", "X,Y,W,H", help,
           [&arguments](const std::string& text) { return put(parse_crop(text), &arguments.crop); });
}

void declare_tolerance(CLI::App& command, Arguments& arguments, const char* help) {
  add_text(command, "-t,--tolerance", "auto|LENGTH", help,
           [&arguments](const std::string& text) { return put(parse_tolerance(text), &arguments.tolerance); });
}

void declare_hold_tolerance(CLI::App& command, Arguments& arguments, const char* help) {
  command.add_flag("--hold-tolerance", arguments.options.hold_tolerance, help);
}

void declare_extremes(CLI::App& command, Options& options) {
  add_choice(command, "--extremes", options.extremes, rules,
             "required: a node stands at each leftmost, rightmost, highest and lowest place of a\n"
             "curve. free: only where one is needed, which gives the fewest nodes. [required]");
}

void declare_straighten(CLI::App& command, Options& options) {
  add_text(command, "--straighten", "all|off|" + alternatives(edits) + ",...",
           "What to straighten within the tolerance, as a letterer does by hand: axes (straights that\n"
           "are nearly level or vertical), slants (stems that lean alike), lines (feet, tops and\n"
           "crossbars of a row), widths (stems and strokes that are nearly equal), overshoots (how\n"
           "far rounds pass the line). --report lists every edit. [all]",
           [&options](const std::string& text) { return put(parse_straighten(text), &options.straighten); });
}

// How outlines are made: the same for trace and sweep.
void declare_outlines(CLI::App& command, Arguments& arguments) {
  Options& options = arguments.options;
  add_choice(command, "--output", options.output, outputs,
             "What to deliver. outlines: closed outlines only. lines: open lines only, and borders that\n"
             "areas share as lines in place of the areas. both: outlines, then open lines. [both]");
  add_choice(command, "--construction", options.construction, constructions,
             "What becomes of pale lines and circles that were set out before the drawing. drop: they are\n"
             "left out. keep: they are delivered as lines. A level line across most of the sheet counts as\n"
             "ruled, and is left out always. [drop]");
  declare_extremes(command, options);
  declare_crop(command, arguments,
               "Trace only this part of the scan: left edge, top edge, width and height in px. Its\n"
               "outlines stay where they lie on the whole scan.");
  declare_straighten(command, options);
  add_choice(command, "--symmetry", options.symmetry, switches,
             "on: shapes that are their own mirror image, left and right, within the tolerance\n"
             "become exactly so. [off]");
  add_choice(command, "--deskew", options.deskew, switches,
             "on: a sheet that lay askew by up to 6 degrees, as its guides or letters show, is turned\n"
             "level. off: the outlines lie on the scan. [off]");
  add_text(command, "--grid", "N",
           "Make all coordinates whole multiples of N: px of the scan, in a font units of the em.\n"
           "What is equal, level, vertical or mirrored stays so. [0.001]",
           [&options](const std::string& text) -> std::optional<Error> {
             const std::optional<double> grid = number<double>(text);
             if (!grid || !(*grid > 0 && *grid <= 1000))
               return bad("--grid", text + " is no grid: give a number over 0 and up to 1000, such as 1.");
             options.grid_px = *grid;
             return std::nullopt;
           });
  add_choice(command, "--direction", options.direction, directions,
             "Which way outer outlines run on screen. Counters (holes) run the other way. [clockwise]");
  add_choice(command, "--start", options.start, starts,
             "Where outlines start. corner: at the lowest corner, the leftmost if several are level.\n"
             "extreme: at the lowest place of the curves. [corner]");
}

}  // namespace

void declare_sweep(CLI::App& sweep, SweepArguments& arguments) {
  sweep.add_option("SCAN", arguments.common.scans, "The scan of a pencil drawing: PNG, JPEG, TIFF, WebP, BMP or PNM.")
      ->required()
      ->expected(1);
  add_text(sweep, "-t,--tolerance", "LENGTH..LENGTH", "The finest tolerance and the widest. [0.5px..4px]",
           [&arguments](const std::string& text) {
             std::pair<Tolerance, Tolerance> range;
             auto error = put(parse_range(text), &range);
             std::tie(arguments.least, arguments.most) = range;
             return error;
           });
  add_text(sweep, "--steps", "N", "How many tolerances, each larger by the same factor. [12]",
           [&arguments](const std::string& text) -> std::optional<Error> {
             arguments.steps = number<int>(text).value_or(0);
             if (arguments.steps >= 1 && arguments.steps <= 200) return std::nullopt;
             return bad("--steps", text + " is out of range: give a whole number from 1 to 200, such as 12.");
           });
  declare_hold_tolerance(sweep, arguments.common,
                         "Hold tolerances even where they are finer than the pencil line is known, so that the curve\n"
                         "goes on there; table, chart and page mark where. =off: as batten trace does. [on]");
  add_file(sweep, "--out", arguments.common.out, {".csv"}, "FILE.csv",
           "Write the table to this file, as CSV. [it is printed]");
  add_file(sweep, "--plot", arguments.plot, {".svg"}, "FILE.svg",
           "Draw deviation against segments, with the knee and the recommended tolerance. [none]");
  add_file(sweep, "--proof", arguments.common.proof, {".html"}, "FILE.html",
           "Write a page with a slider over the tolerances: the outline changes while the number of\n"
           "nodes falls. [none]");
  declare_scan(sweep, arguments.common);
  declare_outlines(sweep, arguments.common);
  sweep.footer(sweep_examples);
}

void declare_measure(CLI::App& measure, MeasureArguments& arguments) {
  measure.add_option("PATHS.svg", arguments.paths, "The outlines as SVG, drawn by hand or by a program.")->required();
  measure.add_option("SCAN", arguments.common.scans, "The scan they belong to; it may be left out with --against.")
      ->expected(0, 1);
  measure.add_option("--against", arguments.against, "The right outlines as SVG, where they are known. [none]")
      ->type_name("TRUTH.svg");
  declare_tolerance(measure, arguments.common,
                    "What is near enough: a length such as 1px or 0.1mm, or auto, which is 2.6 times the\n"
                    "standard deviation of the pencil line, at least 0.5 px. [1px]");
  add_file(measure, "--proof", arguments.common.proof, {".html", ".png", ".pdf"}, "FILE.html|png|pdf",
           "Write the page to judge by, as batten trace does. [none]");
  add_file(measure, "--report", arguments.common.report, {".json"}, "FILE.json",
           "Write all figures, nodes and findings as JSON, for other programs. [none]");
  declare_scan(measure, arguments.common);
  declare_crop(measure, arguments.common,
               "Judge only the outlines of this part of the scan: left edge, top edge, width and height\nin px.");
  measure.footer(measure_examples);
}

void declare_refit(CLI::App& refit, RefitArguments& arguments) {
  refit.add_option("PATHS.svg", arguments.paths, "The outlines as SVG.")->required();
  add_text(refit, "-t,--tolerance", "auto|LENGTH",
           "The largest distance between the outlines before and after, with --over between drawing and\n"
           "outline: px of the document, which are units of its view box, or mm on paper, such as 0.25px\n"
           "or 0.02mm. auto, with --over only: 2.6 times the standard deviation of each pencil line, at\n"
           "least 0.5 px of the scan.",
           [&arguments](const std::string& text) -> std::optional<Error> {
             const Result<Tolerance> length = parse_tolerance(text);
             if (!length) return bad("--tolerance", text + " is no length over 0: try 0.25px or 0.02mm.");
             arguments.common.tolerance = *length;
             return std::nullopt;
           })
      ->required();
  add_file(refit, "--out", arguments.common.out, {".svg"}, "FILE.svg",
           "Where to write; - is standard output. [NAME-refit.svg beside the file]");
  add_file(refit, "--proof", arguments.common.proof, {".html", ".png", ".pdf"}, "FILE.html|png|pdf",
           "Write a page to judge by, as batten trace does: the paths before and after, and the scan of\n"
           "--over under them. [none]");
  add_file(refit, "--report", arguments.common.report, {".json"}, "FILE.json",
           "Write all figures, nodes and findings as JSON. [none]");
  refit
      .add_option("--over", arguments.over,
                  "The scan that the paths were drawn over: PNG, JPEG, TIFF, WebP, BMP or PNM. It decides where\n"
                  "they go. [none]")
      ->type_name("SCAN");
  refit
      .add_option("--pins", arguments.common.pins,
                  "What you have decided about the outlines: a list of pins as JSON, which the HTML page of --proof\n"
                  "makes. Places are px of the document, units of its view box from its corner; with --over px of\n"
                  "the scan. Outlines without one stay as they are. [none]")
      ->type_name("FILE.json");
  declare_extremes(refit, arguments.common.options);
  declare_straighten(refit, arguments.common.options);
  declare_scan(refit, arguments.common);
  refit.footer(refit_examples);
}

void declare_trace(CLI::App& trace, Arguments& arguments) {
  trace.add_option("SCAN", arguments.scans, "The scans of pencil drawings: PNG, JPEG, TIFF, WebP, BMP or PNM.")
      ->required();
  add_place(trace, "-o,--out", "--out", arguments.out, "FILE|DIR",
            "Where to write: a file, whose ending says the format, a folder, which is made if it is\n"
            "missing and gets NAME.svg for each scan, or - for standard output. [NAME.svg beside each\n"
            "scan]");
  std::string words;
  for (const FormatEntry& entry : formats) words += (words.empty() ? "" : "|") + std::string(entry.word);
  add_text(trace, "-f,--format", words + ",...",
           "What to write: svg, pdf, eps, json (all nodes and figures) or ufo (the source of a font),\n"
           "or several of them with commas. [as the ending of --out says, otherwise svg]",
           [&arguments](const std::string& text) { return put(parse_formats(text), &arguments.formats); });
  declare_tolerance(trace, arguments,
                    "The largest distance between outline and drawing: a length such as 1px or 0.1mm, or\n"
                    "auto, which is chosen for each outline: 2.6 times the standard deviation of its pencil\n"
                    "line, at least 0.5 px. A larger tolerance gives fewer nodes. [1px]");
  declare_hold_tolerance(trace, arguments,
                         "Hold the tolerance even where it is finer than the pencil line is known: the outline then\n"
                         "follows the wobble of the pencil too, with more nodes. Otherwise it is raised there, to\n"
                         "what auto chooses.");
  declare_outlines(trace, arguments);
  add_place(trace, "--overlay", "--overlay", arguments.overlay, "FILE.png|DIR",
            "Paint outlines, nodes and handles over the scan. [none]");
  add_place(trace, "--proof", "--proof", arguments.proof, "FILE.html|png|pdf|DIR",
            "Write a page to judge the outlines by: the scan, the fill, the nodes with their reasons,\n"
            "the deviation and all figures. HTML opens in any browser and can be enlarged; PNG and\n"
            "PDF show the same as a still picture. [none]");
  add_place(trace, "--report", "--report", arguments.report, "FILE.json|DIR",
            "Write all figures, nodes and findings as JSON. [none]");
  trace
      .add_option("--pins", arguments.pins,
                  "What you have decided where the drawing can be read in more than one way: a list of pins\n"
                  "as JSON, which the HTML page of --proof makes. Outlines without one stay as they are. [none]")
      ->type_name("FILE.json");
  trace.add_flag("--nodes", arguments.nodes, "Put a dot for each node into the SVG.");
  declare_font(trace, arguments.font);
  declare_scan(trace, arguments);
  trace.footer(trace_examples);
}

}  // namespace batten::cli
