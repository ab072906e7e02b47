const data = JSON.parse(byId("data").textContent);
const reports = data.reports, sweep = data.sweep || {};
let shown = 0, chosen = null;
const report = () => reports[shown];

const choose = (outline, node) => {
  for (const old of document.querySelectorAll(".node.chosen")) old.classList.remove("chosen");
  for (const row of document.querySelectorAll("tr.chosen")) row.classList.remove("chosen");
  chosen = [outline, node];
  const mark = document.querySelector(`.node[data-outline="${outline}"][data-node="${node}"]`);
  if (mark) mark.classList.add("chosen");
  const row = document.querySelector(`tr[data-outline="${outline}"]`);
  if (row) row.classList.add("chosen");
  byId("node").textContent = nodeText(report(), outline, node);
};
const step = (by) => {
  const all = report().outlines.flatMap((outline, o) => outline.nodes.map((_, n) => [o, n]));
  if (!all.length) return;
  const now = chosen ? all.findIndex(([o, n]) => o === chosen[0] && n === chosen[1]) : (by > 0 ? -1 : 0);
  const [o, n] = all[(now + by + all.length) % all.length];
  choose(o, n);
  pickNode(o, n);
  keepInSight(report().outlines[o].nodes[n].at);
};
const nodeUnder = (event) => event.target.closest && event.target.closest(".node");
layers.nodes.addEventListener("pointerover", (event) => {
  const node = nodeUnder(event);
  if (node && !pointers.size) choose(Number(node.dataset.outline), Number(node.dataset.node));
});
layers.nodes.addEventListener("pointerdown", (event) => {
  const node = nodeUnder(event);
  if (node) choose(Number(node.dataset.outline), Number(node.dataset.node));
});

const keys = {
  "+": () => zoomMiddle(1.25), "=": () => zoomMiddle(1.25), "-": () => zoomMiddle(0.8), "0": () => showWhole(),
  ArrowLeft: () => move(48, 0), ArrowRight: () => move(-48, 0),
  ArrowUp: () => move(0, 48), ArrowDown: () => move(0, -48),
  s: () => stepStretch(), S: () => stepStretch(), Enter: () => pickMiddle(),
  n: () => step(1), p: () => step(-1), N: () => step(1), P: () => step(-1),
};
const byPx = (x, y) => move(x * view.scale, y * view.scale);
const fine = {
  ArrowLeft: () => byPx(1, 0), ArrowRight: () => byPx(-1, 0), ArrowUp: () => byPx(0, 1), ArrowDown: () => byPx(0, -1),
};
sheet.addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey || !keys[event.key]) return;
  event.preventDefault();
  if (event.shiftKey && fine[event.key]) fine[event.key]();
  else keys[event.key]();
});
const showWhole = () => showBox([0, 0, report().width_px, report().height_px], 8);
byId("whole").addEventListener("click", showWhole);
byId("closer").addEventListener("click", () => zoomMiddle(1.25));
byId("farther").addEventListener("click", () => zoomMiddle(0.8));
byId("before").addEventListener("click", () => step(-1));
byId("next").addEventListener("click", () => step(1));

const hasScan = byId("scan").getAttribute("href") !== "data:,";  // a refit may do without one
byId("ink").parentElement.hidden = !hasScan;
if (!hasScan) byId("scan").style.display = "none";
for (const [name, text, on] of [["scan", "Scan", true], ...layerNames]) {
  if (name === "before" && !reports.some((r) => r.before)) continue;
  if (name === "scan" && !hasScan) continue;
  if (name === "guides" && !reports.some((r) => r.guides.length)) continue;
  if (name === "decisions" && reports.length > 1) continue;
  if (name === "edits" && !reports.some((r) => (r.edits || []).length)) continue;
  const label = element("label"), box = element("input", { type: "checkbox", id: `show-${name}` });
  const show = () => {
    (name === "scan" ? byId("scan") : layers[name]).style.display = box.checked ? "" : "none";
    if (name === "deviation") byId("deviation-note").hidden = !box.checked;
  };
  box.checked = on;
  box.addEventListener("change", show);
  label.append(box, text);
  byId("toggles").append(label);
  show();
}
const slider = (id, apply) => {
  const input = byId(id);
  const update = () => {
    apply(input.value / 100);
    byId(`${id}-text`).textContent = `${input.value} %`;
  };
  input.addEventListener("input", update);
  update();
};
slider("opacity", (value) => { layers.fill.style.opacity = value; });
slider("ink", (value) => { byId("scan").style.opacity = value; });

const themes = window.matchMedia("(prefers-color-scheme: dark)");
const useTheme = (dark) => {
  document.documentElement.dataset.theme = dark ? "dark" : "light";
  byId("theme").textContent = dark ? "Light" : "Dark";
};
useTheme(themes.matches);
themes.addEventListener("change", (event) => useTheme(event.matches));
byId("theme").addEventListener("click", () => useTheme(document.documentElement.dataset.theme !== "dark"));

// Deviation strokes keep their size on screen: they are made again when the scale changes, not when the view moves.
let strokeScale = 0;
view.listeners.push(() => {
  world.classList.toggle("far", typicalGap(report()) * view.scale < 22);
  showScale(report());
  if (strokeScale !== view.scale) drawDeviation(report());
  strokeScale = view.scale;
});
let markCurve = () => {};
const show = (i) => {
  shown = i;
  chosen = null;
  drawReport(report());
  fillFigures(report());
  if (reports.length > 1) {
    byId("step-text").textContent = stepText(report(), i, sweep);
    byId("step").setAttribute("aria-valuetext", stepText(report(), i, sweep));
    markCurve(i);
  }
};
if (reports.length > 1) {
  byId("sweep").hidden = false;
  byId("step").max = reports.length - 1;
  markCurve = plotCurve(reports, sweep);
  byId("step").value = known(sweep.recommended) ? sweep.recommended : 0;
  byId("step").addEventListener("input", () => { show(Number(byId("step").value)); applyView(); });
}
// On a narrow screen the sheet is no higher than its drawing needs: the controls stay in sight.
const fitSheet = () => {
  const needed = Math.round((sheet.clientWidth - 16) * report().height_px / report().width_px + 48);
  sheet.style.height = window.innerWidth < 640 ? `min(62vh, ${Math.max(needed, 256)}px)` : "";
};
fillLegend(reports);
fitSheet();
show(reports.length > 1 ? Number(byId("step").value) : 0);
showWhole();
startDeciding();
let width = sheet.clientWidth;
window.addEventListener("resize", () => {
  if (sheet.clientWidth === width) return;
  fitSheet();
  showWhole();
  width = sheet.clientWidth;
});
document.documentElement.dataset.ready = "yes";
