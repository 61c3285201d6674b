// Pointers to acts: one finger or the mouse draws and moves, two fingers zoom and pan,
// the wheel zooms at the pointer.

import { begin } from "./acts.js";
import { distance, middle } from "./geometry.js";
import { Magnifier } from "./magnifier.js";

const SLACK = { mouse: 4, pen: 6, touch: 9 };

export function listen(editor, canvas, signal) {
  const pointers = new Map();
  const magnifier = new Magnifier(editor, canvas);
  let act = null;
  let pinch = null;

  const at = (event) => {
    const box = canvas.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top];
  };
  const on = (type, handler, options = {}) => canvas.addEventListener(type, handler, { signal, ...options });

  on("pointerdown", (event) => {
    if (event.button > 1) return;
    canvas.focus({ preventScroll: true });
    // A pointer that is already gone cannot be captured; the press still counts.
    try { canvas.setPointerCapture(event.pointerId); } catch { /* nothing to hold */ }
    const place = at(event);
    pointers.set(event.pointerId, place);
    if (pointers.size === 2) return startPinch();
    if (pointers.size > 2) return;
    const device = event.pointerType || "mouse";
    const many = event.shiftKey || editor.many;
    const pans = event.button === 1;
    act = {
      ...(pans ? { pans: true } : {}),
      device,
      start: place,
      last: place,
      moved: false,
      does: pans ? { pans: true } : begin(editor, editor.view.toPicture(place), { device, many }),
    };
  });

  on("pointermove", (event) => {
    if (!pointers.has(event.pointerId)) return;
    const place = at(event);
    pointers.set(event.pointerId, place);
    if (pinch) return movePinch();
    if (!act) return;
    if (!act.moved && distance(place, act.start) < (SLACK[act.device] ?? 6)) return;
    act.moved = true;
    if (act.does.pans) editor.view.panBy(place[0] - act.last[0], place[1] - act.last[1]);
    act.does.move?.(editor.view.toPicture(place));
    act.last = place;
    if (act.does.magnifies && act.device !== "mouse") magnifier.show(place);
  });

  const release = (event, cancelled) => {
    if (!pointers.delete(event.pointerId)) return;
    if (pinch) {
      if (pointers.size === 0) pinch = null;
      return;
    }
    magnifier.hide();
    const done = act;
    act = null;
    if (!done) return;
    if (cancelled) done.does.cancel?.();
    else done.does.end?.(editor.view.toPicture(done.moved ? at(event) : done.start), done.moved);
  };
  on("pointerup", (event) => release(event, false));
  on("pointercancel", (event) => release(event, true));

  function startPinch() {
    magnifier.hide();
    act?.does.cancel?.();
    act = null;
    const [p, q] = pointers.values();
    pinch = { apart: distance(p, q), centre: middle(p, q) };
  }

  function movePinch() {
    const [p, q] = pointers.values();
    if (!q) return;
    const now = { apart: distance(p, q), centre: middle(p, q) };
    editor.view.panBy(now.centre[0] - pinch.centre[0], now.centre[1] - pinch.centre[1]);
    editor.view.zoomAt(now.centre, now.apart / (pinch.apart || 1));
    pinch = now;
  }

  on(
    "wheel",
    (event) => {
      event.preventDefault();
      const step = event.deltaMode === 1 ? event.deltaY * 16 : event.deltaY;
      editor.view.zoomAt(at(event), Math.exp(-Math.max(-240, Math.min(240, step)) * 0.0022));
    },
    { passive: false },
  );
  on("dblclick", (event) => editor.open(editor.view.toPicture(at(event))));
  on("contextmenu", (event) => event.preventDefault());
}
