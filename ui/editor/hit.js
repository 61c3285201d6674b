// What lies under the pointer, with a reach that suits a finger or a mouse.

import { jointNear, loadDirection, memberNear, pixel, supportOf } from "./document.js";
import { dimensionEnds } from "./draw.js";
import { direction, distance, foot, heading, middle } from "./geometry.js";
import { endsAtJoint, HANDLE, loadArrow } from "./symbols.js";

const REACH = { mouse: 13, pen: 16, touch: 24 };

/** @returns {{kind: string, id: string}|null} kinds: handle, joint, load, support, dimension, crossing, member */
export function hit(editor, point, device = "mouse") {
  const { doc, view, selected, drawing, show } = editor;
  const reach = (REACH[device] ?? REACH.mouse) * view.unit;
  const near = (place, factor = 1) => distance(place, point) <= reach * factor;

  for (const id of selected) {
    const grip = gripOf(editor, id);
    if (grip && near(grip, 1.2)) return { kind: "handle", id };
  }
  const joint = jointNear(doc, point, reach);
  if (joint) return { kind: "joint", id: `j:${joint}` };
  for (let index = doc.job.loads.length - 1; index >= 0; index -= 1) {
    const ends = loadEnds(editor, index);
    if (ends && foot(ends[0], ends[1], point).distance <= reach) return { kind: "load", id: `l:${index}` };
  }
  for (const support of doc.job.supports) {
    if (near(signPoint(editor, support), 1.2)) return { kind: "support", id: `s:${support.joint}` };
  }
  if (show.dimensions) {
    const index = doc.job.dimensions.findIndex((d) => near(plateOf(doc, d), 1.1));
    if (index >= 0) return { kind: "dimension", id: `d:${index}` };
  }
  const cross = (drawing.crossings ?? []).find((c) => near(c.point));
  if (cross) return { kind: "crossing", id: `x:${cross.keys.join("|")}` };
  const key = memberNear(doc, point, reach * 0.9);
  return key ? { kind: "member", id: `m:${key}` } : null;
}

/** Middle of a support's sign. */
function signPoint({ doc, view }, support) {
  const at = pixel(doc, support.joint) ?? [-1e9, -1e9];
  const [x, y] = heading(support.angle_deg + 180);
  return [at[0] + x * 22 * view.sign, at[1] + y * 22 * view.sign];
}

function plateOf(doc, dimension) {
  const ends = dimensionEnds(doc, dimension);
  if (!ends) return [-1e9, -1e9];
  const [p, q] = ends;
  if (dimension.kind === "horizontal") return middle(p, [q[0], p[1]]);
  if (dimension.kind === "vertical") return middle(p, [p[0], q[1]]);
  return middle(p, q);
}

/** Directions of what leaves a joint: its members and its support. */
export function anglesAt(doc, name) {
  const at = pixel(doc, name);
  const angles = doc.job.members
    .filter((m) => m.a === name || m.b === name)
    .map((m) => Math.round(direction(at, pixel(doc, m.a === name ? m.b : m.a) ?? at)));
  const support = supportOf(doc, name);
  return support ? [...angles, support.angle_deg + 180] : angles;
}

/** Both ends of a load's arrow in the picture. */
export function loadEnds({ doc, view }, index) {
  const load = doc.job.loads[index];
  const at = load && pixel(doc, load.joint);
  if (!at) return null;
  const degrees = loadDirection(load);
  const same = doc.job.loads
    .slice(0, index)
    .filter((l) => l.joint === load.joint && Math.round(loadDirection(l)) === Math.round(degrees));
  const arrow = loadArrow(degrees, endsAtJoint(degrees, anglesAt(doc, load.joint)), same.length);
  const inPicture = ([x, y]) => [at[0] + x * view.sign, at[1] + y * view.sign];
  return [inPicture(arrow.tail), inPicture(arrow.tail === arrow.to ? arrow.from : arrow.to)];
}

/** Where the handle of a chosen support or load is. */
function gripOf(editor, id) {
  if (id[0] === "l") return loadEnds(editor, Number(id.slice(2)))?.[0] ?? null;
  if (id[0] !== "s") return null;
  const { doc, view } = editor;
  const support = supportOf(doc, id.slice(2));
  if (!support) return null;
  const at = pixel(doc, support.joint);
  const [x, y] = heading(support.angle_deg + 180);
  return [at[0] + x * HANDLE * view.sign, at[1] + y * HANDLE * view.sign];
}
