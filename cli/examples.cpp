#include "examples.h"

namespace batten::cli {

const char* const trace_examples = R"(
Square brackets hold what applies where an option is not given.

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
glyphs; 70 out of memory, or an error inside batten.
)";

const char* const sweep_examples = R"(
Square brackets hold what applies where an option is not given.

The knee is the point farthest from the chord of the log-log curve of rms deviation against segments:
beyond it, more nodes gain little. The recommended tolerance is the knee, or the next wider one that
is not finer than the pencil line is known, nor than it wavers: batten trace follows a line no nearer
than that. Where the fit at a wider tolerance would need more segments, the drawing of the
finer one stays, and its row says so.

Examples:
  batten sweep letter.png --tolerance 0.5px..4px --steps 12 --out sweep.csv --plot sweep.svg
      traces at twelve tolerances; the pixels are analysed only once. The table has the segments,
      the nodes by reason and the deviation of each.
  batten sweep letter.png --proof sweep.html
      prints the table, and writes a page on which a slider shows what each tolerance costs.
)";
const char* const measure_examples = R"(
Square brackets hold what applies where an option is not given.

What is found: extremes without a node, handles a little off their axis, kinks, nodes that could go,
straights with handles, straights a little off an axis. The page of the SVG is laid over the whole scan
where both have the same proportions, otherwise by its size in mm; otherwise one SVG unit is one pixel.

Examples:
  batten measure drawn-by-hand.svg letter.png --proof measured.html
      says how well the outline sits on the scan, and what could be better about its nodes.
  batten measure letter.svg letter.png --against designer.svg
      says also how far it lies from the right outline, and how many segments that has.
)";

const char* const refit_examples = R"(
Square brackets hold what applies where an option is not given.

A path gets the fewest curves that lie within the tolerance of it, both ways. Corners, the ends of open
paths, directions and starts stay; extremes get nodes. Only the d of paths changes, and points of
polylines and polygons, which become paths where they need curves; every other byte of the file stays.
A path that would not get fewer nodes stays as it was written. What is left alone, and why, is said.

With --over the scan decides where each path goes, and the path says what it is: closed or open, where it
has corners, what is straight, where it begins. A path follows the line of the scan that lies nearest, as
long as neither strays from the other by more than three widths of that line, at least 12 px. One without
such a line is refitted without the scan, and named. The page of the SVG is laid over the whole scan where
both have the same proportions, otherwise by its size in mm; otherwise one SVG unit is one pixel.

Examples:
  batten refit outline.svg --tolerance 0.25px
      writes outline-refit.svg beside it, and says how many nodes there were and are.
  batten refit letters.svg --tolerance 0.02mm --out clean.svg --report clean.json
      measures on paper, by the size that the file gives, and writes all figures as JSON.
  batten refit drawn-by-hand.svg --over letter.png --tolerance auto
      puts each path where the pencil went, and says how far it lay off and lies off now.
)";

}  // namespace batten::cli
