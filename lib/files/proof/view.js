// Where one looks: scale is px of the screen for each px of the scan, x and y where the scan's corner lies.
const view = { scale: 1, x: 0, y: 0, listeners: [] };
const sheet = byId("sheet"), world = byId("world");
const applyView = () => {
  world.setAttribute("transform", `translate(${view.x} ${view.y}) scale(${view.scale})`);
  world.style.setProperty("--unit", String(1 / view.scale));
  byId("scan").style.imageRendering = view.scale > 3 ? "pixelated" : "auto";
  for (const listener of view.listeners) listener();
};
const size = () => ({ width: sheet.clientWidth, height: sheet.clientHeight });
const showBox = (box, margin = 24) => {
  const { width, height } = size();
  const w = Math.max(box[2] - box[0], 1), h = Math.max(box[3] - box[1], 1);
  view.scale = Math.max(Math.min((width - 2 * margin) / w, (height - 2 * margin) / h), 1e-3);
  view.x = width / 2 - view.scale * (box[0] + box[2]) / 2;
  view.y = height / 2 - view.scale * (box[1] + box[3]) / 2;
  applyView();
};
const zoomAt = (factor, x, y) => {
  const scale = Math.min(Math.max(view.scale * factor, 0.02), 80);
  view.x = x - (x - view.x) * scale / view.scale;
  view.y = y - (y - view.y) * scale / view.scale;
  view.scale = scale;
  applyView();
};
const zoomMiddle = (factor) => zoomAt(factor, size().width / 2, size().height / 2);
const move = (dx, dy) => { view.x += dx; view.y += dy; applyView(); };
// A place comes into the middle, at a scale at which a px of the scan can be seen.
const showPlace = (place, scale = 6) => {
  const { width, height } = size();
  view.scale = Math.max(view.scale, scale);
  view.x = width / 2 - view.scale * place[0];
  view.y = height / 2 - view.scale * place[1];
  applyView();
};
const keepInSight = (place) => {
  const { width, height } = size(), margin = 40;
  const x = view.x + view.scale * place[0], y = view.y + view.scale * place[1];
  const back = (at, whole) => (at < margin ? margin - at : at > whole - margin ? whole - margin - at : 0);
  if (back(x, width) || back(y, height)) move(back(x, width), back(y, height));
};

const pointers = new Map();
sheet.addEventListener("pointerdown", (event) => {
  const box = sheet.getBoundingClientRect();
  pointers.set(event.pointerId, [event.clientX - box.left, event.clientY - box.top]);
  sheet.setPointerCapture(event.pointerId);
  sheet.classList.add("moving");
});
const release = (event) => {
  pointers.delete(event.pointerId);
  if (!pointers.size) sheet.classList.remove("moving");
};
sheet.addEventListener("pointerup", release);
sheet.addEventListener("pointercancel", release);
sheet.addEventListener("pointermove", (event) => {
  if (!pointers.has(event.pointerId)) return;
  const box = sheet.getBoundingClientRect(), now = [event.clientX - box.left, event.clientY - box.top];
  const before = pointers.get(event.pointerId);
  const other = [...pointers].filter(([id]) => id !== event.pointerId).map(([, p]) => p)[0];
  pointers.set(event.pointerId, now);
  if (!other) return move(now[0] - before[0], now[1] - before[1]);
  const far = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
  zoomAt(far(now) / far(before), (now[0] + other[0]) / 2, (now[1] + other[1]) / 2);
  move((now[0] - before[0]) / 2, (now[1] - before[1]) / 2);
});
sheet.addEventListener("wheel", (event) => {
  event.preventDefault();
  const box = sheet.getBoundingClientRect(), step = event.deltaMode === 1 ? 30 * event.deltaY : event.deltaY;
  zoomAt(Math.exp(-step / 400), event.clientX - box.left, event.clientY - box.top);
}, { passive: false });
