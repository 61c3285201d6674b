// The signs at a joint: its dot and name, its support, its loads and reactions. Screen pixels,
// origin at the joint, y down.

import { loadDirection, loadValue } from "./document.js";
import { between, heading } from "./geometry.js";
import { el, line, text } from "./svg.js";

export const ARROW = 58;
const GAP = 9;

const times = ([x, y], k) => [x * k, y * k];
const plus = ([x, y], [u, v]) => [x + u, y + v];

/** A pin: a filled foot on the ground. A roller: the same on two wheels. */
export function supportSign(support, chosen) {
  const rolls = support.kind === "roller";
  const ground = rolls ? 34 : 27;
  const parts = [
    el("path", { class: "foot", d: "M0 5 L13 24 H-13 Z" }),
    el("path", { class: "ground", d: `M-20 ${ground} H20` }),
  ];
  if (rolls) {
    parts.push(el("circle", { class: "wheel", cx: -7, cy: 29, r: 4 }));
    parts.push(el("circle", { class: "wheel", cx: 7, cy: 29, r: 4 }));
  } else {
    const strokes = [-15, -5, 5, 15].map((x) => `M${x} ${ground} l-5 6`).join(" ");
    parts.push(el("path", { class: "hatch", d: strokes }));
  }
  if (chosen) parts.push(...handle([0, HANDLE]));
  const turn = 90 - support.angle_deg;
  return el("g", { class: `support ${chosen ? "chosen" : ""}`, transform: `rotate(${turn})` }, ...parts);
}

export const HANDLE = 66;

const handle = ([x, y]) => [
  line("stem", [x * 0.55, y * 0.55], [x, y]),
  el("circle", { class: "handle", cx: x, cy: y, r: 11 }),
];

export function arrow(cls, from, to, head = 10) {
  const angle = Math.atan2(to[1] - from[1], to[0] - from[0]);
  const back = (turn) => [
    to[0] - head * Math.cos(angle + turn),
    to[1] - head * Math.sin(angle + turn),
  ];
  const neck = [to[0] - head * 0.7 * Math.cos(angle), to[1] - head * 0.7 * Math.sin(angle)];
  const tip = `M${to} L${back(0.45)} L${back(-0.45)} Z`;
  return el("g", { class: `arrow ${cls}` }, line("shaft", from, neck), el("path", { class: "tip", d: tip }));
}

/** Whether the arrow ends at the joint (true) or starts there, whichever side is freer. */
export function endsAtJoint(degrees, memberAngles) {
  const clear = (angle) => Math.min(180, ...memberAngles.map((m) => between(m, angle)));
  return clear(degrees + 180) >= clear(degrees) - 1;
}

/** Start and end of a load's arrow, and where its value stands. */
export function loadArrow(degrees, inwards, row = 0) {
  const unit = heading(degrees);
  const near = times(unit, inwards ? -GAP : GAP);
  const far = times(unit, (inwards ? -1 : 1) * (ARROW + row * 26));
  return inwards ? { from: far, to: near, tail: far, label: far } : { from: near, to: far, tail: far, label: far };
}

export function loadSign(load, index, inwards, row, chosen, unit) {
  const degrees = loadDirection(load);
  const { from, to, tail } = loadArrow(degrees, inwards, row);
  const group = el("g", { class: `load ${chosen ? "chosen" : ""}`, "data-load": index }, arrow("", from, to));
  if (chosen) group.append(el("circle", { class: "handle", cx: tail[0], cy: tail[1], r: 11 }));
  const value = loadValue(load);
  const words = value === null ? "?" : typeof value === "number" ? `${value} ${unit}` : value;
  group.append(pill(words, beyond(tail, words, 15), value === null ? "asks" : ""));
  return group;
}

/** A place for words just beyond the tip of a vector. */
export function beyond(tip, words, off) {
  const size = Math.hypot(...tip) || 1;
  const out = [tip[0] / size, tip[1] / size];
  const half = words.length * 3.6 + 6;
  return plus(tip, [out[0] * (off + half - 10), out[1] * off]);
}

/** Words on a small plate. */
export function pill(words, [x, y], cls = "") {
  const width = words.length * 7.4 + 12;
  return el(
    "g",
    { class: `pill ${cls}` },
    el("rect", { x: x - width / 2, y: y - 10, width, height: 20, rx: 10 }),
    text("words", words, [x, y + 0.5]),
  );
}

/** A reaction: an arrow for each of its parts; its sizes are placed with the other values. */
export function reactionSign(parts) {
  const signs = parts.map(({ direction_deg, inwards }) => {
    const unit = heading(direction_deg);
    return inwards
      ? arrow("", times(unit, -92), times(unit, -46))
      : arrow("", times(unit, 14), times(unit, 60));
  });
  return el("g", { class: "reaction" }, ...signs);
}
