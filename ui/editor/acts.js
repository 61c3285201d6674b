// What a drag or a tap does. An act has move(point), end(point, moved) and, if it can, cancel().

import {
  addJoint,
  addLoad,
  addMember,
  asAimed,
  changeLoad,
  joinCrossing,
  jointNear,
  loadDirection,
  memberKey,
  memberNear,
  mergeJoints,
  pixel,
  placeJoints,
  putOnMember,
  setSupport,
  splitMember,
  supportOf,
} from "./document.js";
import { direction, inBox, snapped } from "./geometry.js";
import { anglesAt, hit, loadEnds } from "./hit.js";
import { el, line } from "./svg.js";

/** The act that a press at `point` begins, for the tool in hand. */
export function begin(editor, point, { device, many }) {
  const found = hit(editor, point, device);
  if (found?.kind === "handle") return turnHandle(editor, found.id);
  const tools = { joint: layJoint, member: drawMember, support: laySupport, load: layLoad, dimension: pickDimension };
  const tool = tools[editor.tool];
  return tool ? tool(editor, point, found, device) : choose(editor, point, found, many);
}

function choose(editor, point, found, many) {
  if (many && !found) return box(editor, point);
  if (found?.kind === "joint" && !many) return moveJoints(editor, point, found.id);
  if (found?.kind === "load" && !many) return { ...aimLoad(editor, found.id), tap: () => editor.choose([found.id]) };
  return {
    pans: !found || found.kind !== "load",
    end(_, moved) {
      if (moved) return;
      if (!found) editor.choose([]);
      else if (many) editor.toggle(found.id);
      else editor.choose([found.id]);
    },
  };
}

function moveJoints(editor, start, id) {
  const chosen = editor.selected.has(id) ? [...editor.selected].filter((s) => s[0] === "j") : [id];
  const names = chosen.map((s) => s.slice(2));
  const before = editor.doc;
  const from = Object.fromEntries(names.map((n) => [n, pixel(before, n)]));
  const target = (point) =>
    names.length === 1 ? jointNear(before, point, 18 * editor.view.unit, names) : null;
  return {
    magnifies: true,
    move(point) {
      const [dx, dy] = [point[0] - start[0], point[1] - start[1]];
      const places = Object.fromEntries(names.map((n) => [n, [from[n][0] + dx, from[n][1] + dy]]));
      editor.merging = target(places[names[0]]);
      editor.preview(placeJoints(before, places));
    },
    end(point, moved) {
      editor.merging = null;
      if (!moved) return editor.choose([id]);
      const place = names.length === 1 ? pixel(editor.doc, names[0]) : point;
      const into = target(place);
      if (into) {
        editor.commitFrom(before, mergeJoints(before, names[0], into), "merged", { a: names[0], b: into });
        return editor.choose([`j:${into}`]);
      }
      const on = names.length === 1 && droppedOn(before, place, names[0], editor.view.unit * 9);
      const doc = on ? putOnMember(editor.doc, on, names[0]) : editor.doc;
      editor.commitFrom(before, doc, on ? "split" : "moved", { a: names.join(", "), b: on || "" });
      editor.choose(chosen);
    },
    cancel() {
      editor.merging = null;
      editor.preview(before);
    },
  };
}

/** A joint without that member, dropped on a member, becomes a joint of it. */
function droppedOn(doc, place, name, reach) {
  const key = memberNear(doc, place, reach);
  return key && !key.split("-").includes(name) ? key : null;
}

function box(editor, start) {
  return {
    move(point) {
      const [x, y] = [Math.min(start[0], point[0]), Math.min(start[1], point[1])];
      const [width, height] = [Math.abs(point[0] - start[0]), Math.abs(point[1] - start[1])];
      editor.drawing.draft(el("rect", { class: "box", x, y, width, height }));
    },
    end(point) {
      editor.drawing.draft();
      const inside = (p) => p && inBox(p, [...start, ...point]);
      const { joints, members } = editor.doc.job;
      editor.choose([
        ...Object.keys(joints).filter((n) => inside(joints[n].pixel)).map((n) => `j:${n}`),
        ...members
          .filter((m) => inside(joints[m.a].pixel) && inside(joints[m.b].pixel))
          .map((m) => `m:${memberKey(m.a, m.b)}`),
      ]);
    },
    cancel: () => editor.drawing.draft(),
  };
}

