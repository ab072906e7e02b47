// Words and numbers. What the report leaves out or cannot know is null there and shows as a dash.
const letters = {
  "corner": ["C", "corner: the direction jumps"],
  "left": ["L", "left: leftmost place of a curve"],
  "right": ["R", "right: rightmost place of a curve"],
  "top": ["T", "top: highest place of a curve"],
  "bottom": ["B", "bottom: lowest place of a curve"],
  "straight end": ["E", "end of a straight: it runs smoothly into a curve"],
  "added": ["+", "added: one curve alone could not hold the tolerance"],
  "line end": ["N", "end of an open line"],
};
const known = (value) => value !== null && value !== undefined;
const fixed = (value, digits) => (known(value) ? value.toFixed(digits) : "\u2013");
const count = (n, noun) => `${n} ${noun}${n === 1 ? "" : "s"}`;
// "0.92 px (0.078 mm)" where the resolution is known.
const lengthText = (px, dpi, digits = 2) =>
  fixed(px, digits) + " px" + (known(px) && dpi ? ` (${(px / dpi * 25.4).toFixed(digits + 1)} mm)` : "");
const handleText = (node, handle) => {
  const x = handle[0] - node.at[0], y = handle[1] - node.at[1], size = Math.hypot(x, y);
  if (size < 1e-9) return "none";
  return `${size.toFixed(1)} px at ${(Math.atan2(-y, x) * 180 / Math.PI).toFixed(1)}\u00b0`;
};
const nodeText = (document_, outline, index) => {
  const node = document_.outlines[outline].nodes[index];
  const kink = node.smooth || node.reason === "corner" || node.reason === "line end" ? "" : ", not smooth";
  return `Node ${index + 1} of outline ${outline + 1}: ${node.reason}${kink}` +
    ` at x ${node.at[0].toFixed(1)}, y ${node.at[1].toFixed(1)} px. ` +
    `Handle before: ${handleText(node, node.handle_before)}; after: ${handleText(node, node.handle_after)}.`;
};
const element = (name, attributes = {}, text = "") => {
  const made = name.startsWith("svg:") ? document.createElementNS("http://www.w3.org/2000/svg", name.slice(4))
                                       : document.createElement(name);
  for (const key of Object.keys(attributes)) made.setAttribute(key, attributes[key]);
  if (text !== "") made.textContent = text;
  return made;
};
const byId = (id) => document.getElementById(id);
