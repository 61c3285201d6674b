// The drawing over the picture. Each update touches only what changed.

import { crossings, keyOf, loadDirection, pixel } from "./document.js";
import { along, direction, heading, middle, turned } from "./geometry.js";
import { el, line, place, set, text } from "./svg.js";
import { endsAtJoint, loadSign, pill, reactionSign, supportSign } from "./symbols.js";

const LAYERS = ["members", "dimensions", "crossings", "doubts", "joints", "motion", "labels", "verdicts", "draft"];

export class Drawing {
  constructor(svg) {
    this.svg = svg;
    this.scene = svg.querySelector(".scene");
    this.image = svg.querySelector("image");
    this.paper = svg.querySelector(".paper");
    // An editor that the page ended and started anew draws in the same place.
    this.scene.replaceChildren(this.paper, this.image);
    this.layers = Object.fromEntries(
      LAYERS.map((name) => [name, this.scene.appendChild(el("g", { class: name }))]),
    );
    this.members = new Map();
    this.joints = new Map();
    this.last = {};
  }

  transform(view) {
    set(this.scene, { transform: view.matrix });
  }

  /** Sizes of signs and labels; called when a zoom has come to rest. */
  settle(view, placedFor) {
    const { style } = this.scene;
    style.setProperty("--k", view.sign);
    style.setProperty("--closer", Math.min(1, view.letter / (placedFor ?? view.letter)) ** 0.7);
    style.setProperty("--thin", view.narrow ? 0.75 : 1);
    style.setProperty("--upright", `${-view.turn}deg`);
    if (this.turn === view.turn) return;
    this.turn = view.turn;
    for (const node of this.layers.labels.querySelectorAll(".label")) this.#upright(node);
  }

