// The legend: the letters in words, then the marks.
const sample = (parts) => {
  const svg = element("svg:svg", { viewBox: "0 0 36 18", "aria-hidden": "true" });
  svg.append(...parts);
  return svg;
};
const legendEntry = (term, text) => {
  const entry = element("div"), dt = element("dt");
  dt.append(term);
  entry.append(dt, element("dd", {}, text));
  return entry;
};
const fillLegend = (reports) => {
  const used = new Set(reports.flatMap((r) => r.outlines.flatMap((o) => o.nodes.map((n) => n.reason))));
  const entries = Object.keys(letters).filter((r) => used.has(r)).map((r) => legendEntry(letters[r][0], letters[r][1]));
  entries.push(
    legendEntry(sample([element("svg:circle", { class: "spot", cx: 18, cy: 9, r: 4 })]),
      "node; its letter says why it is there"),
    legendEntry(sample([element("svg:path", { class: "handle", d: "M4 9H32M32 5V13" })]), "handle"),
    legendEntry(sample([element("svg:path", { class: "edge", d: "M2 9H34" })]), "outline"),
    legendEntry(sample([element("svg:path", { class: "edge", d: "M2 15H34" }),
      element("svg:path", { class: "off", d: "M6 15V11M12 15V8M18 15V5M24 15V8M30 15V12" })]),
      "deviation: how far the drawing lies from the outline, on the side where it lies"),
    legendEntry(sample([element("svg:path", { class: "edge", d: "M2 15H34" }),
      element("svg:path", { class: "beyond", d: "M10 15V4M13.5 15V4M22.5 15V2M26 15V2" })]),
      "deviation over the limit"));
  if (reports.some((r) => r.before))
    entries.push(legendEntry(sample([element("svg:path", { class: "was", d: "M2 9H34" })]), "outline before"));
  if (reports.some((r) => r.guides.length)) {
    const dashes = element("svg:path", { class: "guide", d: "M2 9H34" });
    entries.push(legendEntry(sample([dashes]), "guide found on the paper"));
  }
  if (reports.some((r) => (r.edits || []).length))
    entries.push(legendEntry(sample([element("svg:circle", { class: "edit", cx: 18, cy: 9, r: 7 })]), "straightened"));
  byId("legend").replaceChildren(...entries);
};
// A round length for a bar of about 90 px.
const niceLength = (most) => {
  const power = 10 ** Math.floor(Math.log10(most));
  return [5, 2, 1].map((k) => k * power).find((v) => v <= most) || power;
};
const showScale = (report) => {
  const bar = niceLength(90 / view.scale);
  byId("scale-bar").style.width = `${bar * view.scale}px`;
  byId("scale-text").textContent = lengthText(bar, report.dpi, bar < 1 ? 2 : 0);
  const times = enlargement(report), shown = niceLength(120 / (view.scale * times));
  byId("deviation-note").textContent =
    `Deviation is drawn ${times.toFixed(times < 10 ? 1 : 0)} times enlarged at this view: a stroke of ` +
    `${(shown * times * view.scale).toFixed(0)} px on the screen stands for ${lengthText(shown, report.dpi)}.`;
};