/** A joint where there is room; on a member it splits it; on a crossing it joins both. */
export function layJointAt(editor, point, found) {
  const { doc } = editor;
  if (found?.kind === "joint") return editor.choose([found.id]);
  let laid;
  if (found?.kind === "crossing") {
    const cross = editor.drawing.crossings.find((c) => `x:${c.keys.join("|")}` === found.id);
    laid = joinCrossing(doc, cross.keys, cross.point);
  } else if (found?.kind === "member") laid = splitMember(doc, found.id.slice(2), point);
  else laid = addJoint(doc, point);
  editor.commit(laid.doc, "joint_added", { a: laid.name });
  return editor.choose([`j:${laid.name}`]);
}

function layJoint(editor, point, found) {
  if (found?.kind === "joint") return moveJoints(editor, point, found.id);
  return {
    magnifies: true,
    end: (last, moved) => layJointAt(editor, moved ? last : point, moved ? hit(editor, last) : found),
  };
}

/** The joint at a point, made there if there is none. */
function jointAt(doc, point, reach) {
  const name = jointNear(doc, point, reach);
  if (name) return { doc, name };
  const key = memberNear(doc, point, reach * 0.6);
  return key ? splitMember(doc, key, point) : addJoint(doc, point);
}

/** Draw from joint to joint, or tap one and then the other. */
function drawMember(editor, point, found, device) {
  const reach = (device === "touch" ? 26 : 16) * editor.view.unit;
  const from = editor.waiting ?? (found?.kind === "joint" ? found.id.slice(2) : null);
  const start = from ? pixel(editor.doc, from) : point;
  return {
    magnifies: true,
    move(to) {
      const into = jointNear(editor.doc, to, reach, from ? [from] : []);
      editor.merging = into;
      editor.drawing.draft(line("draft-line", start, into ? pixel(editor.doc, into) : to));
      editor.render();
    },
    end(to, moved) {
      editor.merging = null;
      editor.drawing.draft();
      if (!moved && !editor.waiting) {
        if (found?.kind !== "joint") return layJointAt(editor, point, found);
        return editor.waitFor(found.id.slice(2));
      }
      return joinFrom(editor, from, point, to, reach);
    },
    cancel() {
      editor.merging = null;
      editor.drawing.draft();
      editor.render();
    },
  };
}

function joinFrom(editor, from, start, to, reach) {
  const first = from ? { doc: editor.doc, name: from } : jointAt(editor.doc, start, reach);
  const second = jointAt(first.doc, to, reach);
  editor.waiting = null;
  if (second.name === first.name) return editor.choose([`j:${first.name}`]);
  const doc = addMember(second.doc, first.name, second.name);
  editor.commit(doc, "member_added", { a: first.name, b: second.name });
  return editor.choose([`m:${memberKey(first.name, second.name)}`]);
}

/** Directions worth snapping to at a joint: along and square to its members. */
const wanted = (doc, name) => {
  const angles = anglesAt({ ...doc, job: { ...doc.job, supports: [] } }, name);
  return angles.flatMap((a) => [a + 90, a - 90, a, a + 180]);
};

function turnHandle(editor, id) {
  return id[0] === "l" ? aimLoad(editor, id) : turnSupport(editor, id);
}

function turnSupport(editor, id) {
  const name = id.slice(2);
  const before = editor.doc;
  const at = pixel(before, name);
  const turnedTo = (point) => snapped(direction(point, at), wanted(before, name));
  return {
    move: (point) => editor.preview(setSupport(before, name, { angle_deg: turnedTo(point) })),
    end(point, moved) {
      if (!moved) return;
      const angle_deg = turnedTo(point);
      editor.commitFrom(before, setSupport(before, name, { angle_deg }), "turned", { a: name, angle: angle_deg });
    },
    cancel: () => editor.preview(before),
  };
}

