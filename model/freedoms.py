"""What the dimensions leave open: movements, and the dimensions that would stop them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import linalg

from model.job import Dimension

__all__ = ["Freedoms", "Suggestion", "freedoms_of", "motions", "suggest"]

FloatArray = NDArray[np.float64]

#: Relative size below which a movement or its effect counts as none.
_NOTHING = 1e-7
#: A member is easier to measure than the distance between two joints without one.
_WITHOUT_MEMBER = 0.4
#: Largest truss for which the part at rest is searched joint by joint.
_SEARCHED = 80


@dataclass(frozen=True, eq=False)
class Freedoms:
    """Movements that the equations leave open.

    Attributes
    ----------
    shape : int
        Open movements that change the shape.
    rotation, scale : bool
        Whether the truss can still turn as a whole, or grow as a whole.
    space : ndarray, shape (2 n, shape + rotation + scale)
        Orthonormal basis of all of them.
    """

    shape: int
    rotation: bool
    scale: bool
    space: FloatArray


@dataclass(frozen=True)
class Suggestion:
    """A dimension to measure next; `gain` (0 to 1) says how much it settles."""

    dimension: Dimension
    sentence: str
    gain: float


def freedoms_of(points: FloatArray, jacobian: FloatArray, space: FloatArray) -> Freedoms:
    """Tell turning and growing as a whole from changes of shape.

    Parameters
    ----------
    points : ndarray, shape (n, 2)
    jacobian : ndarray, shape (rows, 2 n)
        Of all equations in force.
    space : ndarray, shape (2 n, k)
        Orthonormal basis of its null space.
    """
    turned = np.stack([-points[:, 1], points[:, 0]], axis=1).ravel()
    rotation = _allowed(jacobian, turned)
    scale = _allowed(jacobian, points.ravel())
    return Freedoms(max(space.shape[1] - rotation - scale, 0), rotation, scale, space)


def _allowed(jacobian: FloatArray, motion: FloatArray) -> bool:
    """Whether a movement, about whichever centre, leaves all equations satisfied."""
    shifts = np.tile(np.eye(2), (len(motion) // 2, 1))
    norms = np.linalg.norm(jacobian, axis=1)
    rows = jacobian[norms > 0] / norms[norms > 0, None]
    effect, by_shift = rows @ motion, rows @ shifts
    centre = np.linalg.lstsq(by_shift, -effect, rcond=None)[0]
    return bool(
        np.abs(effect + by_shift @ centre).max(initial=0.0) < _NOTHING * np.linalg.norm(motion)
    )


def motions(points: FloatArray, freedoms: Freedoms) -> FloatArray:
    """Movements of the shape, one a freedom, with as many joints at rest as possible.

    Returns
    -------
    ndarray, shape (freedoms.shape, n, 2)
        The largest joint movement of each is one.
    """
    n = len(points)
    if not freedoms.shape:
        return np.empty((0, n, 2))
    best: FloatArray | None = None
    for anchor in range(n) if n <= _SEARCHED else [_farthest(points)]:
        held = _held(points, freedoms, anchor)
        if held is None:
            continue
        if best is None or _moving(held).sum() < _moving(best).sum():
            best = held
    space = freedoms.space[:, : freedoms.shape] if best is None else best
    pivots = linalg.qr(space.T, mode="r", pivoting=True)[1][: freedoms.shape]
    alone = space @ np.linalg.inv(space[pivots])
    alone[np.abs(alone) < _NOTHING] = 0.0
    moved = alone.T.reshape(-1, n, 2)
    return np.asarray(moved / np.hypot(moved[..., 0], moved[..., 1]).max(axis=1)[:, None, None])


def _held(points: FloatArray, freedoms: Freedoms, anchor: int) -> FloatArray | None:
    """Open movements less turning and growing: the line to one joint keeps its place."""
    space = freedoms.space
    arm = points[anchor] - points.mean(axis=0)
    if np.hypot(*arm) < 0.05:
        return None
    rows = []
    rigid = []
    if freedoms.rotation:
        rows.append(np.array([-arm[1], arm[0]]) @ _at(space, anchor))
        rigid.append(np.stack([-points[:, 1], points[:, 0]], axis=1).ravel())
    if freedoms.scale:
        rows.append(arm @ _at(space, anchor))
        rigid.append(points.ravel())
    if not rows:
        return space
    _, s, v = np.linalg.svd(np.array(rows))
    if s[-1] < _NOTHING:
        return None
    return np.asarray(space @ v[len(rows) :].T)


def _at(space: FloatArray, joint: int) -> FloatArray:
    return space[2 * joint : 2 * joint + 2]


def _moving(space: FloatArray) -> NDArray[np.bool_]:
    return np.asarray(np.linalg.norm(space.reshape(-1, 2 * space.shape[1]), axis=1) > 1e-6)


def _farthest(points: FloatArray) -> int:
    return int(np.argmax(np.hypot(*(points - points.mean(axis=0)).T)))


def suggest(
    points: FloatArray,
    members: Sequence[tuple[int, int]],
    names: Sequence[str],
    freedoms: Freedoms,
) -> list[Suggestion]:
    """Choose the smallest set of lengths that settles the shape and the scale, best first.

    Each next length is the one that stops most of the movement left by those
    before it: QR factorisation with column pivoting (P. Businger,
    G. H. Golub, Numerische Mathematik 7, 1965).

    Parameters
    ----------
    points, members, names, freedoms
        The truss, and what is open.
    """
    wanted = freedoms.shape + freedoms.scale
    if not wanted:
        return []
    pairs, ease = _candidates(members, len(points))
    ends = np.array(pairs)
    d = points[ends[:, 1]] - points[ends[:, 0]]
    unit = d / np.maximum(np.hypot(*d.T), 1e-12)[:, None]
    space = freedoms.space.reshape(len(points), 2, -1)
    effect = np.einsum("ci,cik->ck", unit, space[ends[:, 1]] - space[ends[:, 0]]) * ease[:, None]
    r, pivots = linalg.qr(effect.T, mode="r", pivoting=True)
    gains = np.abs(np.diag(r))
    chosen = [int(p) for p, g in zip(pivots, gains, strict=False) if g > _NOTHING][:wanted]
    suggestions = []
    for c, gain in zip(chosen, gains, strict=False):
        a, b = (names[j] for j in pairs[c])
        what = f"the member {a}-{b}" if ease[c] == 1 else f"the distance {a}-{b}"
        suggestions.append(
            Suggestion(
                Dimension(kind="length", joints=[a, b]),
                f"Measure {what}.",
                float(min(gain / np.sqrt(2), 1.0)),
            )
        )
    return suggestions


def _candidates(
    members: Sequence[tuple[int, int]], n: int
) -> tuple[list[tuple[int, int]], FloatArray]:
    """Members, then pairs of joints with a neighbour in common (all pairs in a small truss)."""
    direct = {(min(m), max(m)) for m in members}
    around: dict[int, set[int]] = {joint: set() for joint in range(n)}
    for a, b in direct:
        around[a].add(b)
        around[b].add(a)
    if n <= 40:
        others = {(a, b) for a in range(n) for b in range(a + 1, n)}
    else:
        others = {(min(a, b), max(a, b)) for s in around.values() for a in s for b in s if a != b}
    rest = sorted(others - direct)
    ease = np.concatenate([np.ones(len(direct)), np.full(len(rest), _WITHOUT_MEMBER)])
    return sorted(direct) + rest, ease
