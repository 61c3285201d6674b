// The card of what is chosen: everything that can be said of it, typed on the spot.

import {
  addDimension,
  addLoad,
  asAimed,
  changeDimension,
  changeLoad,
  loadDirection,
  loadValue,
  member,
  NAME,
  renameJoint,
  setSupport,
  straightPairs,
  supportOf,
} from "./document.js";
import { turned } from "./geometry.js";

/** A slope as run:rise. */
const SLOPE = /^\s*([-+]?\d*\.?\d+)\s*:\s*([-+]?\d*\.?\d+)\s*$/;
const KINDS = ["length", "horizontal", "vertical"];

export class Card {
  constructor(editor, root) {
    this.editor = editor;
    this.root = root;
    this.draft = null;
  }

  get words() {
    return this.editor.words;
  }

  /** Show what is chosen; a field that is being typed in is left alone. */
  update() {
    const { selected, doc } = this.editor;
    const ids = [...selected];
    if (this.draft && ids.length) this.draft = null;
    const content = this.draft ? this.#dimensionDraft() : this.#content(ids, doc);
    const signature = JSON.stringify([ids, content?.facts ?? null, this.draft?.joints]);
    if (signature === this.signature) return;
    const typing = this.root.contains(this.root.getRootNode().activeElement);
    if (typing && ids.join() === this.ids && content?.same === this.same) {
      this.signature = signature;
      return;
    }
    Object.assign(this, { signature, ids: ids.join(), same: content?.same });
    this.root.hidden = !content;
    this.root.replaceChildren(...(content?.parts ?? []));
  }

  /** Put the cursor into the card's first field, if it has one. */
  typeHere() {
    this.update();
    const field = this.root.querySelector("input");
    if (!field) return false;
    field.focus();
    field.select();
    return true;
  }

  newDimension(joints, kind) {
    this.editor.choose([]);
    this.draft = { joints, kind };
    this.update();
  }

  drop() {
    this.draft = null;
    this.update();
  }

