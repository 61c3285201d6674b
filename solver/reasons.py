"""Why a truss has no forces to show: what is refused, and what can move, in sentences."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from model.truss import Truss
from solver.equilibrium import equilibrium_matrix, reactions
from solver.rank import rank_of

__all__ = ["connected_parts", "joints_in_words", "refusal", "unstable"]

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.intp]

#: A member shorter than this part of the truss's extent has no direction.
_NO_LENGTH = 1e-9
#: A movement below this part of the largest is none.
_STILL = 1e-8
#: Joints up to which the form is shaken to tell a critical one from too few members.
_MOST_SHAKEN = 300
_MOST_SENTENCES = 3


def refusal(truss: Truss, loads: FloatArray) -> str | None:
    """Say what in a truss cannot be taken into equations at all; None if nothing.

    `loads` are the sums of the loads on each joint, shape (n, 2).
    """
    if not len(truss.joints):
        return "There are no joints yet; draw the truss first."
    if not np.isfinite(truss.points).all():
        bad = truss.joints[int(np.argmin(np.isfinite(truss.points).all(axis=1)))]
        return f"Joint {bad} has a coordinate that is not a finite number; correct it."
    if not np.isfinite(loads).all():
        bad = truss.joints[int(np.argmin(np.isfinite(loads).all(axis=1)))]
        return f"The load at joint {bad} is not a finite number; correct it."
    extent = float(np.ptp(truss.points, axis=0).max())
    if len(truss.members) and float(truss.lengths.min()) <= _NO_LENGTH * extent:
        a, b = truss.members[int(truss.lengths.argmin())]
        return (
            f"Member {truss.joints[a]}-{truss.joints[b]} is a zero-length member: joints"
            f" {truss.joints[a]} and {truss.joints[b]} are at one place; merge them or move one."
        )
    return None


def joints_in_words(truss: Truss, positions: IntArray | list[int], most: int = 6) -> str:
    """Name joints as a sentence would: 'joint A', 'joints A, B and C', 'joints A, B and 7 more'."""
    names = [truss.joints[position] for position in positions]
    if len(names) == 1:
        return f"joint {names[0]}"
    if len(names) > most:
        return f"joints {', '.join(names[: most - 1])} and {len(names) - most + 1} more"
    return f"joints {', '.join(names[:-1])} and {names[-1]}"


def unstable(truss: Truss, mechanisms: FloatArray) -> str:
    """Say what can move and why: a sentence for each cause, at most three.

    Parameters
    ----------
    truss : Truss
    mechanisms : ndarray, shape (k, n, 2)
        Independent displacements without change of any length, k at least 1.
    """
    parts = connected_parts(truss)
    sentences: list[str] = []
    for joints in parts:
        motions = mechanisms[:, joints].reshape(len(mechanisms), -1)
        if np.abs(motions).max() < _STILL:
            continue
        if len(joints) == 1:
            sentences.append(_stray(truss, int(joints[0])))
            continue
        name = "The truss" if len(parts) == 1 else _part_in_words(truss, joints)
        as_whole = _rigid_motions(truss, joints)
        if len(as_whole):
            sentences.append(_badly_held(truss, joints, as_whole, name))
        inner = motions[_beyond(motions, as_whole)].reshape(-1, len(joints), 2)
        if len(inner):
            fewest = min(inner, key=lambda motion: int((np.abs(motion) > _STILL).any(axis=1).sum()))
            alone = len(inner) == 1 and not len(as_whole)
            sentences.append(_badly_braced(truss, joints, fewest, len(mechanisms), alone))
    return " ".join(sentences[:_MOST_SENTENCES])


def connected_parts(truss: Truss) -> list[IntArray]:
    """Joints of each part that members hold together, in the order of the joints."""
    root = list(range(len(truss.joints)))

    def find(joint: int) -> int:
        while root[joint] != joint:
            root[joint] = root[root[joint]]
            joint = root[joint]
        return joint

    for a, b in truss.members.tolist():
        root[find(a)] = find(b)
    members_of: dict[int, list[int]] = {}
    for joint in range(len(root)):
        members_of.setdefault(find(joint), []).append(joint)
    return [np.array(joints, dtype=np.intp) for joints in members_of.values()]


def _stray(truss: Truss, joint: int) -> str:
    name = truss.joints[joint]
    return f"Joint {name} is a stray joint: no member ends there; join it or remove it."


def _part_in_words(truss: Truss, joints: IntArray) -> str:
    return f"The part with {joints_in_words(truss, joints)}, not joined to the rest,"


def _rigid_motions(truss: Truss, joints: IntArray) -> FloatArray:
    """Motions of a part as one rigid body that its supports allow, orthonormal rows."""
    points = truss.points[joints] - truss.points[joints].mean(axis=0)
    size = max(float(np.abs(points).max()), np.finfo(float).tiny)
    bodies = np.zeros((3, len(joints), 2))
    bodies[0, :, 0] = bodies[1, :, 1] = 1.0
    bodies[2] = np.column_stack([-points[:, 1], points[:, 0]]) / size
    held = reactions(truss)
    inside = np.isin(held.joints, joints)
    at = np.searchsorted(joints, held.joints[inside])
    moved = np.einsum("bij,ij->ib", bodies[:, at], held.directions[inside])
    _, values, turned = np.linalg.svd(np.vstack([moved, np.zeros((3, 3))]))
    free = turned[values <= _STILL] @ bodies.reshape(3, -1)
    return np.asarray(np.linalg.qr(free.T)[0].T)


def _beyond(motions: FloatArray, as_whole: FloatArray) -> NDArray[np.bool_]:
    """Which motions are more than a motion as one rigid body."""
    rest = motions - (motions @ as_whole.T) @ as_whole
    return np.asarray(np.abs(rest).max(axis=1) > 1e-6)


def _badly_held(truss: Truss, joints: IntArray, motions: FloatArray, name: str) -> str:
    """Say why a part can move as one body."""
    held = reactions(truss)
    inside = np.isin(held.joints, joints)
    count = int(inside.sum())
    supports = list(dict.fromkeys(held.joints[inside].tolist()))
    if count == 0:
        return f"{name} has no support; give it a pin and a roller, or more."
    named = joints_in_words(truss, supports)
    how = _motion_in_words(truss, joints, motions[0].reshape(-1, 2))
    if count < 3:
        gives = f"the support at {named} gives" if len(supports) == 1 else f"{named} give"
        some = "one reaction" if count == 1 else "two reactions"
        return (
            f"{name} has too few supports and can {how}: {gives} {some} where three are needed;"
            " add a support."
        )
    return (
        f"{name} has badly placed supports and can {how}: the reactions at {named} do not resist"
        " that; turn or move one of them."
    )


def _motion_in_words(truss: Truss, joints: IntArray, motion: FloatArray) -> str:
    """'slide sideways', 'turn about joint A', 'turn about the point (2, 5)'."""
    points = truss.points[joints]
    away = points - points.mean(axis=0)
    shift = motion.mean(axis=0)
    turn = float((away[:, 0] * motion[:, 1] - away[:, 1] * motion[:, 0]).sum() / (away**2).sum())
    if abs(turn) * float(np.abs(away).max()) <= 1e-6 * float(np.abs(motion).max()):
        angle = np.degrees(np.arctan2(shift[1], shift[0])) % 180.0
        ways = {0: "sideways", 90: "up and down", 180: "sideways"}
        return f"slide {ways.get(round(angle, 6), f'along {angle:.4g}°')}"
    centre = points.mean(axis=0) + np.array([-shift[1], shift[0]]) / turn
    apart = np.hypot(*(points - centre).T)
    if float(apart.min()) <= _STILL * float(np.ptp(points, axis=0).max()):
        return f"turn about joint {truss.joints[int(joints[int(apart.argmin())])]}"
    x, y = (float(f"{value:.4g}") + 0.0 for value in centre)
    return f"turn about the point ({x:g}, {y:g})"


def _badly_braced(
    truss: Truss, joints: IntArray, motion: FloatArray, mechanisms: int, alone: bool
) -> str:
    """Say why joints of a part can move against each other."""
    moving = joints[(np.abs(motion) > _STILL).any(axis=1)]
    if len(moving) == 1:
        return _loose_joint(truss, int(moving[0]))
    named = joints_in_words(truss, moving)
    if len(truss.joints) <= _MOST_SHAKEN and _mechanisms_when_shaken(truss) < mechanisms:
        return (
            f"The form is critical: there are members enough, but they are badly placed and let"
            f" {named} move; move a joint or place a member elsewhere."
        )
    count, equations = len(truss.members) + len(reactions(truss).joints), 2 * len(truss.joints)
    said = f"Too few members hold {named}"
    if count < equations:
        said += f" (m + r = {count}, 2j = {equations})"
    brace = _brace(truss, joints, motion) if alone and len(joints) <= _MOST_SHAKEN else None
    if brace is None:
        return f"{said}: add members, such as diagonals, until nothing can move."
    a, b = (truss.joints[joint] for joint in brace)
    return f"{said}: add a member, for instance from {a} to {b}."


def _loose_joint(truss: Truss, joint: int) -> str:
    name = truss.joints[joint]
    at = np.flatnonzero((truss.members == joint).any(axis=1))
    if len(at) == 1:
        member = truss.member_name(int(at[0]))
        return f"Joint {name} hangs on member {member} alone; add a member or a support there."
    ends = [truss.joints[int(truss.members[i].sum()) - joint] for i in at]
    return (
        f"Joint {name} lies on one straight line with {' and '.join(ends[:2])}, and nothing holds"
        " it sideways: add a member or a support there."
    )


def _mechanisms_when_shaken(truss: Truss) -> int:
    """Mechanisms of the same graph in another form, near to this one but of no special shape."""
    extent = float(np.ptp(truss.points, axis=0).max())
    shaken = np.random.default_rng(0).normal(scale=0.02 * extent, size=truss.points.shape)
    points = truss.points + shaken
    return len(rank_of(equilibrium_matrix(replace(truss, points=points))).mechanisms)


def _brace(truss: Truss, joints: IntArray, motion: FloatArray) -> tuple[int, int] | None:
    """Two joints not joined yet whose distance a mechanism changes most, seen from the member."""
    points = truss.points[joints]
    apart = points[:, None] - points[None]
    length = np.hypot(apart[..., 0], apart[..., 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        change = np.abs(((motion[:, None] - motion[None]) * apart).sum(axis=2)) / length**2
    at = {int(joint): position for position, joint in enumerate(joints)}
    for a, b in truss.members.tolist():
        if a in at and b in at:
            change[at[a], at[b]] = change[at[b], at[a]] = 0.0
    change = np.nan_to_num(change, nan=0.0, posinf=0.0)
    a, b = divmod(int(np.triu(change).argmax()), len(joints))
    return (int(joints[a]), int(joints[b])) if change[a, b] > _STILL else None