function aimLoad(editor, id) {
  const index = Number(id.slice(2));
  const before = editor.doc;
  const load = before.job.loads[index];
  const at = pixel(before, load.joint);
  const [tail, other] = loadEnds(editor, index);
  const inwards = Math.hypot(other[0] - at[0], other[1] - at[1]) < Math.hypot(tail[0] - at[0], tail[1] - at[1])
    && Math.abs(((direction(tail, at) - loadDirection(load) + 540) % 360) - 180) < 90;
  const aimed = (point) =>
    changeLoad(before, index, asAimed(load, snapped(inwards ? direction(point, at) : direction(at, point), wanted(before, load.joint))));
  return {
    move: (point) => editor.preview(aimed(point)),
    end(point, moved) {
      if (!moved) return editor.choose([id]);
      const doc = aimed(point);
      editor.commitFrom(before, doc, "aimed", { a: load.joint, angle: loadDirection(doc.job.loads[index]) });
      return editor.choose([id]);
    },
    cancel: () => editor.preview(before),
  };
}

/** Tap a joint to support it; drag away from it to say where the ground is. */
function laySupport(editor, point, found) {
  if (found?.kind !== "joint" && found?.kind !== "support") return misses(editor, "pick_joint");
  const name = found.id.slice(2);
  const before = editor.doc;
  const at = pixel(before, name);
  const kind = supportOf(before, name)?.kind ?? (before.job.supports.some((s) => s.kind === "pin") ? "roller" : "pin");
  const laid = (angle_deg) => setSupport(before, name, { kind, angle_deg });
  const turnedTo = (to) => snapped(direction(to, at), wanted(before, name));
  return {
    move: (to) => editor.preview(laid(turnedTo(to))),
    end(to, moved) {
      const angle = moved ? turnedTo(to) : (supportOf(before, name)?.angle_deg ?? 90);
      editor.commitFrom(before, laid(angle), "support_added", { a: name, kind });
      editor.choose([`s:${name}`]);
    },
    cancel: () => editor.preview(before),
  };
}

/** Press on a joint and drag the way the load acts; a tap gives one that acts downwards. */
function layLoad(editor, point, found) {
  if (found?.kind === "load") return aimLoad(editor, found.id);
  if (found?.kind !== "joint") return misses(editor, "pick_joint");
  const name = found.id.slice(2);
  const before = editor.doc;
  const at = pixel(before, name);
  const laid = (to) => addLoad(before, name, to ? snapped(direction(at, to), wanted(before, name)) : 270);
  return {
    move: (to) => editor.preview(laid(to).doc),
    end(to, moved) {
      const { doc, index } = laid(moved ? to : null);
      editor.commitFrom(before, doc, "load_added", { a: name });
      editor.choose([`l:${index}`]);
      editor.card.typeHere();
    },
    cancel: () => editor.preview(before),
  };
}

/** Tap a member, or one joint and then another, and type its length. */
function pickDimension(editor, point, found) {
  if (found?.kind === "dimension") {
    return { end: () => { editor.choose([found.id]); editor.card.typeHere(); } };
  }
  if (found?.kind === "member") {
    return { end: () => layDimension(editor, found.id.slice(2).split("-")) };
  }
  if (found?.kind !== "joint") return misses(editor, "pick_two");
  const name = found.id.slice(2);
  return {
    move: (to) => editor.drawing.draft(line("draft-line", pixel(editor.doc, name), to)),
    end(to, moved) {
      editor.drawing.draft();
      const other = moved ? jointNear(editor.doc, to, 26 * editor.view.unit, [name]) : editor.waiting;
      if (other && other !== name) return layDimension(editor, [other, name]);
      return editor.waitFor(name);
    },
    cancel: () => editor.drawing.draft(),
  };
}

export function layDimension(editor, joints, kind = "length") {
  editor.waiting = null;
  const { dimensions } = editor.doc.job;
  const key = memberKey(...joints);
  const known = dimensions.findIndex(
    (d) => d.kind === kind && d.joints.length === 2 && memberKey(...d.joints) === key,
  );
  if (known >= 0) editor.choose([`d:${known}`]);
  else editor.card.newDimension(joints, kind);
  editor.card.typeHere();
}

const misses = (editor, said) => ({ pans: true, end: (_, moved) => moved || editor.say(said) });
