// Moves a conversion on its sheet.

#include "batten/convert.h"

namespace batten {

void translate(Conversion& conversion, Point offset) {
  for (Outline& outline : conversion.drawing.outlines)
    for (Node& node : outline.nodes)
      node = {node.handle_before + offset, node.at + offset, node.handle_after + offset, node.smooth, node.reason};
  for (Guide& guide : conversion.drawing.guides) guide.y0_px += offset.y - guide.slope * offset.x;
  for (OutlineReport& report : conversion.report.outlines) {
    report.worst = report.worst + offset;
    for (std::vector<Point>* points : {&report.judged, &report.located})
      for (Point& p : *points) p = p + offset;
  }
  for (PinOutcome& pin : conversion.report.pins) pin.place = pin.place + offset;
  for (Finding& finding : conversion.report.findings)
    if (finding.outline >= 0 || finding.place.x != 0 || finding.place.y != 0)  // others are of the whole sheet
      finding.place = finding.place + offset;
}

}  // namespace batten
