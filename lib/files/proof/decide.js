// Decisions: what was pointed at, what may hold there, and the list that is saved for the next trace.
const decisions = { list: [], past: [], aim: null, open: null };
const places = (p) => p.map((v) => round(v, 2));
const near = (a, b) => Math.hypot(a[0] - b[0], a[1] - b[1]);

// The nearest place on an outline: which segment, and how far along it.
const nearestStretch = (at) => {
  let best = null;
  report().outlines.forEach((outline, o) => {
    for (let i = 0; i < segmentCount(outline); ++i)
      for (let k = 0; k <= 32; ++k) {
        const c = segmentOf(outline, i), p = isStraight(c) ? between(c[0], c[3], k / 32) : pointAt(c, k / 32);
        if (!best || near(p, at) < best.far) best = { outline: o, segment: i, at: p, far: near(p, at), c };
      }
  });
  return best;
};
const nearestNode = (at) => {
  let best = null;
  report().outlines.forEach((outline, o) => outline.nodes.forEach((node, n) => {
    const far = near(node.at, at);
    if (!best || far < best.far) best = { outline: o, node: n, at: node.at, far };
  }));
  return best;
};

// What can be decided about each sort of thing that was pointed at. `more`: how many further places it takes.
const polygonPins = [
  ["Leave out", { pin: "ignore" }], ["Is bare paper", { pin: "paper" }], ["Is ink", { pin: "ink" }],
  ["Was shaded", { pin: "drawn as", as: "shaded" }], ["Was outlined", { pin: "drawn as", as: "outlined" }],
  ["Are lines", { pin: "drawn as", as: "lines" }],
];
const choicesFor = (aim) => {
  const at = { at: places(aim.at) }, list = [];
  if (aim.node !== undefined) {
    const node = report().outlines[aim.outline].nodes[aim.node];
    list.push(["Is a corner", { pin: "corner", ...at }], ["Is no corner", { pin: "not a corner", ...at }],
      ["No node here", { pin: "no node", ...at }], ["Node stays here", { pin: "node", ...at }]);
    if (node.smooth)
      list.push(["Stays, handles level", { pin: "node", ...at, along: "level" }],
        ["Stays, handles upright", { pin: "node", ...at, along: "vertical" }]);
    list.push(["Outline starts here", { pin: "start", ...at }],
      ["Same height as \u2026", { pin: "share y", places: [at.at] }, 1],
      ["Straight above \u2026", { pin: "share x", places: [at.at] }, 1],
      ["As far from \u2026", { pin: "equal distance", first: [at.at] }, 3]);
  } else if (aim.stretch) {
    const ends = { from: places(aim.stretch[0]), to: places(aim.stretch[3]) };
    list.push(["Is straight", { pin: "straight", ...ends }], ["Is level", { pin: "straight", ...ends, along: "level" }],
      ["Is upright", { pin: "straight", ...ends, along: "vertical" }], ["A node here", { pin: "node", ...at }],
      ["A corner here", { pin: "corner", ...at }], ["Passes exactly here", { pin: "passes through", ...at }]);
  }
  list.push(["Line runs on to \u2026", { pin: "close gap", from: at.at }, 1],
    ["Kept apart up to \u2026", { pin: "keep apart", from: at.at }, 1],
    ["A region from here \u2026", { region: [at.at] }, 99]);
  return list;
};
const needs = { 1: "Now the other place.", 2: "Now the next place.", 3: "Now the place that it is as far from." };

// "Corner at 120, 80"
const placesOf = (pin) => [pin.at, pin.from, pin.to, ...(pin.places || []), ...(pin.first || []), ...(pin.second || []),
  ...(pin.region || [])].filter(known);
const wordsOf = (pin) => {
  const [first] = placesOf(pin);
  const what = [pin.pin, pin.as, pin.turn, pin.along, known(pin.length) ? `${pin.length} px` : null].filter(known);
  return `${what.join(", ")} at ${first[0].toFixed(0)}, ${first[1].toFixed(0)}`;
};

