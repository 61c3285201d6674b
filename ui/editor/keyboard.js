// The whole job by keyboard. Keys are named in one table, which is also the sheet on '?'.

import { layDimension, layJointAt } from "./acts.js";
import {
  addLoad,
  addMember,
  changeLoad,
  asAimed,
  loadDirection,
  memberKey,
  pixel,
  placeJoints,
  setSupport,
  supportOf,
} from "./document.js";
import { middle, turned } from "./geometry.js";
import { hit } from "./hit.js";

/** Keys of the sheet, in groups: [keys shown, name of the words]. */
export const SHEET = [
  ["sheet_tools", [["1", "tool_choose"], ["2", "tool_joint"], ["3", "tool_member"], ["4", "tool_support"], ["5", "tool_load"], ["6", "tool_dimension"]]],
  ["sheet_things", [["N", "key_next"], ["Shift N", "key_previous"], ["Space", "key_also"], ["↑ ↓ ← →", "key_move"], ["Shift ↑", "key_far"], ["Enter", "key_enter"], ["E", "key_edit"], ["Del", "key_remove"], ["Esc", "key_leave"]]],
  ["sheet_turn", [["[ ]", "key_turn"], ["K", "key_kind"], ["X", "key_crossing"], ["G", "key_merge"]]],
  ["sheet_doubts", [["D", "key_doubt"], ["A", "key_accept"], ["T", "key_other"]]],
  ["sheet_view", [["+ −", "key_zoom"], ["0", "key_fit"], ["R", "key_rotate"], ["Alt ↑", "key_pan"], ["Ctrl Z", "key_undo"], ["Ctrl Y", "key_redo"], ["M", "key_missing"], ["?", "key_sheet"]]],
];

const TOOLS = { 1: "choose", 2: "joint", 3: "member", 4: "support", 5: "load", 6: "dimension" };
const ARROWS = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] };

export function listenToKeys(editor, root, signal) {
  root.addEventListener(
    "keydown",
    (event) => {
      // The page around has one-letter shortcuts of its own; none may fire from here.
      event.stopPropagation();
      if (event.target.closest("dialog")) return undefined;
      const typing = event.target.matches("input, select, textarea");
      if (typing) return event.key === "Escape" && editor.leave();
      if (command(editor, event)) event.preventDefault();
      return undefined;
    },
    { signal },
  );
  for (const type of ["keyup", "keypress"]) {
    root.addEventListener(type, (event) => event.stopPropagation(), { signal });
  }
}

function command(editor, event) {
  const { key } = event;
  if (event.ctrlKey || event.metaKey) return withControl(editor, event);
  const onControl = event.target.matches("button, a, [role=button]");
  if (onControl && (key === "Enter" || key === " ")) return false;
  if (ARROWS[key]) return arrows(editor, ARROWS[key], event);
  if (TOOLS[key]) return done(editor.take(TOOLS[key]));
  const commands = {
    n: () => editor.next(event.shiftKey ? -1 : 1),
    N: () => editor.next(-1),
    " ": () => editor.keepChosen(),
    Enter: () => enter(editor),
    e: () => editor.card.typeHere(),
    Delete: () => editor.remove(),
    Backspace: () => editor.remove(),
    Escape: () => editor.leave(),
    "[": () => turn(editor, 15),
    "]": () => turn(editor, -15),
    "{": () => turn(editor, 1),
    "}": () => turn(editor, -1),
    k: () => changeKind(editor),
    x: () => editor.toggleCrossing(),
    g: () => editor.merge(),
    d: () => editor.doubts.next(),
    a: () => editor.doubts.accept(),
    t: () => editor.doubts.other(),
    "+": () => zoom(editor, 1.25),
    "=": () => zoom(editor, 1.25),
    "-": () => zoom(editor, 0.8),
    0: () => editor.goHome(),
    r: () => editor.view.quarter(),
    m: () => editor.goMissing(),
    "?": () => editor.sheet.toggle(),
  };
  const run = commands[key] ?? commands[key.toLowerCase()];
  return run ? done(run()) : false;
}

const done = () => true;

function withControl(editor, event) {
  const key = event.key.toLowerCase();
  if (key === "z") return done(event.shiftKey ? editor.redo() : editor.undo());
  if (key === "y") return done(editor.redo());
  if (key === "a") return done(editor.chooseAll());
  return false;
}

function zoom(editor, factor) {
  const [w, h] = editor.view.window;
  editor.view.zoomAt([w / 2, h / 2], factor);
}

