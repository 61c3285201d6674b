// The tray of tools, the view's buttons, and the sheet of keys.

import { SHEET } from "./keyboard.js";
import { button } from "./card.js";

const TOOLS = [
  ["choose", "1", "M5 3 L19 12 L12.5 13.5 L9.5 20 Z"],
  ["joint", "2", "M12 7 a5 5 0 1 0 0.01 0 Z M12 1 V5 M12 19 V23 M1 12 H5 M19 12 H23"],
  ["member", "3", "M6 18 L18 6 M6 18 m-3 0 a3 3 0 1 0 6 0 a3 3 0 1 0 -6 0 M18 6 m-3 0 a3 3 0 1 0 6 0 a3 3 0 1 0 -6 0"],
  ["support", "4", "M12 5 L19 16 H5 Z M3 20 H21"],
  ["load", "5", "M12 3 V18 M7 13 L12 19 L17 13 M4 22 H20"],
  ["dimension", "6", "M3 7 V17 M21 7 V17 M3 12 H21 M7 9 L3 12 L7 15 M17 9 L21 12 L17 15"],
];
const VIEW = [
  ["closer", "M12 5 V19 M5 12 H19", (e) => middleZoom(e, 1.35), "+"],
  ["further", "M5 12 H19", (e) => middleZoom(e, 1 / 1.35), "-"],
  ["fit", "M4 9 V4 H9 M15 4 H20 V9 M20 15 V20 H15 M9 20 H4 V15", (e) => e.goHome(), "0"],
  ["rotate", "M19 12 a7 7 0 1 1 -2.5 -5.4 M17 2 V7 H12", (e) => e.view.quarter(), "R"],
];

const MANY = "M4 4 H10 M14 4 H20 M4 4 V10 M20 4 V10 M4 14 V20 H10 M20 14 V20 H14 M8 12 L11 15 L17 8";

function middleZoom(editor, factor) {
  const [w, h] = editor.view.window;
  editor.view.zoomAt([w / 2, h / 2], factor);
}

function icon(path) {
  return `<svg viewBox="0 0 24 24" aria-hidden="true"><path d="${path}"/></svg>`;
}

function iconButton(words, path, press, key, cls = "") {
  const node = button("", press, key, cls);
  node.innerHTML = icon(path);
  node.setAttribute("aria-label", words);
  node.title = key ? `${words} (${key})` : words;
  return node;
}

export class Tray {
  constructor(editor, find) {
    this.editor = editor;
    this.root = find(".editor");
    const { words } = editor;
    this.tools = TOOLS.map(([name, key, path]) => {
      const node = iconButton(words(`tool_${name}`), path, () => editor.take(name), key, "tool");
      const label = document.createElement("span");
      label.textContent = words(`short_${name}`);
      node.append(label);
      return [name, node];
    });
    this.undo = iconButton(words("undo"), "M9 7 L4 12 L9 17 M4 12 H14 a6 5 0 0 1 6 6", () => editor.undo(), "Control+Z");
    this.redo = iconButton(words("redo"), "M15 7 L20 12 L15 17 M20 12 H10 a6 5 0 0 0 -6 6", () => editor.redo(), "Control+Y");
    this.many = iconButton(words("many"), MANY, () => editor.chooseMany(!editor.many));
    const keys = iconButton(words("keys"), "M9 9 a3 3 0 1 1 4.2 2.8 c-1 .5 -1.2 1 -1.2 2.2 M12 17.5 v.6", () => editor.sheet.toggle(), "?", "keys");
    const sight = VIEW.map(([name, path, press, key]) => iconButton(words(name), path, () => press(editor), key, name));
    fill(find(".tray"), words("tools"), this.tools.map(([, node]) => node));
    fill(find(".back"), words("steps_back"), [this.undo, this.redo, this.many]);
    fill(find(".sight"), words("view"), [...sight, keys]);
  }

  update() {
    const { editor } = this;
    Object.assign(this.root.dataset, { tool: editor.tool, step: editor.data.step });
    for (const [name, node] of this.tools) {
      node.setAttribute("aria-pressed", String(editor.tool === name));
    }
    this.many.setAttribute("aria-pressed", String(editor.many));
    this.undo.disabled = editor.history.past.length === 0;
    this.redo.disabled = editor.history.future.length === 0;
  }
}

function fill(group, name, buttons) {
  group.setAttribute("role", "group");
  group.setAttribute("aria-label", name);
  group.replaceChildren(...buttons);
}

export class Sheet {
  constructor(editor, dialog) {
    this.dialog = dialog;
    const { words } = editor;
    dialog.setAttribute("aria-label", words("keys"));
    const head = document.createElement("header");
    const title = document.createElement("h2");
    title.textContent = words("keys");
    head.append(title, button(words("close"), () => dialog.close()));
    const groups = SHEET.map(([heading, rows]) => {
      const section = document.createElement("section");
      const name = document.createElement("h3");
      name.textContent = words(heading);
      const list = document.createElement("dl");
      for (const [keys, meaning] of rows) {
        const term = document.createElement("dt");
        const said = document.createElement("dd");
        term.textContent = keys;
        said.textContent = words(meaning);
        list.append(term, said);
      }
      section.append(name, list);
      return section;
    });
    dialog.replaceChildren(head, ...groups);
    dialog.addEventListener("close", () => editor.canvas.focus());
    dialog.addEventListener("keydown", (event) => event.key === "?" && dialog.close());
  }

  toggle() {
    if (this.dialog.open) this.dialog.close();
    else this.dialog.showModal();
  }
}
