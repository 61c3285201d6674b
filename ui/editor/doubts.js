// Doubts: what the reader was least sure of, settled one by one, each with its other readings.

import {
  addJoint,
  addLoad,
  addMember,
  crossings,
  member,
  memberKey,
  mergeJoints,
  putOnMember,
  removeThings,
  setSupport,
} from "./document.js";

const without = (doc, index) => ({ ...doc, doubts: doc.doubts.filter((_, i) => i !== index) });

/** The reading was right: the doubt goes, the drawing stays. */
export const accept = (doc, index) => without(doc, index);

/** Take another reading: make its changes, in order, and drop the doubt. */
export function takeReading(doc, index, choice) {
  const { edits } = doc.doubts[index].alternatives[choice];
  const fresh = new Map();
  return edits.reduce((d, edit) => applied(d, edit, fresh), without(doc, index));
}

const stillThere = (doc, names) => names.every((name) => name in doc.job.joints);

function applied(doc, edit, fresh) {
  const names = (edit.joints ?? []).map((name) => fresh.get(name) ?? name);
  if (edit.do === "add_joint") return newJoint(doc, edit.at, fresh, names[0]);
  if (!stillThere(doc, names)) return doc;
  const [a, b, c, d] = names;
  const loadsAt = () => doc.job.loads.flatMap((l, i) => (l.joint === a ? [`l:${i}`] : []));
  const edits = {
    remove_joint: () => removeThings(doc, [`j:${a}`]),
    merge_joints: () => mergeJoints(doc, b, a),
    split_member: () => through(doc, [memberKey(a, b)], edit.at),
    join_members: () => through(doc, [memberKey(a, b), memberKey(c, d)], edit.at),
    add_member: () => addMember(doc, a, b),
    remove_member: () => removeThings(doc, [`m:${memberKey(a, b)}`]),
    set_support: () => setSupport(doc, a, supportOf(edit)),
    remove_support: () => removeThings(doc, [`s:${a}`]),
    set_load: () => turnedLoad(doc, a, edit.angle_deg ?? 270),
    remove_load: () => removeThings(doc, loadsAt()),
  };
  return edits[edit.do] ? edits[edit.do]() : doc;
}

const supportOf = ({ kind, angle_deg }) => ({
  ...(kind ? { kind } : {}),
  ...(angle_deg === null || angle_deg === undefined ? {} : { angle_deg }),
});

/** A joint that the other reading adds; its later edits call it `called`. */
function newJoint(doc, at, fresh, called) {
  const added = addJoint(doc, at);
  fresh.set(called, added.name);
  return added.doc;
}

/** A joint at `at` in each of the members; where none is said, where the two cross. */
function through(doc, keys, at) {
  if (!keys.every((key) => member(doc, key))) return doc;
  const place = at ?? crossings(doc).find((x) => keys.every((k) => x.keys.includes(k)))?.point;
  if (!place) return doc;
  const added = addJoint(doc, place);
  return keys.reduce((d, key) => putOnMember(d, key, added.name), added.doc);
}

/** The load at a joint acts in another direction; where there was none it is new. */
function turnedLoad(doc, joint, direction_deg) {
  const index = doc.job.loads.findIndex((l) => l.joint === joint);
  if (index < 0) return addLoad(doc, joint, direction_deg).doc;
  const loads = doc.job.loads.map((l, i) =>
    i === index ? { ...l, fx: 0, fy: 0, slope: null, direction_deg } : l,
  );
  return { ...doc, job: { ...doc.job, loads } };
}
