// The marks on the drawing, one group for each layer.
const layerNames = [
  ["fill", "Fill", true], ["guides", "Guides", true], ["before", "Before", true], ["deviation", "Deviation", false],
  ["outline", "Outline", true], ["handles", "Handles", true], ["edits", "Straightened", false],
  ["nodes", "Nodes", true], ["decisions", "Decisions", true],
];
const layers = {};
for (const [name] of layerNames) {
  layers[name] = element("svg:g", { id: `layer-${name}`, "data-layer": name });
  byId("layers").append(layers[name]);
}

const drawNodes = (report) => {
  const parts = [];
  report.outlines.forEach((outline, o) => outline.nodes.forEach((node, n) => {
    const place = element("svg:g", {
      class: "node", transform: `translate(${pair(node.at)})`, "data-outline": o, "data-node": n,
    });
    const mark = element("svg:g", { class: "mark" });
    mark.append(element("svg:circle", { class: "target", r: 12 }), element("svg:circle", { class: "spot", r: 4 }));
    // The letter stands away from the curve: at a corner opposite to its handles, elsewhere on the side of the paper.
    const bend = [0, 1].map((k) => 2 * node.at[k] - node.handle_before[k] - node.handle_after[k]);
    const size = Math.hypot(bend[0], bend[1]);
    const side = size > 0.5 && !node.smooth ? [bend[0] / size, bend[1] / size] : paperSide(outline, n);
    mark.append(element("svg:text", { class: "letter", x: round(12 * side[0], 2), y: round(12 * side[1], 2) },
      (letters[node.reason] || ["?"])[0]));
    place.append(mark);
    parts.push(place);
  }));
  layers.nodes.replaceChildren(...parts);
};
// Left of the direction of travel: the side of the paper.
const paperSide = (outline, n) => {
  const count = outline.nodes.length;
  const starts = outline.closed || n > 0, ends = outline.closed || n + 1 < count;  // a line has one side at its ends
  const out = ends ? travelAt(segmentOf(outline, n), 0) : [0, 0];
  const into = starts ? travelAt(segmentOf(outline, (n + count - 1) % count), 1) : [0, 0];
  const sum = [out[0] + into[0], out[1] + into[1]], size = Math.hypot(sum[0], sum[1]) || 1;
  return [sum[1] / size, -sum[0] / size];
};

const drawHandles = (report) => {
  let lines = "";
  for (const outline of report.outlines)
    for (const node of outline.nodes)
      for (const handle of [node.handle_before, node.handle_after])
        if (handle[0] !== node.at[0] || handle[1] !== node.at[1]) lines += `M${pair(node.at)}L${pair(handle)}`;
  const parts = [element("svg:path", { class: "handle", d: lines || "M0 0" })];
  for (const outline of report.outlines)
    for (const node of outline.nodes)
      for (const handle of [node.handle_before, node.handle_after]) {
        if (handle[0] === node.at[0] && handle[1] === node.at[1]) continue;
        const turn = Math.atan2(handle[1] - node.at[1], handle[0] - node.at[0]) * 180 / Math.PI;
        const end = element("svg:g", { transform: `translate(${pair(handle)}) rotate(${round(turn, 2)})` });
        const mark = element("svg:g", { class: "mark" });
        mark.append(element("svg:path", { class: "handle", d: "M0 -4V4" }));
        end.append(mark);
        parts.push(end);
      }
  layers.handles.replaceChildren(...parts);
};

