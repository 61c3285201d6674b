// The document and every change a person can make to it. Pure: a change gives a new document.
//
// A document is {job, doubts}: the job as it is saved, and what the reader was not sure of.
// Members are known by the key 'A-B' (names in order), loads and dimensions by their position.

import { along, between, crossing, direction, distance, foot } from "./geometry.js";

const LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ";
export const NAME = /^[\p{L}\p{N}][\p{L}\p{N}_]{0,15}['′]?$/u;

export const memberKey = (a, b) => (a < b ? `${a}-${b}` : `${b}-${a}`);
export const keyOf = (member) => memberKey(member.a, member.b);
export const pixel = (doc, name) => doc.job.joints[name]?.pixel ?? null;
export const member = (doc, key) => doc.job.members.find((m) => keyOf(m) === key);
export const supportOf = (doc, joint) => doc.job.supports.find((s) => s.joint === joint);
export const ends = (doc, key) => {
  const found = member(doc, key);
  return found ? [pixel(doc, found.a), pixel(doc, found.b)] : null;
};

const withJob = (doc, patch) => ({ ...doc, job: { ...doc.job, ...patch } });
const withJoints = (doc, joints) => withJob(doc, { joints });

/** First free letter, then A1, B1, ... */
export function freeName(doc) {
  for (let round = 0; ; round += 1) {
    for (const letter of LETTERS) {
      const name = round ? `${letter}${round}` : letter;
      if (!(name in doc.job.joints)) return name;
    }
  }
}

export function addJoint(doc, point, name = freeName(doc)) {
  const joint = { x: null, y: null, pixel: [...point] };
  return { doc: withJoints(doc, { ...doc.job.joints, [name]: joint }), name };
}

/** Put joints elsewhere; their true coordinates are no longer known. */
export function placeJoints(doc, places) {
  const joints = { ...doc.job.joints };
  for (const [name, point] of Object.entries(places)) {
    joints[name] = { ...joints[name], x: null, y: null, pixel: [...point] };
  }
  return withJoints(doc, joints);
}

const withoutRepeats = (members) => {
  const seen = new Set();
  return members.filter((m) => {
    const repeated = m.a === m.b || seen.has(keyOf(m));
    seen.add(keyOf(m));
    return !repeated;
  });
};

/** Everything that named joint `from` names `to` instead. */
function renamed(doc, from, to) {
  const swap = (name) => (name === from ? to : name);
  const { members, supports, loads, dimensions } = doc.job;
  return {
    ...withJob(doc, {
      members: members.map((m) =>
        m.a === from || m.b === from ? { ...m, a: swap(m.a), b: swap(m.b) } : m,
      ),
      supports: supports.map((s) => (s.joint === from ? { ...s, joint: to } : s)),
      loads: loads.map((l) => (l.joint === from ? { ...l, joint: to } : l)),
      dimensions: dimensions.map((d) =>
        d.joints.includes(from) ? { ...d, joints: d.joints.map(swap) } : d,
      ),
    }),
    doubts: doc.doubts.map((d) =>
      d.joints.includes(from) ? { ...d, joints: d.joints.map(swap) } : d,
    ),
  };
}

/** Joint `from` becomes one with `into`, which keeps its place, name and support. */
export function mergeJoints(doc, from, into) {
  const kept = supportOf(doc, into);
  let next = renamed(doc, from, into);
  const { [from]: gone, ...joints } = next.job.joints;
  const supports = next.job.supports.filter(
    (s, i, all) => s.joint !== into || (kept ? s === kept : all.findIndex((o) => o.joint === into) === i),
  );
  next = withJob(next, { joints, supports, members: withoutRepeats(next.job.members) });
  return withJob(next, {
    dimensions: next.job.dimensions.filter(
      (d) => d.joints.length < 2 || new Set(d.joints).size === d.joints.length,
    ),
  });
}

export function renameJoint(doc, from, to) {
  if (from === to) return doc;
  const joints = Object.fromEntries(
    Object.entries(doc.job.joints).map(([name, joint]) => [name === from ? to : name, joint]),
  );
  return renamed(withJoints(doc, joints), from, to);
}

export function addMember(doc, a, b) {
  if (a === b || member(doc, memberKey(a, b))) return doc;
  return withJob(doc, { members: [...doc.job.members, { a, b }] });
}

/** A joint on a member makes two members of it, each as the one it came from. */
export function splitMember(doc, key, point) {
  const found = member(doc, key);
  const on = foot(pixel(doc, found.a), pixel(doc, found.b), point).point;
  const added = addJoint(doc, on);
  return { doc: putOnMember(added.doc, key, added.name), name: added.name };
}

/** An existing joint is put into a member, which becomes two. */
export function putOnMember(doc, key, name) {
  const found = member(doc, key);
  const rest = doc.job.members.filter((m) => m !== found);
  return withJob(doc, {
    members: withoutRepeats([
      ...rest,
      { ...found, b: name, length_error: null },
      { ...found, a: name, length_error: null },
    ]),
  });
}

/** Pairs of members that cross without a joint: {keys, point}. */
export function crossings(doc) {
  const list = doc.job.members
    .map((m) => ({ key: keyOf(m), m, p: pixel(doc, m.a), q: pixel(doc, m.b) }))
    .filter((e) => e.p && e.q);
  const found = [];
  for (let i = 0; i < list.length; i += 1) {
    for (let j = i + 1; j < list.length; j += 1) {
      const [e, f] = [list[i], list[j]];
      if (e.m.a === f.m.a || e.m.a === f.m.b || e.m.b === f.m.a || e.m.b === f.m.b) continue;
      const point = crossing(e.p, e.q, f.p, f.q);
      if (point) found.push({ keys: [e.key, f.key], point });
    }
  }
  return found;
}

/** The crossing of two members becomes a joint of all four parts. */
export function joinCrossing(doc, keys, point) {
  const added = addJoint(doc, point);
  const next = keys.reduce((d, key) => putOnMember(d, key, added.name), added.doc);
  return { doc: next, name: added.name };
}

/** Members at a joint that run straight through it, as pairs of their far ends. */
export function straightPairs(doc, name) {
  const at = pixel(doc, name);
  const far = doc.job.members
    .filter((m) => m.a === name || m.b === name)
    .map((m) => (m.a === name ? m.b : m.a))
    .map((other) => ({ other, angle: direction(at, pixel(doc, other)) }));
  if (far.length !== 2 && far.length !== 4) return [];
  const pairs = [];
  const free = [...far];
  while (free.length) {
    const first = free.shift();
    const opposite = free.findIndex((f) => between(f.angle, first.angle + 180) < 14);
    if (opposite < 0) return [];
    pairs.push([first.other, free.splice(opposite, 1)[0].other]);
  }
  return pairs;
}

/** The joint was only a crossing (or a point of one member): the members run through. */
export function openJoint(doc, name) {
  const pairs = straightPairs(doc, name);
  const next = removeThings(doc, [`j:${name}`]);
  return pairs.reduce((d, [a, b]) => addMember(d, a, b), next);
}

export function setSupport(doc, joint, patch) {
  const old = supportOf(doc, joint);
  const fresh = { kind: "pin", angle_deg: 90, ...old, ...patch, joint };
  const supports = old
    ? doc.job.supports.map((s) => (s === old ? fresh : s))
    : [...doc.job.supports, fresh];
  return withJob(doc, { supports });
}

export function addLoad(doc, joint, direction_deg, magnitude = null) {
  const loads = [...doc.job.loads, { joint, magnitude, direction_deg }];
  return { doc: withJob(doc, { loads }), index: loads.length - 1 };
}

export function changeLoad(doc, index, patch) {
  return withJob(doc, {
    loads: doc.job.loads.map((l, i) => (i === index ? { ...l, ...patch } : l)),
  });
}

/** Direction in which a load acts, whichever way it was given. */
export function loadDirection(load) {
  if (load.direction_deg !== null && load.direction_deg !== undefined) return load.direction_deg;
  if (load.slope) return direction([0, 0], [load.slope[0], -load.slope[1]]);
  const [fx, fy] = [load.fx, load.fy].map((v) => Number.parseFloat(v) || 0);
  return fx || fy ? direction([0, 0], [fx, -fy]) : 270;
}

/** The load as it was typed, or by size where it was given by two components. */
export function loadValue(load) {
  if (load.magnitude !== null && load.magnitude !== undefined) return load.magnitude;
  const parts = [load.fx, load.fy].filter((v) => Number.parseFloat(v));
  if (parts.length === 0) return null;
  if (parts.length === 1) {
    return typeof parts[0] === "number" ? Math.abs(parts[0]) : parts[0].replace(/^\s*[-−]/, "");
  }
  return Number(Math.hypot(...parts.map((v) => Number.parseFloat(v))).toPrecision(6));
}

/** The same load by magnitude and direction, so that it can be turned. */
export const asAimed = (load, direction_deg) => ({
  fx: 0,
  fy: 0,
  slope: null,
  magnitude: loadValue(load),
  direction_deg,
});

export function addDimension(doc, kind, joints, value) {
  const dimensions = [...doc.job.dimensions, { kind, joints, value, source: "typed", active: true }];
  return { doc: withJob(doc, { dimensions }), index: dimensions.length - 1 };
}

export function changeDimension(doc, index, patch) {
  return withJob(doc, {
    dimensions: doc.job.dimensions.map((d, i) =>
      i === index ? { ...d, source: "typed", ...patch } : d,
    ),
  });
}

/** Remove things by id; a joint takes its members, support, loads and dimensions along. */
export function removeThings(doc, ids) {
  const of = (kind) => new Set(ids.filter((id) => id[0] === kind).map((id) => id.slice(2)));
  const [joints, members, supports, loads, dimensions] = ["j", "m", "s", "l", "d"].map(of);
  const gone = (name) => joints.has(name);
  const { job } = doc;
  return {
    ...withJob(doc, {
      joints: Object.fromEntries(Object.entries(job.joints).filter(([name]) => !gone(name))),
      members: job.members.filter((m) => !gone(m.a) && !gone(m.b) && !members.has(keyOf(m))),
      supports: job.supports.filter((s) => !gone(s.joint) && !supports.has(s.joint)),
      loads: job.loads.filter((l, i) => !gone(l.joint) && !loads.has(String(i))),
      dimensions: job.dimensions.filter(
        (d, i) => !d.joints.some(gone) && !dimensions.has(String(i)),
      ),
    }),
    doubts: doc.doubts.filter((d) => !d.joints.some(gone)),
  };
}

/** Nearest joint to a point within `reach` picture pixels, but none of `except`. */
export function jointNear(doc, point, reach, except = []) {
  let best = null;
  for (const [name, joint] of Object.entries(doc.job.joints)) {
    if (!joint.pixel || except.includes(name)) continue;
    const off = distance(joint.pixel, point);
    if (off <= reach && (!best || off < best.off)) best = { name, off };
  }
  return best?.name ?? null;
}

/** Nearest member to a point within `reach`, measured to the middle nine tenths of it. */
export function memberNear(doc, point, reach) {
  let best = null;
  for (const m of doc.job.members) {
    const [p, q] = [pixel(doc, m.a), pixel(doc, m.b)];
    if (!p || !q) continue;
    const off = foot(along(p, q, 0.05), along(p, q, 0.95), point).distance;
    if (off <= reach && (!best || off < best.off)) best = { key: keyOf(m), off };
  }
  return best?.key ?? null;
}