  /** Turn a label so that it can be read, whichever way the picture's view is turned. */
  #upright(node) {
    const { x, y, angle } = node.dataset;
    const seen = turned(Number(angle) - (this.turn ?? 0));
    const flip = seen > 92 && seen < 270 ? 180 : 0;
    node.style.transform = `translate(${x}px, ${y}px) rotate(${flip - angle}deg) scale(var(--closer))`;
  }

  /** The picture, turned as a person has turned it, or a blank sheet of that size. */
  picture(facts, [width, height]) {
    set(this.paper, { width, height });
    const turn = facts?.turn ?? 0;
    const lying = turn % 180 ? { width: height, height: width } : { width, height };
    const back = { 90: [width, 0], 180: [width, height], 270: [0, height] }[turn];
    const transform = back ? `translate(${back}) rotate(${turn})` : null;
    set(this.image, { transform, ...lying });
    // Set again, the same address would load the picture anew.
    if (this.image.getAttribute("href") !== (facts?.url ?? null)) set(this.image, { href: facts?.url });
  }

  /** @param state {doc, selected, overlay, show, unit, dragging, doubt, previous} */
  update(state) {
    const around = neighbours(state.doc);
    this.#drawMembers(state);
    this.#drawJoints(state, around);
    this.#drawDimensions(state);
    if (!state.dragging) this.#drawCrossings(state);
    this.#drawDoubts(state);
    this.last = { doc: state.doc, overlay: state.overlay };
  }

  #drawMembers({ doc, selected, overlay, show }) {
    const forces = (show.forces && overlay?.members) || {};
    const kept = new Set();
    for (const m of doc.job.members) {
      const key = keyOf(m);
      const [p, q] = [pixel(doc, m.a), pixel(doc, m.b)];
      if (!p || !q) continue;
      kept.add(key);
      const force = forces[key];
      const chosen = selected.has(`m:${key}`);
      let entry = this.members.get(key);
      if (!entry) {
        const lines = ["glow", "case", "ink"].map((cls) => el("line", { class: cls }));
        entry = { node: el("g", { "data-member": key }, ...lines), lines };
        this.members.set(key, entry);
        this.layers.members.append(entry.node);
      }
      if (entry.p !== p || entry.q !== q) {
        for (const node of entry.lines) set(node, { x1: p[0], y1: p[1], x2: q[0], y2: q[1] });
        Object.assign(entry, { p, q });
      }
      const arrows = show.arrows && force && force.sense !== "0" ? force.sense : "";
      if (entry.arrows !== arrows || (arrows && entry.aimed !== p) || entry.aimedTo !== q) {
        entry.tips?.forEach((tip) => tip.remove());
        entry.tips = arrows ? pairOfTips(arrows, p, q) : [];
        entry.node.append(...entry.tips);
        Object.assign(entry, { arrows, aimed: p, aimedTo: q });
      }
      if (entry.force !== force || entry.chosen !== chosen) {
        const sense = force ? `sense-${force.sense}` : "";
        set(entry.node, { class: `member ${sense} ${chosen ? "chosen" : ""}` });
        entry.node.style.setProperty("--weight", force ? force.weight : 0);
        Object.assign(entry, { force, chosen });
      }
    }
    prune(this.members, kept);
  }

  #drawJoints({ doc, selected, overlay, show, unit, merging }, around) {
    const supports = new Map(doc.job.supports.map((s) => [s.joint, s]));
    const loads = loadsByJoint(doc, selected);
    const reactions = (show.values && overlay?.reactions) || {};
    const kept = new Set();
    for (const [name, joint] of Object.entries(doc.job.joints)) {
      if (!joint.pixel) continue;
      kept.add(name);
      const chosen = selected.has(`j:${name}`);
      const parts = {
        joint,
        chosen,
        merging: merging === name,
        support: supports.get(name),
        supportChosen: selected.has(`s:${name}`),
        loads: loads.get(name)?.signature ?? "",
        around: loads.has(name) || reactions[name] ? around.get(name)?.signature : "",
        reactions: reactions[name],
        names: show.names,
      };
      let entry = this.joints.get(name);
      if (!entry) {
        entry = { node: el("g", { "data-joint": name }), parts: {} };
        this.joints.set(name, entry);
        this.layers.joints.append(entry.node);
      }
      const moved = entry.parts.joint?.pixel !== joint.pixel;
      if (moved) place(entry.node, joint.pixel);
      const same = Object.keys(parts).every((k) => k === "joint" || parts[k] === entry.parts[k]);
      entry.parts = parts;
      if (same && entry.filled) continue;
      entry.filled = true;
      set(entry.node, {
        class: `joint ${chosen ? "chosen" : ""} ${parts.merging ? "merging" : ""}`,
      });
      entry.node.replaceChildren(...jointSigns(name, parts, loads.get(name), around.get(name), unit));
    }
    prune(this.joints, kept);
  }

  #drawDimensions({ doc, selected, show, overlay }) {
    const layer = this.layers.dimensions;
    const chosen = [...selected].filter((id) => id[0] === "d").join();
    const inputs = [doc.job.dimensions, doc.job.joints, show.dimensions, chosen, overlay?.wrong];
    if (inputs.every((input, i) => input === this.dimensionInputs?.[i])) return;
    this.dimensionInputs = inputs;
    layer.replaceChildren();
    if (!show.dimensions) return;
    doc.job.dimensions.forEach((dimension, index) => {
      const sign = dimensionSign(doc, dimension);
      if (!sign) return;
      const wrong = overlay?.wrong?.includes(index) ? "wrong" : "";
      const mark = selected.has(`d:${index}`) ? "chosen" : "";
      const off = dimension.active === false ? "off" : "";
      layer.append(el("g", { class: `dimension ${mark} ${wrong} ${off}`, "data-dimension": index }, ...sign));
    });
  }

  #drawCrossings({ doc, show, selected }) {
    const inputs = [doc.job.members, doc.job.joints, show.crossings, [...selected].join()];
    if (inputs.every((input, i) => input === this.crossingInputs?.[i])) return;
    this.crossingInputs = inputs;
    this.crossings = show.crossings ? crossings(doc) : [];
    this.layers.crossings.replaceChildren(
      ...this.crossings.map(({ keys, point }) => {
        const chosen = selected.has(`x:${keys.join("|")}`) ? "chosen" : "";
        return place(el("g", { class: `crossing ${chosen}` }, el("path", { d: "M0 -8 L8 0 L0 8 L-8 0 Z" })), point);
      }),
    );
  }

  #drawDoubts({ doc, show, doubt }) {
    const layer = this.layers.doubts;
    layer.replaceChildren();
    if (!show.doubts) return;
    doc.doubts.forEach((d, index) => {
      const points = d.joints.map((name) => pixel(doc, name)).filter(Boolean);
      const now = index === doubt ? "now" : "";
      const atJoints = d.about === "support" || d.about === "load"; // each joint for itself
      if (points.length === 2 && !atJoints) layer.append(line(`doubt-line ${now}`, points[0], points[1]));
      if (points.length !== 1 && !now && !atJoints) return;
      for (const point of points) {
        layer.append(place(el("g", { class: `doubt ${now}` }, el("circle", { r: 19 })), point));
      }
    });
  }

  /** Labels as they were placed: in picture pixels, at the size they were placed for. */
  labels(overlay, visible) {
    const layer = this.layers.labels;
    layer.replaceChildren();
    if (!visible || !overlay?.labels) return;
    for (const label of overlay.labels) {
      const node = el("g", { class: `label sense-${label.sense ?? "x"}` });
      Object.assign(node.dataset, { x: label.x, y: label.y, angle: label.angle_deg });
      this.#upright(node);
      const { width, height } = label;
      if (label.leader) layer.append(line("leader", ...label.leader));
      node.append(
        el("rect", { x: -width / 2, y: -height / 2, width, height, rx: height / 3 }),
        text("words", label.text, [0, 0]),
      );
      node.style.fontSize = `${overlay.font}px`;
      layer.append(node);
    }
  }

  /** Right or wrong, at each value that a person has given an answer for. */
  verdicts(doc, verdicts = {}) {
    const nodes = Object.entries(verdicts).flatMap(([key, { right, said }]) => {
      const at = key.includes("-") ? this.members.get(key) : pixel(doc, key);
      if (!at) return [];
      const sign = el(
        "g",
        { class: `verdict ${right ? "right" : "wrong"}` },
        el("title"),
        el("circle", { r: 10, cy: at.p ? 0 : 34 }),
        el("path", { d: right ? "M-5 0 L-1.5 4 L5 -4" : "M-4 -4 L4 4 M4 -4 L-4 4" }),
      );
      if (!at.p) set(sign.lastChild, { transform: "translate(0 34)" });
      sign.firstChild.textContent = said;
      return [place(sign, at.p ? along(at.p, at.q, 0.28) : at)];
    });
    this.layers.verdicts.replaceChildren(...nodes);
  }

  stale(dim) {
    this.scene.classList.toggle("stale", dim);
  }

  /** A line or box being drawn. */
  draft(...nodes) {
    this.layers.draft.replaceChildren(...nodes);
  }
}

