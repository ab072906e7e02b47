// Several tolerances: a slider, and the curve of error against nodes, both axes logarithmic.
const plotCurve = (reports, sweep) => {
  const w = 560, h = 220, left = 56, right = 16, top = 14, bottom = 40;
  const xs = reports.map((r) => Math.log(Math.max(r.segments, 1)));
  const ys = reports.map((r) => Math.log(Math.max(r.rms_px, 1e-6)));
  const range = (v) => { const a = Math.min(...v), b = Math.max(...v); return b > a ? [a, b] : [a - 0.5, a + 0.5]; };
  const [x0, x1] = range(xs), [y0, y1] = range(ys);
  const at = (i) => [left + (xs[i] - x0) / (x1 - x0) * (w - left - right),
    h - bottom - (ys[i] - y0) / (y1 - y0) * (h - top - bottom)];
  const svg = element("svg:svg", { viewBox: `0 0 ${w} ${h}`, role: "img",
    "aria-label": "rms deviation against number of segments, one point for each tolerance" });
  const text = (x, y, words, anchor) =>
    svg.append(element("svg:text", { class: "tick", x, y, "text-anchor": anchor }, words));
  const finer = sweep.finer || 0;
  if (finer > 0) {
    const from = finer < reports.length ? (at(finer - 1)[0] + at(finer)[0]) / 2 : left;
    svg.append(element("svg:rect", { class: "zone", x: from, y: top, width: w - right - from,
      height: h - top - bottom }));
    text(w - right - 4, top + 10, `finer than the line is known (${fixed(reports[0].known_px, 2)} px)`, "end");
  }
  svg.append(element("svg:path", { class: "axis", fill: "none", d: `M${left} ${top}V${h - bottom}H${w - right}` }));
  text(left, h - bottom + 16, String(Math.round(Math.exp(x0))), "middle");
  text(w - right, h - bottom + 16, String(Math.round(Math.exp(x1))), "end");
  text((left + w - right) / 2, h - 8, "segments", "middle");
  text(left - 6, h - bottom, Math.exp(y0).toFixed(2), "end");
  text(left - 6, top + 8, Math.exp(y1).toFixed(2), "end");
  text(left - 6, (top + h - bottom) / 2, "rms, px", "end");
  svg.append(element("svg:path", { class: "run", d: "M" + reports.map((_, i) => at(i).join(" ")).join("L") }));
  reports.forEach((_, i) => svg.append(element("svg:circle", { class: "dot", cx: at(i)[0], cy: at(i)[1], r: 4 })));
  if (known(sweep.knee)) {
    const [x, y] = at(sweep.knee);
    svg.append(element("svg:path", { class: "knee", d: `M${x} ${y}V${h - bottom}` }));
    text(x + 6, h - bottom - 6, "knee", "start");
  }
  const now = element("svg:circle", { class: "now", r: 9 });
  svg.append(now);
  byId("curve").replaceChildren(svg);
  return (i) => { now.setAttribute("cx", at(i)[0]); now.setAttribute("cy", at(i)[1]); };
};
const stepText = (report, i, sweep) =>
  `${lengthText(report.tolerance_px, report.dpi)}: ${count(report.segments, "segment")}, ` +
  `rms ${fixed(report.rms_px, 2)} px, largest ${fixed(report.max_px, 2)} px` +
  (i < (sweep.finer || 0) ? `; finer than the line is known, ${fixed(report.known_px, 2)} px` : "") +
  (known(sweep.drawn_at) && sweep.drawn_at[i] < i ? "; a finer one's drawing, since its own needs more segments" : "") +
  (i === sweep.knee ? "; the knee" : "") + (i === sweep.recommended ? "; recommended" : "");
