// The overlay editor: it owns the document while a person edits it.

import { layDimension } from "./acts.js";
import { Bring } from "./bring.js";
import { Card } from "./card.js";
import {
  addMember,
  joinCrossing,
  memberKey,
  mergeJoints,
  openJoint,
  pixel,
  removeThings,
  splitMember,
  straightPairs,
} from "./document.js";
import { Courier } from "./courier.js";
import { Doubtbar } from "./doubtbar.js";
import { Drawing } from "./draw.js";
import { middle } from "./geometry.js";
import { listen } from "./gestures.js";
import { hit } from "./hit.js";
import { History } from "./history.js";
import { listenToKeys } from "./keyboard.js";
import { Motion } from "./motion.js";
import { el, place } from "./svg.js";
import { extent, inOrder, nameOf, placeOf } from "./things.js";
import { Sheet, Tray } from "./tray.js";
import { View } from "./view.js";

const EMPTY = { job: { joints: {}, members: [], supports: [], loads: [], dimensions: [], units: {} }, doubts: [] };

export class Editor {
  constructor(root, data) {
    this.root = root;
    this.data = data;
    this.words = (name, values = {}) =>
      (data.strings[name] ?? name).replace(/\{(\w+)\}/g, (_, k) => values[k] ?? "");
    this.history = new History(EMPTY);
    this.shown = EMPTY;
    this.selected = new Set();
    this.tool = "choose";
    this.many = false;
    this.waiting = null;
    this.merging = null;
    this.cross = null;
    this.overlay = null;
    this.show = data.show ?? {};
    this.ending = new AbortController();
    const find = (name) => root.querySelector(name);
    this.frame = find(".editor");
    this.canvas = find(".canvas");
    this.live = find(".live");
    this.missing = find(".missing");
    this.drawing = new Drawing(this.canvas);
    this.motion = new Motion(this.drawing.layers.motion);
    this.view = new View(() => this.#viewMoved());
    this.view.box = () => extent(this.doc);
    this.card = new Card(this, find(".card"));
    this.doubts = new Doubtbar(this, find(".doubtbar"));
    this.tray = new Tray(this, find);
    this.bring = new Bring(this, find);
    this.sheet = new Sheet(this, find(".sheet"));
    this.canvas.setAttribute("aria-label", this.words("canvas"));
    this.missing.addEventListener("click", () => this.goMissing(), { signal: this.ending.signal });
    listen(this, this.canvas, this.ending.signal);
    listenToKeys(this, find(".editor"), this.ending.signal);
    this.resizing = new ResizeObserver(([entry]) => this.#resized(entry.contentRect));
    this.resizing.observe(find(".window"));
    this.courier = new Courier(this);
  }

  get doc() {
    return this.shown;
  }

  get job() {
    return this.shown.job;
  }

  get revision() {
    return this.courier.revision;
  }

  /** Ask Python for something that is not a change of the document. */
  ask(wish) {
    this.courier.ask(wish);
  }

  /** Show a document that came down, with its picture or blank sheet. */
  begin(doc, fresh) {
    const anew = this.#lay(doc);
    this.shown = doc;
    if (!fresh && !anew) return;
    this.choose([]);
    this.view.covered = this.doubts.root.offsetHeight;
    this.view.goHome();
  }

  /** Lay the document's picture under it; true if it is another, or lies another way. */
  #lay({ picture, sheet }) {
    const anew = this.view.show(...sheet) || this.turn !== picture?.turn;
    this.turn = picture?.turn;
    this.drawing.picture(picture, sheet);
    return anew;
  }

  // ---- changes

  /** Show a document that is still being dragged; nothing is kept or sent. */
  preview(doc) {
    this.dragging = true;
    this.shown = doc;
    this.render();
  }

  commit(doc, said, values = {}) {
    return this.commitFrom(this.history.now, doc, said, values);
  }

  commitFrom(before, doc, said, values = {}) {
    this.dragging = false;
    this.history.now = before;
    const words = this.words(said, values);
    this.shown = doc;
    if (this.history.push(doc, words)) {
      this.courier.sendUp();
      this.announce(words);
    }
    this.#dropGone();
    this.render();
  }

  undo() {
    this.#travel(this.history.undo(), "undone");
  }

  redo() {
    this.#travel(this.history.redo(), "redone");
  }

  #travel(said, way) {
    if (said === null) return this.say("nothing_left");
    this.shown = this.history.now;
    this.waiting = null;
    if (this.#lay(this.shown)) this.view.goHome();
    this.#dropGone();
    this.courier.sendUp();
    this.render();
    return this.announce(this.words(way, { a: said }));
  }

  #dropGone() {
    const there = new Set(inOrder(this.doc));
    this.selected = new Set([...this.selected].filter((id) => id[0] === "x" || there.has(id)));
  }