/** Arrow heads near both joints: away from them in tension, towards them in compression. */
function pairOfTips(sense, p, q) {
  const shape = sense === "T" ? "M22 0 L11 -6 V6 Z" : "M13 0 L24 -6 V6 Z";
  return [
    [p, q],
    [q, p],
  ].map(([at, to]) => {
    const tip = el("path", { class: "tip", d: shape });
    const turn = -direction(at, to);
    tip.style.transform = `translate(${at[0]}px, ${at[1]}px) rotate(${turn}deg) scale(var(--k))`;
    return tip;
  });
}

function prune(map, kept) {
  for (const [name, entry] of map) {
    if (kept.has(name)) continue;
    entry.node.remove();
    map.delete(name);
  }
}

/** Directions of the members at each joint, with a signature that changes when they do. */
function neighbours(doc) {
  const around = new Map();
  const note = (name, p, q) => {
    if (!around.has(name)) around.set(name, { angles: [], signature: "" });
    const entry = around.get(name);
    const angle = Math.round(direction(p, q));
    entry.angles.push(angle);
    entry.signature += `${angle},`;
  };
  for (const m of doc.job.members) {
    const [p, q] = [pixel(doc, m.a), pixel(doc, m.b)];
    if (!p || !q) continue;
    note(m.a, p, q);
    note(m.b, q, p);
  }
  for (const s of doc.job.supports) around.get(s.joint)?.angles.push(s.angle_deg + 180);
  return around;
}