// Deviation as strokes across the outline, on the side where the drawing lies, enlarged so that the tolerance is 18 px
// long on screen. Strokes stand at least 5 px apart on screen; the largest deviation between two is never left out.
const strokePx = 18, strokeGapPx = 5;
const enlargement = (report) => Math.max(1, strokePx / (report.tolerance_px * view.scale));
const isStraight = (c) => c[0][0] === c[1][0] && c[0][1] === c[1][1] && c[2][0] === c[3][0] && c[2][1] === c[3][1];
const crossStrokes = (outline, along) => {
  const strokes = [], gap = strokeGapPx / view.scale;
  let largest = null, length = 0, before = null;
  along.forEach((values, i) => {
    const c = segmentOf(outline, i), straight = isStraight(c);
    values.forEach((value, k) => {
      const t = k / values.length, at = straight ? between(c[0], c[3], t) : pointAt(c, t);
      if (!largest || Math.abs(value) > Math.abs(largest.value)) largest = { at, value, travel: travelAt(c, t) };
      if (before) length += Math.hypot(at[0] - before[0], at[1] - before[1]);
      before = at;
      if (length < gap) return;
      strokes.push(largest);
      largest = null;
      length = 0;
    });
  });
  return largest ? [...strokes, largest] : strokes;
};
const drawDeviation = (report) => {
  const times = enlargement(report), apart = 1.75 / view.scale;
  let within = "", over = "";
  for (const outline of report.outlines) {
    const figures = outline.report;
    if (!figures || !figures.deviation_px) continue;
    for (const { at, value, travel } of crossStrokes(outline, figures.deviation_px)) {
      if (times * view.scale * Math.abs(value) < 1) continue;  // lies under the outline's own line
      const across = `l${pair([times * value * travel[1], -times * value * travel[0]])}`;
      const beside = (side) => `M${pair([0, 1].map((k) => at[k] + side * apart * travel[k]))}${across}`;
      if (Math.abs(value) > figures.limit_px) over += beside(-1) + beside(1);
      else within += beside(0);
    }
  }
  layers.deviation.replaceChildren(
    element("svg:path", { class: "rim", d: within + over || "M0 0" }),
    element("svg:path", { class: "off", d: within || "M0 0" }),
    element("svg:path", { class: "beyond", d: over || "M0 0" }));
};

const drawGuides = (report) => {
  layers.guides.replaceChildren(...report.guides.map((guide) => element("svg:line", {
    class: "guide", x1: 0, y1: round(guide.y0_px, 3), x2: report.width_px,
    y2: round(guide.y0_px + guide.slope * report.width_px, 3),
  })));
};
const drawEdits = (report) => {
  const kept = (report.edits || []).filter((edit) => edit.kept !== false);
  layers.edits.replaceChildren(...kept.flatMap((edit) => (edit.places || []).map((place) => {
    const at = element("svg:g", { transform: `translate(${pair(place)})` });
    const mark = element("svg:g", { class: "mark" });
    mark.append(element("svg:circle", { class: "edit", r: 9 }));
    at.append(mark);
    return at;
  })));
};
const drawReport = (report) => {
  const outlines = report.outlines.filter((outline) => outline.nodes.length);
  const d = outlines.map(pathOf).join("");
  const areas = outlines.filter((outline) => outline.kind !== "line").map(pathOf).join("");
  layers.fill.replaceChildren(element("svg:path", { class: "fill", d: areas || "M0 0" }));
  const before = (report.before || []).filter((outline) => outline.nodes.length).map(pathOf).join("");
  layers.before.replaceChildren(element("svg:path", { class: "was", d: before || "M0 0" }));
  layers.outline.replaceChildren(element("svg:path", { class: "edge", d: d || "M0 0" }));
  drawNodes(report);
  drawHandles(report);
  drawDeviation(report);
  drawGuides(report);
  drawEdits(report);
};
// How far neighbouring nodes are apart, px: letters show where there is room for them. A third of the gaps is shorter.
const typicalGap = (report) => {
  const gaps = [];
  for (const outline of report.outlines)
    for (let i = 0; i < segmentCount(outline); ++i) {
      const c = segmentOf(outline, i);
      gaps.push(Math.hypot(c[3][0] - c[0][0], c[3][1] - c[0][1]));
    }
  gaps.sort((a, b) => a - b);
  return gaps.length ? gaps[Math.floor(gaps.length / 3)] : 0;
};