  remove() {
    const ids = [...this.selected].filter((id) => id[0] !== "x");
    if (!ids.length) return this.say("choose_first");
    const names = ids.map((id) => this.nameOf(id)).join(", ");
    this.selected = new Set();
    return this.commit(removeThings(this.doc, ids), "removed", { a: names });
  }

  split(key) {
    const [a, b] = key.split("-");
    const made = splitMember(this.doc, key, middle(pixel(this.doc, a), pixel(this.doc, b)));
    this.commit(made.doc, "joint_added", { a: made.name });
    this.choose([`j:${made.name}`]);
  }

  dimension(joints, kind) {
    layDimension(this, joints, kind);
  }

  /** The two chosen joints become one, where the second is. */
  merge() {
    const names = [...this.selected].filter((id) => id[0] === "j").map((id) => id.slice(2));
    if (names.length !== 2) return this.say("choose_two");
    const [from, into] = names;
    this.kept = [];
    this.commit(mergeJoints(this.doc, from, into), "merged", { a: from, b: into });
    return this.choose([`j:${into}`]);
  }

  joinTwo([a, b]) {
    this.commit(addMember(this.doc, a, b), "member_added", { a, b });
    this.choose([`m:${memberKey(a, b)}`]);
  }

  /** A crossing becomes a joint; a joint that two members run through becomes a crossing. */
  toggleCrossing() {
    const id = [...this.selected].at(-1) ?? "";
    if (id[0] === "x") {
      const cross = this.drawing.crossings.find((c) => `x:${c.keys.join("|")}` === id);
      if (!cross) return undefined;
      const made = joinCrossing(this.doc, cross.keys, cross.point);
      this.commit(made.doc, "crossing_joined", { a: made.name });
      return this.choose([`j:${made.name}`]);
    }
    if (id[0] === "j" && straightPairs(this.doc, id.slice(2)).length) {
      return this.commit(openJoint(this.doc, id.slice(2)), "joint_opened", { a: id.slice(2) });
    }
    return this.#nextCrossing();
  }

