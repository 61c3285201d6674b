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
  const fresh = { names: [] };
  return edits.reduce((d, edit) => applied(d, edit, fresh), without(doc, index));
}

const stillThere = (doc, names) => names.every((name) => name in doc.job.joints);

function applied(doc, edit, fresh) {
  const names = edit.joints ?? [];
  if (!stillThere(doc, names)) return doc;
  const [a, b, c, d] = names;
  const loadsAt = () => doc.job.loads.flatMap((l, i) => (l.joint === a ? [`l:${i}`] : []));
  const edits = {
    add_joint: () => newJoint(doc, edit.at, fresh),
    remove_joint: () => removeThings(doc, [`j:${a}`]),
    merge_joints: () => mergeJoints(doc, b, a),
    split_member: () => through(doc, [memberKey(a, b)], edit.at, fresh),
    join_members: () => through(doc, [memberKey(a, b), memberKey(c, d)], edit.at, fresh),
    add_member: () => addMember(doc, a, b ?? fresh.names.at(-1)),
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

function newJoint(doc, at, fresh) {
  const added = addJoint(doc, at);
  fresh.names.push(added.name);
  return added.doc;
}

/** A joint at `at` in each of the members; where none is said, where the two cross. */
function through(doc, keys, at, fresh) {
  if (!keys.every((key) => member(doc, key))) return doc;
  const place = at ?? crossings(doc).find((x) => keys.every((k) => x.keys.includes(k)))?.point;
  if (!place) return doc;
  const added = newJoint(doc, place, fresh);
  return keys.reduce((d, key) => putOnMember(d, key, fresh.names.at(-1)), added);
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