/** Arrows move chosen joints; with none chosen they move the cross; with Alt the view. */
function arrows(editor, [dx, dy], event) {
  const step = event.shiftKey ? 12 : 2;
  if (event.altKey) return done(editor.view.panBy(-dx * 40, -dy * 40));
  const joints = [...editor.selected].filter((id) => id[0] === "j").map((id) => id.slice(2));
  const [mx, my] = editor.view.moveInPicture([dx * step, dy * step]);
  if (joints.length && editor.tool === "choose") {
    const places = Object.fromEntries(
      joints.map((name) => {
        const [x, y] = pixel(editor.doc, name);
        return [name, [x + mx, y + my]];
      }),
    );
    editor.commit(placeJoints(editor.doc, places), "moved", { a: joints.join(", "), b: "" });
    editor.view.reveal(Object.values(places)[0]);
    return true;
  }
  const angles = { "1,0": 0, "0,-1": 90, "-1,0": 180, "0,1": 270 };
  const only = editor.selected.size === 1 ? [...editor.selected][0] : "";
  if (only[0] === "l" || only[0] === "s") return done(turnTo(editor, only, angles[`${dx},${dy}`]));
  const [cx, cy] = editor.cross ?? editor.view.toPicture(editor.view.window.map((v) => v / 2));
  const [fx, fy] = [mx * 3, my * 3];
  editor.putCross([cx + fx, cy + fy]);
  return true;
}

/** Enter does at the cross, or with the chosen joint, what a tap of the tool does. */
function enter(editor) {
  const chosen = [...editor.selected].at(-1) ?? "";
  const name = chosen[0] === "j" ? chosen.slice(2) : null;
  const { doc } = editor;
  if (editor.tool === "joint" && editor.cross) {
    return layJointAt(editor, editor.cross, hit(editor, editor.cross));
  }
  if (editor.tool === "joint" && chosen[0] === "m") {
    const [a, b] = chosen.slice(2).split("-");
    return layJointAt(editor, middle(pixel(doc, a), pixel(doc, b)), { kind: "member", id: chosen });
  }
  if (editor.tool === "dimension" && chosen[0] === "m") return layDimension(editor, chosen.slice(2).split("-"));
  if (!name) return editor.card.typeHere();
  if (editor.tool === "member" || editor.tool === "dimension") return pair(editor, name);
  if (editor.tool === "support") {
    const kind = doc.job.supports.some((s) => s.kind === "pin") ? "roller" : "pin";
    editor.commit(setSupport(doc, name, supportOf(doc, name) ?? { kind }), "support_added", { a: name, kind });
    return editor.choose([`s:${name}`]);
  }
  if (editor.tool === "load") {
    const added = addLoad(doc, name, 270);
    editor.commit(added.doc, "load_added", { a: name });
    editor.choose([`l:${added.index}`]);
  }
  return editor.card.typeHere();
}

function pair(editor, name) {
  const first = editor.waiting;
  if (!first || first === name) return editor.waitFor(name);
  if (editor.tool === "dimension") return layDimension(editor, [first, name]);
  editor.waiting = null;
  editor.commit(addMember(editor.doc, first, name), "member_added", { a: first, b: name });
  return editor.choose([`m:${memberKey(first, name)}`]);
}

function turn(editor, by) {
  for (const id of editor.selected) {
    if (id[0] === "s") turnTo(editor, id, supportOf(editor.doc, id.slice(2)).angle_deg + by);
    if (id[0] === "l") turnTo(editor, id, loadDirection(editor.doc.job.loads[Number(id.slice(2))]) + by);
  }
}

function turnTo(editor, id, degrees) {
  const angle = turned(degrees);
  const at = id.slice(2);
  if (id[0] === "s") {
    return editor.commit(setSupport(editor.doc, at, { angle_deg: angle }), "turned", { a: at, angle });
  }
  const load = editor.doc.job.loads[Number(at)];
  const doc = changeLoad(editor.doc, Number(at), asAimed(load, angle));
  return editor.commit(doc, "aimed", { a: load.joint, angle });
}

function changeKind(editor) {
  for (const id of editor.selected) {
    const name = id[0] === "s" || id[0] === "j" ? id.slice(2) : null;
    const support = name && supportOf(editor.doc, name);
    if (!support) continue;
    const kind = support.kind === "pin" ? "roller" : "pin";
    editor.commit(setSupport(editor.doc, name, { kind }), "support_added", { a: name, kind });
  }
}