function loadsByJoint(doc, selected) {
  const found = new Map();
  doc.job.loads.forEach((load, index) => {
    if (!found.has(load.joint)) found.set(load.joint, { list: [], signature: "" });
    const entry = found.get(load.joint);
    const chosen = selected.has(`l:${index}`);
    entry.list.push({ load, index, chosen });
    entry.signature += `${index}${chosen}${JSON.stringify(load)}`;
  });
  return found;
}

function jointSigns(name, parts, loads, around, unit) {
  const angles = around?.angles ?? [];
  const signs = [];
  if (parts.support) signs.push(supportSign(parts.support, parts.supportChosen));
  if (parts.reactions) signs.push(reactionSign(parts.reactions));
  const rows = new Map();
  for (const { load, index, chosen } of loads?.list ?? []) {
    const degrees = loadDirection(load);
    const row = rows.get(Math.round(degrees)) ?? 0;
    rows.set(Math.round(degrees), row + 1);
    signs.push(loadSign(load, index, endsAtJoint(degrees, angles), row, chosen, unit));
  }
  signs.push(el("circle", { class: "halo", r: 15 }), el("circle", { class: "dot", r: 6 }));
  if (parts.names) signs.push(nameSign(name, angles));
  return signs;
}

/** The joint's name in the widest gap between its members. */
function nameSign(name, angles) {
  const sorted = [...angles].map((a) => ((a % 360) + 360) % 360).sort((a, b) => a - b);
  let best = { gap: sorted.length ? -1 : 360, at: 45 };
  sorted.forEach((angle, i) => {
    const next = i + 1 < sorted.length ? sorted[i + 1] : sorted[0] + 360;
    if (next - angle > best.gap) best = { gap: next - angle, at: (angle + next) / 2 };
  });
  const [x, y] = heading(best.at);
  const node = text("name", name, [0, 0]);
  node.style.transform = `translate(${x * 20}px, ${y * 20}px) rotate(var(--upright))`;
  return node;
}

/** The two ends a dimension is drawn between, or none for those about more joints. */
export function dimensionEnds(doc, { kind, joints }) {
  const points = joints.map((name) => pixel(doc, name));
  if (points.some((p) => !p) || points.length === 0) return null;
  if (points.length === 1) return [points[0], points[0]];
  if (kind === "angle_between" || kind === "angle" && points.length === 3) return [points[1], points[1]];
  return [points[0], points.at(-1)];
}

const MARKS = { horizontal: "↔ ", vertical: "↕ ", angle: "∠ ", angle_between: "∠ ", slope: "⊿ ", x: "x ", y: "y " };

function dimensionSign(doc, dimension) {
  const between = dimensionEnds(doc, dimension);
  if (!between) return null;
  const [p, q] = between;
  const words = `${MARKS[dimension.kind] ?? ""}${dimension.value ?? dimension.kind}`;
  const corner = { horizontal: [q[0], p[1]], vertical: [p[0], q[1]] }[dimension.kind];
  const [from, to] = dimension.kind === "vertical" ? [p, corner] : [p, corner ?? q];
  const plate = place(pill(words, [0, 0]), middle(from, to));
  const lines = corner ? [line("rule", from, to), line("rule faint", to, q)] : [line("rule", p, q)];
  return [...lines, plate];
}

