// Figures, findings and edits as text; each with a button that leads to its place.
const columns = [
  ["Outline", (o, i) => String(i + 1)],
  ["Drawn as", (o) => o.kind, "word"],
  ["Segments", (o) => String(o.report ? o.report.segments : o.nodes.length)],
  ["Fewest possible", (o) => fewestText(o.report && o.report.least_segments)],
  ["Nodes by reason", (o) => reasonsText(o), "word"],
  ["rms", (o) => fixed(o.report && o.report.rms_px, 2)],
  ["95 %", (o) => fixed(o.report && o.report.p95_px, 2)],
  ["Largest", (o) => fixed(o.report && o.report.max_px, 2)],
  ["Limit", (o) => fixed(o.report && o.report.limit_px, 2)],
  ["Line uncertain by", (o) => fixed(o.sigma_px, 2)],
];
const fewestText = (least) =>
  (least ? `${least.segments}, ${least.kind === "proven" ? "proven" : "none fewer found"}` : null);
const reasonsText = (outline) => {
  const counts = {};
  for (const node of outline.nodes) counts[node.reason] = (counts[node.reason] || 0) + 1;
  return Object.keys(letters).filter((r) => counts[r]).map((r) => `${counts[r]} ${r}`).join(", ");
};
const placeButton = (text, label, go) => {
  const button = element("button", { type: "button", class: "place", "aria-label": label }, text);
  button.addEventListener("click", go);
  return button;
};
const goTo = (place) => {
  showPlace(place);
  markPlace(place);
  sheet.scrollIntoView({ block: "nearest" });
  sheet.focus({ preventScroll: true });
};
const markPlace = (place) => {
  const old = byId("place-mark");
  if (old) old.remove();
  const at = element("svg:g", { id: "place-mark", transform: `translate(${pair(place)})` });
  const mark = element("svg:g", { class: "mark" });
  mark.append(element("svg:circle", { class: "ring", r: 16 }));
  at.append(mark);
  byId("layers").append(at);
};

const fillTable = (report) => {
  const used = columns.filter(([, value]) => report.outlines.some((o, i) => value(o, i) !== null));
  const head = element("tr", { role: "row" });
  for (const [name, , kind] of used)
    head.append(element("th", { role: "columnheader", scope: "col", class: kind || "" }, name));
  head.append(element("th", { role: "columnheader", scope: "col" }, "Farthest off"));
  byId("table").tHead.replaceChildren(head);
  byId("table").tBodies[0].replaceChildren(...report.outlines.map((outline, i) => {
    const row = element("tr", { role: "row", "data-outline": i });
    for (const [name, value, kind] of used) {
      const over = name === "Largest" && outline.report && outline.report.max_px > outline.report.limit_px;
      row.append(element("td", { role: "cell", "data-head": name, class: (kind || "") + (over ? " over" : "") },
        (value(outline, i) ?? "\u2013") + (over ? ", over" : "")));
    }
    const cell = element("td", { role: "cell", "data-head": "Farthest off" });
    const worst = outline.report && known(outline.report.max_px) ? outline.report.worst : null;
    cell.append(placeButton(worst ? `${worst[0].toFixed(0)}, ${worst[1].toFixed(0)}` : "show",
      `Show outline ${i + 1}` + (worst ? " where it is farthest off" : ""),
      () => { if (worst) goTo(worst); else showBox(boxOf(outline)); }));
    row.append(cell);
    return row;
  }));
};
const fillList = (list, part, entries, textOf, placeOf) => {
  byId(part).hidden = !entries.length;
  byId(list).replaceChildren(...entries.map((entry) => {
    const item = element("li");
    if (entry.level === "warning") item.append(element("span", { class: "warning" }, "Warning. "));
    item.append(textOf(entry) + " ");
    const place = placeOf(entry);
    if (place) item.append(placeButton("Show", `Show the place: ${textOf(entry)}`, () => goTo(place)));
    return item;
  }));
};
const fillFigures = (report) => {
  byId("mm-note").textContent = report.dpi ? `, which has ${report.dpi.toFixed(0)} px an inch` : "";
  fillTable(report);
  const order = { warning: 0, info: 1 };
  const findings = [...report.findings].sort((a, b) => order[a.level] - order[b.level]);
  const placeOf = (f) => (f.outline !== null || f.place[0] || f.place[1] ? f.place : null);
  fillList("findings", "findings-part", findings, (f) => f.text, placeOf);
  fillList("edits", "edits-part", report.edits || [], (e) => e.text, (e) => (e.places || [])[0]);
};
