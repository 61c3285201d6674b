"""The plan of a truss before anybody draws it: joints, bars and where it may be held."""

from __future__ import annotations

import itertools
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

__all__ = ["Hold", "Plan", "crossings", "sound"]

Points = NDArray[np.float64]

#: A joint, the kind of its support (pin or roller) and where the support pushes, in degrees
#: counter-clockwise with y up.
Hold = tuple[int, str, float]


@dataclass
class Plan:
    """Joints (y up, a panel is about one long), bars, and suggestions for the drawer.

    Attributes
    ----------
    joints : list of (x, y)
    bars : list of (a, b)
    runs : list of list of int
        Joints in a row that a hand may pass in one stroke.
    holds : list of Hold
    loaded : list of int
        Joints where loads are likely.
    """

    joints: list[tuple[float, float]] = field(default_factory=list)
    bars: list[tuple[int, int]] = field(default_factory=list)
    runs: list[list[int]] = field(default_factory=list)
    holds: list[Hold] = field(default_factory=list)
    loaded: list[int] = field(default_factory=list)

    def joint(self, x: float, y: float) -> int:
        """Return the joint at a place, a new one where there is none yet."""
        for k, (px, py) in enumerate(self.joints):
            if abs(px - x) < 0.02 and abs(py - y) < 0.02:
                return k
        self.joints.append((float(x), float(y)))
        return len(self.joints) - 1

    def bar(self, a: int, b: int) -> None:
        """Add a bar unless it is there already."""
        if a != b and (a, b) not in self.bars and (b, a) not in self.bars:
            self.bars.append((a, b))

    def row(self, joints: list[int]) -> None:
        """Add bars along joints in a row."""
        kept = [k for k, _ in itertools.groupby(joints)]
        for a, b in itertools.pairwise(kept):
            self.bar(a, b)
        if len(kept) > 2:
            self.runs.append(kept)

    def places(self) -> Points:
        """Joints as an array (n, 2)."""
        return np.array(self.joints, float).reshape(-1, 2)


def crossings(places: Points, bars: list[tuple[int, int]]) -> list[tuple[float, float]]:
    """Points where two bars cross without a joint."""
    found = []
    for (a, b), (c, d) in itertools.combinations(bars, 2):
        if {a, b} & {c, d}:
            continue
        p, r = places[a], places[b] - places[a]
        q, s = places[c], places[d] - places[c]
        det = r[0] * s[1] - r[1] * s[0]
        if abs(det) < 1e-9:
            continue
        t = ((q - p)[0] * s[1] - (q - p)[1] * s[0]) / det
        u = ((q - p)[0] * r[1] - (q - p)[1] * r[0]) / det
        if 0.01 < t < 0.99 and 0.01 < u < 0.99:
            found.append((float(p[0] + t * r[0]), float(p[1] + t * r[1])))
    return found


def sound(plan: Plan) -> bool:
    """Whether joints stand apart, no bar runs past a foreign joint, and all hang together."""
    places, n = plan.places(), len(plan.joints)
    if n < 3 or not 2 <= len(plan.bars) <= 60 or n > 46:
        return False
    apart = np.hypot(*(places[:, None] - places[None]).transpose(2, 0, 1)) + 9 * np.eye(n)
    lengths = [float(np.hypot(*(places[a] - places[b]))) for a, b in plan.bars]
    typical = float(np.median(lengths))
    if apart.min() < 0.3 * typical or min(lengths) < 0.25 * typical:
        return False
    for a, b in plan.bars:
        r = places[b] - places[a]
        rel = places - places[a]
        t = rel @ r / (r @ r)
        off = np.abs(rel[:, 0] * r[1] - rel[:, 1] * r[0]) / np.hypot(*r)
        near = (t > 0.02) & (t < 0.98) & (off < 0.14 * typical)
        near[[a, b]] = False
        if near.any():
            return False
    group = list(range(n))
    for _ in range(n):
        for a, b in plan.bars:
            group[a] = group[b] = min(group[a], group[b])
    return max(group) == 0
