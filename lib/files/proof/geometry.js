// Cubic segments of an outline, as the report lists them.
const pointAt = (c, t) => {
  const s = 1 - t, w = [s * s * s, 3 * s * s * t, 3 * s * t * t, t * t * t];
  return [0, 1].map((k) => w[0] * c[0][k] + w[1] * c[1][k] + w[2] * c[2][k] + w[3] * c[3][k]);
};
const travelAt = (c, t) => {
  const s = 1 - t, w = [-s * s, s * s - 2 * s * t, 2 * s * t - t * t, t * t];
  let d = [0, 1].map((k) => w[0] * c[0][k] + w[1] * c[1][k] + w[2] * c[2][k] + w[3] * c[3][k]);
  let length = Math.hypot(d[0], d[1]);
  if (length < 1e-9) {  // no direction at a retracted handle: take that of the chord
    d = [0, 1].map((k) => c[3][k] - c[0][k]);
    length = Math.hypot(d[0], d[1]) || 1;
  }
  return [d[0] / length, d[1] / length];
};
const between = (a, b, t) => [0, 1].map((k) => a[k] + t * (b[k] - a[k]));
const segmentOf = (outline, i) => {
  const a = outline.nodes[i], b = outline.nodes[(i + 1) % outline.nodes.length];
  return [a.at, a.handle_after, b.handle_before, b.at];
};
const segmentCount = (outline) => outline.nodes.length - (outline.closed ? 0 : 1);
const round = (value, digits) => Number(value.toFixed(digits));
const pair = (p) => `${round(p[0], 3)} ${round(p[1], 3)}`;
const pathOf = (outline) => {
  let d = `M${pair(outline.nodes[0].at)}`;
  for (let i = 0; i < segmentCount(outline); ++i) {
    const c = segmentOf(outline, i);
    d += `C${pair(c[1])} ${pair(c[2])} ${pair(c[3])}`;
  }
  return d + (outline.closed ? "Z" : "");
};
const boxOf = (outline) => {
  const box = [Infinity, Infinity, -Infinity, -Infinity];
  for (const node of outline.nodes)
    for (const p of [node.at, node.handle_before, node.handle_after]) {
      box[0] = Math.min(box[0], p[0]); box[1] = Math.min(box[1], p[1]);
      box[2] = Math.max(box[2], p[0]); box[3] = Math.max(box[3], p[1]);
    }
  return box;
};
