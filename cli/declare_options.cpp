#include "declare_options.h"

#include <CLI/CLI.hpp>

#include "option_words.h"

namespace batten::cli {

const char* const trace_examples = R"(
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

namespace {

constexpr const char* sweep_examples = R"(
The knee is the point farthest from the chord of the log-log curve of rms deviation against segments:
beyond it, further nodes buy little. Recommended is the knee, but nothing finer than the pencil line
is known.

Examples:
  batten sweep letter.png --tolerance 0.5px..4px --steps 12 --out sweep.csv --plot sweep.svg
      traces at twelve tolerances, the pixels looked at once: segments, nodes by reason, deviation.
  batten sweep letter.png --proof sweep.html
      the table to the terminal, and a page on which a slider shows what each tolerance costs.
)";
constexpr const char* measure_examples = R"(
Findings: extremes without a node, handles a little off their axis, kinks, nodes that could go,
straights with handles, straights a little off an axis. The SVG's page is laid on the whole scan where
both have one shape, else by its size in mm, else unit for px.

Examples:
  batten measure drawn-by-hand.svg letter.png --proof measured.html
      how well the outline sits on the scan, and what could be better about its nodes.
  batten measure letter.svg letter.png --against designer.svg
      also how far it lies from the right outline, and how many nodes that has.
)";

std::string format_words() {
  std::string text;
  for (const FormatEntry& entry : formats) text += (text.empty() ? "" : "|") + std::string(entry.word);
  return text;
}

// An option that takes one of a few words.
template <class Value, std::size_t count>
void add_choice(CLI::App& command, const char* name, std::string& text, const Word<Value> (&words)[count],
                const char* help) {
  command.add_option(name, text, help)->type_name(alternatives(words));
}

void declare_font(CLI::App& trace, Texts& texts) {
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
  trace.add_option("--side-bearing", texts.side_bearing, "Room to the left and to the right of each glyph, em [0.06]")
      ->type_name("N");
}

void declare_kind_and_dpi(CLI::App& command, Arguments& arguments, Texts& texts) {
  add_choice(command, "--drawing", texts.drawing, kinds,
             "auto, outlined (a line or many strokes run round each shape) or filled\n"
             "(each shape is shaded in). auto decides for each shape [auto]");
  command.add_option("--dpi", texts.dpi, "Pixels per inch, where the file does not say or says wrong")->type_name("N");
  command.add_flag("-q,--quiet", arguments.quiet, "Print errors only");
}

void declare_crop(CLI::App& command, Texts& texts, const char* what) {
  command.add_option("--crop", texts.crop, what)->type_name("X,Y,W,H");
}

void declare_extremes_and_crop(CLI::App& command, Texts& texts) {
  add_choice(command, "--extremes", texts.extremes, rules,
             "required: a node at each leftmost, rightmost, highest and lowest place of a\n"
             "curve. free: only where one is needed, for the fewest nodes [required]");
  declare_crop(command, texts, "Trace this part only, px; its outlines stay where they lie on the whole scan");
}

void declare_regularity(CLI::App& command, Texts& texts) {
  command
      .add_option("--straighten", texts.straighten,
                  "What to straighten within the tolerance, as by hand: any of axes (level and vertical\n"
                  "straights), slants, lines (feet, tops, crossbars of a row), widths (stems, strokes),\n"
                  "overshoots; or off. --report lists every edit [all]")
      ->type_name(alternatives(edits) + ",...|off");
  add_choice(command, "--symmetry", texts.symmetry, switches,
             "on: shapes that are mirror images of themselves, left and right, within the\n"
             "tolerance become exactly so [off]");
  add_choice(command, "--deskew", texts.deskew, switches,
             "on: a sheet that lay askew by up to 6 degrees, as its guides or letters tell, is\n"
             "turned vertical. off: the outlines lie on the scan [off]");
  command
      .add_option("--grid", texts.grid,
                  "All coordinates as whole multiples of N: px of the scan, in a font units of the em.\n"
                  "What is equal, level or mirrored stays so [0.001]")
      ->type_name("N");
  add_choice(command, "--direction", texts.direction, directions,
             "Which way outer outlines run on screen: clockwise or anticlockwise. Counters run\n"
             "the other way [clockwise]");
  add_choice(command, "--start", texts.start, starts,
             "Where outlines start. corner: the lowest corner, the leftmost of several on one\n"
             "level. extreme: the lowest place of the curves [corner]");
}

}  // namespace