const remember = () => { decisions.past.push(decisions.list.slice()); };
const decide = (pin) => {
  remember();
  decisions.list.push({ pin });
  decisions.open = null;
  decisions.said = `Decided: ${wordsOf(pin)}.`;
  showDecisions();
};
const begin = (pin, more) => {
  if (!more) return decide(pin);
  decisions.open = { pin: JSON.parse(JSON.stringify(pin)), more };
  showDecisions();
};
// A further place for a decision that needs several.
const goOn = (aim) => {
  const { pin } = decisions.open, at = places(aim.at);
  if (pin.region) pin.region.push(at);
  else if (pin.from) pin.to = at;
  else if (pin.places) pin.places.push(at);
  else if (pin.first.length < 2) pin.first.push(at);
  else pin.second = [...(pin.second || []), at];
  if (!--decisions.open.more) return decide(pin);
  showDecisions();
};
const pick = (aim) => {
  decisions.aim = aim;
  decisions.said = null;
  if (decisions.open) goOn(aim);
  else showDecisions();
};
// Within so many px of the screen a finger or a mouse means what lies there.
const reachOnScreen = 16;
const pickPlace = (at, reach = reachOnScreen) => {
  const node = nearestNode(at), stretch = nearestStretch(at), px = reach / view.scale;
  const region = decisions.open && (decisions.open.pin.region || decisions.open.pin.from);
  if (region) return pick({ at });
  if (node && node.far < px) { choose(node.outline, node.node); return pick(node); }
  if (stretch && stretch.far < px) return pick({ at: stretch.at, stretch: stretch.c, outline: stretch.outline });
  pick({ at });
};
const pickNode = (outline, node) => pick({ outline, node, at: report().outlines[outline].nodes[node].at });

const aimText = (aim) => {
  if (!aim)
    return "Click a node, an outline or any place; on the keyboard N and P pick nodes, S stretches, and Enter the " +
      "place under the cross.";
  const [x, y] = aim.at, place = `x ${x.toFixed(1)}, y ${y.toFixed(1)} px`;
  return (aim.node !== undefined ? `Node ${aim.node + 1} of outline ${aim.outline + 1}`
    : aim.stretch ? `Stretch of outline ${aim.outline + 1}` : "Place") + ` at ${place}: what should hold?`;
};
const action = (text, act) => {
  const button = element("button", { type: "button" }, text);
  button.addEventListener("click", act);
  return button;
};
const openChoices = () => {
  const { pin, more } = decisions.open, list = [];
  if (pin.region) {
    byId("picked").textContent = `Region with ${count(pin.region.length, "corner")}: point at the next one` +
      (pin.region.length > 2 ? ", or say what the region is." : ".");
    if (pin.region.length > 2) {
      for (const [text, of] of polygonPins) list.push(action(text, () => decide({ ...of, region: pin.region })));
      const input = element("input", { type: "number", id: "length", min: "0.1", step: "0.1", value: "1",
        "aria-label": "Tolerance within the region, px" });
      list.push(input, action("px tolerance", () => {
        if (Number(input.value) > 0) decide({ pin: "tolerance", region: pin.region, length: Number(input.value) });
      }));
    }
  } else {
    byId("picked").textContent = needs[pin.pin === "equal distance" ? more : 1] || needs[1];
  }
  list.push(action("Never mind", () => { decisions.open = null; showDecisions(); }));
  return list;
};

