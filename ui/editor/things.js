// What is on the picture, by id: j:A a joint, m:A-B a member, s:A the support at A, l:0 a load,
// d:0 a dimension by its position, x:A-B|C-D a crossing without a joint.

import { keyOf, pixel, supportOf } from "./document.js";
import { middle } from "./geometry.js";

/** Everything that can be chosen, in reading order: joints with what they carry, then members. */
export function inOrder(doc) {
  const across = Object.entries(doc.job.joints)
    .filter(([, joint]) => joint.pixel)
    .sort(([, p], [, q]) => p.pixel[0] - q.pixel[0] || p.pixel[1] - q.pixel[1])
    .map(([name]) => name);
  const carried = (name) => [
    `j:${name}`,
    ...(supportOf(doc, name) ? [`s:${name}`] : []),
    ...doc.job.loads.flatMap((l, i) => (l.joint === name ? [`l:${i}`] : [])),
  ];
  return [
    ...across.flatMap(carried),
    ...doc.job.members.map((m) => `m:${keyOf(m)}`),
    ...doc.job.dimensions.map((_, i) => `d:${i}`),
  ];
}

/** Where a thing is in the picture, or null. */
export function placeOf({ job }, id) {
  const of = id.slice(2);
  const joint = {
    j: of,
    s: of,
    l: job.loads[Number(of)]?.joint,
    d: job.dimensions[Number(of)]?.joints[0],
  }[id[0]];
  if (joint) return pixel({ job }, joint);
  const found = job.members.find((m) => keyOf(m) === of);
  return found ? middle(pixel({ job }, found.a), pixel({ job }, found.b)) : null;
}

/** What a thing is called, with its force and the verdict on the person's own value. */
export function nameOf({ words, job, overlay }, id) {
  const of = id.slice(2);
  const [a, b] = of.split("-");
  const said = [overlay?.members?.[of]?.said, overlay?.verdicts?.[of]?.said].filter(Boolean);
  const names = {
    j: () => words("joint", { a: of }),
    m: () => [words("member", { a, b }), ...said].join(", "),
    s: () => [words("support_at", { a: of }), ...said].join(", "),
    l: () => words("load_at", { a: job.loads[Number(of)]?.joint }),
    d: () => words("dimension_of", { a: job.dimensions[Number(of)]?.joints.join("–") }),
    x: () => words("crossing"),
  };
  return names[id[0]]?.() ?? id;
}

/** The box around all joints, or none. */
export function extent({ job }) {
  const points = Object.values(job.joints).flatMap((joint) => (joint.pixel ? [joint.pixel] : []));
  if (points.length < 2) return null;
  const [xs, ys] = [points.map((p) => p[0]), points.map((p) => p[1])];
  return [Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys)];
}
