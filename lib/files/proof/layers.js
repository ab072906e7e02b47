// The marks on the drawing, one group for each layer.
const layerNames = [
  ["fill", "Fill", true], ["guides", "Guides", true], ["deviation", "Deviation", false], ["outline", "Outline", true],
  ["handles", "Handles", true], ["edits", "Straightened", false], ["nodes", "Nodes", true],
];
const layers = {};
for (const [name] of layerNames) {
  layers[name] = element("svg:g", { id: `layer-${name}`, "data-layer": name });
  byId("layers").append(layers[name]);
}

const drawNodes = (report) => {
  const parts = [];
  report.outlines.forEach((outline, o) => outline.nodes.forEach((node, n) => {
    const place = element("svg:g", { class: "node", transform: `translate(${pair(node.at)})`, "data-outline": o, "data-node": n });
    const mark = element("svg:g", { class: "mark" });
    mark.append(element("svg:circle", { class: "reach", r: 12 }), element("svg:circle", { class: "spot", r: 4 }));
    // The letter stands away from the curve: against the sum of the two handles, or above right where there are none.
    const bend = [0, 1].map((k) => 2 * node.at[k] - node.handle_before[k] - node.handle_after[k]);
    const size = Math.hypot(bend[0], bend[1]);
    const way = size > 0.5 && !node.smooth ? [bend[0] / size, bend[1] / size] : offWay(outline, n);
    mark.append(element("svg:text", { class: "letter", x: round(12 * way[0], 2), y: round(12 * way[1], 2) }, (letters[node.reason] || ["?"])[0]));
    place.append(mark);
    parts.push(place);
  }));
  layers.nodes.replaceChildren(...parts);
};
// Left of the direction of travel: the side of the paper.
const offWay = (outline, n) => {
  const count = outline.nodes.length;
  const out = travelAt(segmentOf(outline, n), 0), into = travelAt(segmentOf(outline, (n + count - 1) % count), 1);
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

// Deviation as a ribbon beside the outline, enlarged so that the tolerance is 18 px wide on screen; beyond the limit
// the outline itself is drawn heavier.
const ribbonPx = 18;
const enlargement = (report) => Math.max(1, ribbonPx / (report.tolerance_px * view.scale));
const drawDeviation = (report) => {
  const times = enlargement(report), parts = [];
  for (const outline of report.outlines) {
    const figures = outline.report, along = figures && figures.deviation_px;
    if (!along) continue;
    const inner = [], outer = [];
    let beyond = "", open = false;
    along.forEach((values, i) => {
      const c = segmentOf(outline, i);
      values.forEach((value, k) => {
        const t = k / values.length, p = pointAt(c, t), way = travelAt(c, t);
        inner.push(p);
        outer.push([p[0] + times * value * way[1], p[1] - times * value * way[0]]);
        const over = Math.abs(value) > figures.limit_px;
        if (over) beyond += (open ? "L" : "M") + pair(p) + (open ? "" : `L${pair(p)}`);
        open = over;
      });
    });
    if (!inner.length) continue;
    inner.push(inner[0]); outer.push(outer[0]);
    parts.push(element("svg:path", { class: "ribbon", d: "M" + inner.map(pair).join("L") + "L" + outer.reverse().map(pair).join("L") + "Z" }));
    if (beyond) parts.push(element("svg:path", { class: "beyond", d: beyond }));
  }
  layers.deviation.replaceChildren(...parts);
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
  layers.fill.replaceChildren(element("svg:path", { class: "fill", d: d || "M0 0" }));
  layers.outline.replaceChildren(element("svg:path", { class: "edge", d: d || "M0 0" }));
  drawNodes(report);
  drawHandles(report);
  drawDeviation(report);
  drawGuides(report);
  drawEdits(report);
};
// Letters show where neighbouring nodes are far enough apart for them.
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