  #nextCrossing() {
    const [cross] = this.drawing.crossings ?? [];
    if (!cross) return this.say("no_crossing");
    this.choose([`x:${cross.keys.join("|")}`]);
    return this.view.reveal(cross.point);
  }

  // ---- choosing

  choose(ids) {
    this.selected = new Set(ids);
    if (ids.length) this.cross = null;
    this.render();
    if (ids.length) this.announce(ids.map((id) => this.nameOf(id)).join(", "));
    this.courier.tellChosen();
  }

  toggle(id) {
    const chosen = new Set(this.selected);
    if (!chosen.delete(id)) chosen.add(id);
    this.choose([...chosen]);
  }

  chooseAll() {
    this.choose(inOrder(this.doc).filter((id) => "jm".includes(id[0])));
  }

  chooseMany(on) {
    this.many = on;
    this.take("choose");
    if (on) this.say("many_on");
  }

  /** Walk through everything; what was kept with Space stays chosen. */
  next(step) {
    const all = [...inOrder(this.doc), ...(this.drawing.crossings ?? []).map((c) => `x:${c.keys.join("|")}`)];
    if (!all.length) return;
    const at = all.indexOf([...this.selected].at(-1));
    const id = all[(at + step + all.length) % all.length] ?? all[0];
    this.choose([...(this.kept ?? []).filter((k) => k !== id), id]);
    const point = placeOf(this.doc, id);
    if (point) this.view.reveal(point);
  }

  keepChosen() {
    this.kept = [...this.selected];
    this.say("kept_chosen", { n: this.kept.length });
  }

  take(tool) {
    this.tool = tool;
    if (tool !== "choose") this.many = false;
    this.waiting = null;
    this.card.drop();
    this.render();
    this.say(`hint_${tool}`);
  }

  /** The first of two joints is known. */
  waitFor(name) {
    this.waiting = name;
    this.choose([`j:${name}`]);
    this.say("now_second", { a: name });
  }

  leave() {
    const open = this.waiting || this.card.draft || this.kept?.length || this.cross;
    this.waiting = null;
    this.kept = [];
    this.cross = null;
    this.card.drop();
    this.drawing.draft();
    if (!open && this.selected.size === 0) this.take("choose");
    this.choose([]);
    this.canvas.focus();
  }

  /** A double click: split a member, name a joint, type a value. */
  open(point) {
    const found = hit(this, point);
    if (this.tool !== "choose") return;
    if (found?.kind === "member") {
      const made = splitMember(this.doc, found.id.slice(2), point);
      this.commit(made.doc, "joint_added", { a: made.name });
      this.choose([`j:${made.name}`]);
    } else if (found) {
      this.choose([found.id]);
      if (found.kind === "crossing") this.toggleCrossing();
      else this.card.typeHere();
    }
  }

  putCross(point) {
    this.cross = point;
    this.selected = new Set();
    this.view.reveal(point);
    this.render();
    const found = hit(this, point);
    if (found) this.announce(this.nameOf(found.id));
  }

  // ---- showing

  render() {
    const { doc, selected, overlay, show, merging, dragging } = this;
    const stale = Boolean(dragging) || (overlay?.revision ?? 0) !== this.revision;
    this.drawing.update({ doc, selected, overlay, show, merging, dragging, unit: this.job.units.force, doubt: this.doubts.now });
    if (overlay !== this.labelled || show !== this.labelShow) {
      this.drawing.labels(overlay, show.values);
      this.drawing.verdicts(doc, overlay?.verdicts);
      Object.assign(this, { labelled: overlay, labelShow: show });
      this.#settle();
    }
    this.drawing.stale(stale);
    this.motion.update(doc, stale || !show.forces ? null : (overlay?.mechanism ?? null));
    if (this.cross) {
      const cross = place(el("g", { class: "keycross" }, el("path", { d: "M-16 0 H16 M0 -16 V16" })), this.cross);
      this.drawing.draft(cross);
      this.crossDrawn = true;
    } else if (this.crossDrawn) {
      this.drawing.draft();
      this.crossDrawn = false;
    }
    if (dragging) return;
    this.card.update();
    this.doubts.update();
    this.tray.update();
    this.bring.update();
    this.#showMissing();
  }

  #showMissing() {
    const line = this.overlay?.line;
    this.missing.hidden = !line;
    if (!line) return;
    this.missing.textContent = line.text;
    this.missing.className = `missing ${line.tone}`;
    this.missing.disabled = !line.goto;
  }

  /** Go to what is still missing: on the picture here, or in another step. */
  goMissing() {
    const goto = this.overlay?.line?.goto;
    if (!goto) return this.say("nothing_missing");
    if (goto.tool) this.take(goto.tool);
    if (goto.select?.length) {
      this.choose(goto.select);
      const point = placeOf(this.doc, goto.select[0]);
      if (point) this.view.reveal(point);
      if (goto.type) this.card.typeHere();
    }
    if (goto.doubts) this.doubts.show();
    if (goto.dimension) this.dimension(goto.dimension.joints, goto.dimension.kind);
    if (goto.step && goto.step !== this.data.step) this.ask({ do: "step", step: goto.step });
    return undefined;
  }

  nameOf(id) {
    return nameOf(this, id);
  }

  say(name, values) {
    this.announce(this.words(name, values));
  }

  announce(words) {
    this.live.textContent = words;
    clearTimeout(this.quiet);
    this.live.classList.add("fresh");
    this.quiet = setTimeout(() => this.live.classList.remove("fresh"), 3200);
  }

  // ---- the window

  /** The truss, and from there the whole picture. */
  goHome() {
    if (this.view.atHome && !this.view.fitted) this.view.fit();
    else this.view.goHome();
  }

  #viewMoved() {
    this.drawing.transform(this.view);
    clearTimeout(this.settling);
    if (!this.settled) this.#settle();
    this.settled = true;
    this.settling = setTimeout(() => this.#settle(), 90);
    clearTimeout(this.telling);
    this.telling = setTimeout(() => this.courier.tellSize(), 350);
  }

  #settle() {
    Object.assign(this.frame.dataset, { turn: this.view.turn, home: this.view.atHome });
    this.drawing.settle(this.view, this.overlay?.unit);
  }

  #resized({ width, height }) {
    if (!width || !height) return;
    this.settled = false;
    this.view.resize(width, height);
  }

  end() {
    this.courier.end();
    this.ending.abort();
    this.resizing.disconnect();
    this.motion.update(this.doc, null);
  }
}

const editors = new WeakMap();

/** Called by the page for each message; makes the editor the first time. */
export function mount({ parentElement, data, setStateValue }) {
  let editor = editors.get(parentElement);
  if (!editor) {
    editor = new Editor(parentElement, data);
    editors.set(parentElement, editor);
  }
  editor.courier.receive(data, setStateValue);
  return () => {
    editors.delete(parentElement);
    editor.end();
  };
}