void declare_sweep(CLI::App& sweep, SweepArguments& arguments, Texts& texts) {
  sweep.add_option("SCAN", arguments.common.scans, "PNG, JPEG, TIFF, WebP, BMP or PNM of a pencil drawing")
      ->required()
      ->expected(1);
  sweep.add_option("-t,--tolerance", texts.range, "From the finest tolerance to the widest [0.5px..4px]")
      ->type_name("LENGTH..LENGTH");
  sweep.add_option("--steps", arguments.steps, "How many tolerances, each a constant factor over the one before [12]")
      ->type_name("N");
  sweep.add_option("-o,--out", arguments.common.out, "Write the table as CSV [to standard output]")
      ->type_name("FILE.csv");
  sweep
      .add_option("--plot", arguments.plot, "Draw error against segments, knee and recommended tolerance marked [none]")
      ->type_name("FILE.svg");
  sweep
      .add_option("--proof", arguments.common.proof,
                  "Write a page with a slider over the tolerances: the outline changes while the\n"
                  "node count falls [none]")
      ->type_name("FILE.html");
  declare_kind_and_dpi(sweep, arguments.common, texts);
  declare_extremes_and_crop(sweep, texts);
  declare_regularity(sweep, texts);
  sweep.footer(sweep_examples);
}

void declare_measure(CLI::App& measure, MeasureArguments& arguments, Texts& texts) {
  measure.add_option("PATHS.svg", arguments.paths, "SVG of the outlines, drawn by hand or by anything")->required();
  measure.add_option("SCAN", arguments.common.scans, "The scan they belong to; not needed with --against")
      ->expected(0, 1);
  measure.add_option("--against", arguments.against, "SVG of the right outlines, where they are known [none]")
      ->type_name("TRUTH.svg");
  measure
      .add_option("-t,--tolerance", texts.tolerance,
                  "What is near enough: 1px, 0.1mm, or auto, the uncertainty of the pencil line [1px]")
      ->type_name("auto|LENGTH");
  measure.add_option("--proof", arguments.common.proof, "Write the page to judge by, as batten trace does [none]")
      ->type_name("FILE.html|png|pdf");
  measure.add_option("--report", arguments.common.report, "Write all figures, nodes and findings as JSON [none]")
      ->type_name("FILE.json");
  declare_kind_and_dpi(measure, arguments.common, texts);
  declare_crop(measure, texts, "Judge the outlines of this part of the scan only, px");
  measure.footer(measure_examples);
}

void declare_trace(CLI::App& trace, Arguments& arguments, Texts& texts) {
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
  declare_extremes_and_crop(trace, texts);
  declare_regularity(trace, texts);
  trace.add_option("--overlay", arguments.overlay, "Paint outline, nodes and handles over the scan [none]")
      ->type_name("FILE.png|DIR");
  trace
      .add_option("--proof", arguments.proof,
                  "Write a page to judge the outlines by: scan, fill, nodes with their reasons,\n"
                  "deviation, all figures. HTML opens in any browser and can be zoomed; PNG and\n"
                  "PDF show the same still [none]")
      ->type_name("FILE.html|png|pdf|DIR");
  trace.add_option("--report", arguments.report, "Write all figures and nodes as JSON [none]")
      ->type_name("FILE.json|DIR");
  trace.add_flag("--nodes", arguments.nodes, "Put a dot for each node into the SVG");
  declare_font(trace, texts);
  declare_kind_and_dpi(trace, arguments, texts);
  trace.footer(trace_examples);
}

}  // namespace batten::cli