const showChoices = () => {
  if (decisions.open) return byId("choices").replaceChildren(...openChoices());
  byId("picked").textContent = decisions.said || aimText(decisions.aim);
  byId("choices").replaceChildren(...(decisions.aim && !decisions.said ? choicesFor(decisions.aim) : [])
    .map(([text, pin, more]) => action(text, () => begin(pin, more))));
};
const showList = () => {
  byId("decisions").replaceChildren(...decisions.list.map(({ pin, outcome }, i) => {
    const item = element("li", { "data-pin": pin.pin });
    item.append(wordsOf(pin) + " ");
    if (outcome) item.append(element("span", { class: outcome.held ? "small" : "warning" },
      outcome.held ? "(held) " : `(${outcome.text}) `));
    item.append(placeButton("Show", `Show the place: ${wordsOf(pin)}`, () => goTo(placesOf(pin)[0])), " ",
      placeButton("Take out", `Take out: ${wordsOf(pin)}`, () => {
        remember();
        decisions.list.splice(i, 1);
        decisions.said = `Taken out: ${wordsOf(pin)}.`;
        showDecisions();
      }));
    return item;
  }));
  byId("undo").disabled = !decisions.past.length;
  byId("save").disabled = !decisions.list.length && !decisions.past.length;
};
const drawDecisions = () => {
  const open = decisions.open ? [decisions.open.pin] : [], all = [...decisions.list.map((d) => d.pin), ...open];
  const parts = [];
  for (const pin of all) {
    const line = pin.region || (pin.from && pin.to ? [pin.from, pin.to] : null);
    if (line && line.length > 1)
      parts.push(element("svg:path", { class: "decided", d: `M${line.map(pair).join("L")}${pin.region ? "Z" : ""}` }));
    for (const place of placesOf(pin)) parts.push(decisionMark(place, "M-6 -6H6V6H-6Z"));
  }
  if (decisions.aim) parts.push(decisionMark(decisions.aim.at, "M-11 0H-4M4 0H11M0 -11V-4M0 4V11"));
  layers.decisions.replaceChildren(...parts);
};
const decisionMark = (place, d) => {
  const at = element("svg:g", { transform: `translate(${pair(place)})` }), mark = element("svg:g", { class: "mark" });
  mark.append(element("svg:path", { class: "decided", d }));
  at.append(mark);
  return at;
};
const showDecisions = () => {
  showChoices();
  showList();
  drawDecisions();
};

const decisionsText = () => {
  const pins = decisions.list.map(({ pin }) => "    " + JSON.stringify(pin));
  return `{\n  "batten_pins": 1,\n  "unit": "px",\n  "scan": ${JSON.stringify(report().scan)},\n  "pins": [\n` +
    `${pins.join(",\n")}\n  ]\n}\n`;
};
const saveDecisions = () => {
  const name = (report().scan || "drawing").replace(/^.*\//, "").replace(/\.[^.]*$/, "");
  const address = URL.createObjectURL(new Blob([decisionsText()], { type: "application/json" }));
  const link = element("a", { href: address, download: `${name}-pins.json` });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(address), 10000);
  byId("picked").textContent = `Saved as ${name}-pins.json: trace the scan again with --pins and this file.`;
};

// A press that does not move points at a place; one that does moves the view.
const pressed = { at: null };
const placeUnder = (event) => {
  const box = sheet.getBoundingClientRect();
  return [(event.clientX - box.left - view.x) / view.scale, (event.clientY - box.top - view.y) / view.scale];
};
const startDeciding = () => {
  if (reports.length > 1) return;
  byId("decide").hidden = false;
  decisions.list = (report().pins || []).filter((p) => p.decision).map((p) => ({ pin: p.decision, outcome: p }));
  sheet.addEventListener("pointerdown", (event) => {
    pressed.at = pointers.size > 1 ? null : [event.clientX, event.clientY];
  });
  sheet.addEventListener("pointerup", (event) => {
    const still = pressed.at && near(pressed.at, [event.clientX, event.clientY]) < 5;
    pressed.at = null;
    if (still && event.button === 0) pickPlace(placeUnder(event), event.pointerType === "touch" ? 22 : reachOnScreen);
  });
  byId("undo").addEventListener("click", () => {
    if (!decisions.past.length) return;
    decisions.list = decisions.past.pop();
    decisions.open = null;
    decisions.said = "The last decision was taken back.";
    showDecisions();
  });
  byId("save").addEventListener("click", saveDecisions);
  showDecisions();
};
let stretchAt = -1;
const stepStretch = () => {
  const all = report().outlines.flatMap((outline, o) =>
    Array.from({ length: segmentCount(outline) }, (_, i) => [o, segmentOf(outline, i)]));
  if (!all.length) return;
  stretchAt = (stretchAt + 1) % all.length;
  const [outline, c] = all[stretchAt], at = isStraight(c) ? between(c[0], c[3], 0.5) : pointAt(c, 0.5);
  keepInSight(at);
  pick({ at, stretch: c, outline });
};
const pickMiddle = () =>
  pickPlace([(size().width / 2 - view.x) / view.scale, (size().height / 2 - view.y) / view.scale]);