  #content(ids, doc) {
    if (ids.length === 0) return null;
    if (ids.length > 1) return this.#several(ids);
    const [id] = ids;
    const of = id.slice(2);
    const makers = {
      j: () => this.#joint(of, doc),
      m: () => this.#member(of, doc),
      s: () => this.#support(of, doc),
      l: () => this.#load(Number(of), doc),
      d: () => this.#dimension(Number(of), doc),
      x: () => this.#crossing(of),
    };
    return makers[id[0]]?.() ?? null;
  }

  #several(ids) {
    const { editor, words } = this;
    const parts = [title(words("card_several", { n: ids.length }))];
    const pair = ids.filter((id) => id[0] === "j").map((id) => id.slice(2));
    if (ids.length === 2 && pair.length === 2) {
      parts.push(
        button(words("card_merge"), () => editor.merge(), "G"),
        button(words("card_join_two"), () => editor.joinTwo(pair)),
        button(words("card_distance"), () => editor.dimension(pair)),
      );
    }
    return { facts: ids, same: "several", parts: [...parts, this.#remove()] };
  }

  #joint(name, doc) {
    const { editor, words } = this;
    const support = supportOf(doc, name);
    const rename = (value) => {
      if (value === name) return true;
      if (!NAME.test(value)) return words("name_wrong");
      if (value in doc.job.joints) return words("name_taken", { a: value });
      editor.commit(renameJoint(doc, name, value), "renamed", { a: name, b: value });
      editor.choose([`j:${value}`]);
      return true;
    };
    const parts = [
      title(words("joint", { a: name })),
      this.#field("card_name", name, rename, 16),
      support
        ? button(words("card_show_support"), () => editor.choose([`s:${name}`]))
        : button(words("card_add_support"), () => {
            const kind = doc.job.supports.some((s) => s.kind === "pin") ? "roller" : "pin";
            editor.commit(setSupport(doc, name, { kind }), "support_added", { a: name, kind });
            editor.choose([`s:${name}`]);
          }),
      button(words("card_add_load"), () => {
        const added = addLoad(doc, name, 270);
        editor.commit(added.doc, "load_added", { a: name });
        editor.choose([`l:${added.index}`]);
        this.typeHere();
      }),
    ];
    const through = straightPairs(doc, name).length > 0;
    if (through) parts.push(button(words("card_open_joint"), () => editor.toggleCrossing(), "X"));
    return { facts: [name, support?.kind, through], same: "joint", parts: [...parts, this.#remove()] };
  }

  #member(key, doc) {
    const { editor, words } = this;
    if (!member(doc, key)) return null;
    const [a, b] = key.split("-");
    const force = editor.overlay?.members?.[key];
    const verdict = editor.overlay?.verdicts?.[key]?.said;
    const parts = [
      title(words("member", { a, b })),
      ...(force ? [note(force.said)] : []),
      ...(force?.parts ? [note(force.parts)] : []),
      ...(verdict ? [note(verdict)] : []),
      button(words("card_length"), () => editor.dimension([a, b])),
      button(words("card_split"), () => editor.split(key)),
      this.#remove(),
    ];
    return { facts: [key, force?.said, force?.parts, verdict], same: "member", parts };
  }

  #support(name, doc) {
    const { editor, words } = this;
    const support = supportOf(doc, name);
    if (!support) return null;
    const kind = choice(
      words("card_kind"),
      ["pin", "roller"].map((value) => [value, words(value)]),
      support.kind,
      (value) => editor.commit(setSupport(doc, name, { kind: value }), "support_added", { a: name, kind: value }),
    );
    const angle = this.#field("card_push", `${round(support.angle_deg)}°`, (value) => {
      const degrees = Number.parseFloat(value);
      if (!Number.isFinite(degrees)) return words("angle_wrong");
      editor.commit(setSupport(editor.doc, name, { angle_deg: turned(degrees) }), "turned", { a: name, angle: degrees });
      return true;
    }, 7);
    const parts = [title(words("support_at", { a: name })), kind, angle, this.#remove()];
    return { facts: support, same: "support", parts };
  }

  #load(index, doc) {
    const { editor, words } = this;
    const load = doc.job.loads[index];
    if (!load) return null;
    const change = (patch) => {
      editor.commit(changeLoad(editor.doc, index, patch), "load_changed", { a: load.joint });
      return true;
    };
    const value = this.#field("card_size", loadValue(load) ?? "", (typed) => {
      const aimed = asAimed(load, loadDirection(load));
      return change({ ...aimed, magnitude: asTyped(typed) });
    }, 12, editor.job.units.force);
    const now = load.slope ? load.slope.join(":") : `${round(loadDirection(load))}°`;
    const angle = this.#field("card_acts", now, (typed) => {
      const aimed = asAimed(editor.doc.job.loads[index], null);
      const slope = SLOPE.exec(typed)?.slice(1).map(Number);
      if (slope?.some((part) => part !== 0)) return change({ ...aimed, slope });
      const degrees = Number.parseFloat(typed);
      if (slope || !Number.isFinite(degrees)) return words("acts_wrong");
      return change({ ...aimed, direction_deg: turned(degrees) });
    }, 7);
    const another = button(words("card_another_load"), () => {
      const added = addLoad(editor.doc, load.joint, turned(loadDirection(load) + 90));
      editor.commit(added.doc, "load_added", { a: load.joint });
      editor.choose([`l:${added.index}`]);
      this.typeHere();
    });
    const parts = [title(words("load_at", { a: load.joint })), value, angle, another, this.#remove()];
    return { facts: load, same: "load", parts };
  }

  #dimension(index, doc) {
    const { editor, words } = this;
    const dimension = doc.job.dimensions[index];
    if (!dimension) return null;
    const change = (patch) => {
      editor.commit(changeDimension(editor.doc, index, patch), "dimension_changed", { a: dimension.joints.join("–") });
      return true;
    };
    const parts = [title(words(`kind_${dimension.kind}`, { a: dimension.joints.join("–") }))];
    if (KINDS.includes(dimension.kind)) parts.push(this.#kinds(dimension.kind, (kind) => change({ kind })));
    if (dimension.value !== null && dimension.value !== undefined) {
      parts.push(this.#field("card_value", dimension.value, (typed) => change({ value: asTyped(typed) }), 12, editor.job.units.length));
    }
    return { facts: dimension, same: "dimension", parts: [...parts, this.#remove()] };
  }

  #dimensionDraft() {
    const { editor, words, draft } = this;
    const kinds = this.#kinds(draft.kind, (kind) => { draft.kind = kind; this.typeHere(); });
    const field = this.#field("card_value", "", (typed) => {
      if (!typed) return true;
      const added = addDimension(editor.doc, draft.kind, draft.joints, asTyped(typed));
      this.draft = null;
      editor.commit(added.doc, "dimension_added", { a: draft.joints.join("–"), value: typed });
      editor.choose([`d:${added.index}`]);
      editor.canvas.focus();
      return true;
    }, 12, editor.job.units.length);
    const parts = [title(words("new_dimension", { a: draft.joints.join("–") })), field, kinds];
    return { facts: draft.joints, same: "draft", parts };
  }

  #kinds(now, change) {
    return choice(this.words("card_measured"), KINDS.map((k) => [k, this.words(`measured_${k}`)]), now, change);
  }

  #crossing() {
    const { editor, words } = this;
    return {
      facts: "crossing",
      same: "crossing",
      parts: [title(words("crossing")), button(words("card_join"), () => editor.toggleCrossing(), "X")],
    };
  }

  #remove() {
    const words = this.words("card_remove");
    return button(words, () => this.editor.remove(), "Del", "remove");
  }

  /** A field that takes its value on Enter or when it is left; a wrong one says why. */
  #field(name, value, take, size, unit = "") {
    const label = document.createElement("label");
    const input = document.createElement("input");
    const says = document.createElement("small");
    Object.assign(input, { value, size, autocomplete: "off", spellcheck: false, enterKeyHint: "done" });
    input.dataset.field = name;
    says.setAttribute("role", "alert");
    let taken = String(value);
    const finish = () => {
      const typed = input.value.trim();
      if (typed === taken) return true;
      const before = taken;
      // Taking the value may redraw the card, which leaves the field and asks once more.
      taken = typed;
      const answer = take(typed);
      says.textContent = answer === true ? "" : answer;
      input.setAttribute("aria-invalid", String(answer !== true));
      if (answer !== true) taken = before;
      return answer === true;
    };
    input.addEventListener("change", finish);
    input.addEventListener("keydown", (event) => {
      if (event.key === "Enter" && finish()) this.editor.canvas.focus();
    });
    const caption = document.createElement("span");
    caption.textContent = this.words(name);
    label.append(caption, input);
    if (unit) {
      const after = document.createElement("i");
      after.textContent = unit;
      label.append(after);
    }
    label.append(says);
    return label;
  }
}

const round = (degrees) => Number(degrees.toFixed(1));

/** A bare number is kept as a number, everything else as it was typed. */
export const asTyped = (typed) => {
  if (typed === "") return null;
  return /^[-+]?(\d+\.?\d*|\.\d+)$/.test(typed) ? Number(typed) : typed;
};

function title(words) {
  const node = document.createElement("strong");
  node.textContent = words;
  return node;
}

function note(words) {
  const node = document.createElement("span");
  node.className = "note";
  node.textContent = words;
  return node;
}

export function button(words, press, key = "", cls = "") {
  const node = document.createElement("button");
  node.type = "button";
  node.className = cls;
  node.textContent = words;
  if (key) node.setAttribute("aria-keyshortcuts", key === "Del" ? "Delete" : key);
  node.addEventListener("click", press);
  return node;
}

function choice(name, options, now, change) {
  const group = document.createElement("div");
  group.className = "choice";
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", name);
  const buttons = options.map(([value, words]) => {
    const node = button(words, () => {
      buttons.forEach((b) => b.setAttribute("aria-pressed", String(b === node)));
      change(value);
    });
    node.setAttribute("aria-pressed", String(value === now));
    return node;
  });
  group.append(...buttons);
  return group;
}
