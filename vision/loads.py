"""Loads: which joints carry an arrow, and which way it acts, from maps and ink together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from vision.arrows import Strokes, find_strokes, stroke_evidence, turn
from vision.evidence import logit, weighing
from vision.glance import Ink
from vision.joints import value_near
from vision.maps import Maps
from vision.supports import direction_near

__all__ = ["FoundLoad", "find_loads"]

Floats = NDArray[np.float64]

#: Probability from which on a stroke is an arrow, and from which on a second one is.
ARROW_CHANCE, SECOND_CHANCE = 0.6, 0.6
#: Probability from which on the likeliest arrow at a joint is worth a doubt.
MAYBE_CHANCE = 0.2
#: Degrees that two arrows at a joint must be apart, whichever way they point.
APART_DEG = 25.0
#: Heat from which on maps painted from lines tell of a load.
PAINTED_HEAT = 0.3


@dataclass(frozen=True)
class FoundLoad:
    """An arrow at joint `joint`.

    Attributes
    ----------
    joint : int
    direction_deg : float
        Direction in which it acts.
    confidence : float
        Raw evidence 0..1 that it is there, and the load or the reaction that it is taken for.
    reaction : float
        Chance that it is a drawn reaction.
    chance : float
        Chance that it is an arrow at all.
    """

    joint: int
    direction_deg: float
    confidence: float
    reaction: float
    chance: float = 1.0

    @property
    def is_read(self) -> bool:
        """False for an arrow that is less likely than not."""
        return self.chance > ARROW_CHANCE

    @property
    def is_load(self) -> bool:
        """False for an arrow that is a drawn reaction."""
        return self.reaction <= 0.5


@dataclass(frozen=True)
class Arrows:
    """Strokes read both ways: candidates for a load or a reaction.

    Attributes
    ----------
    joint : ndarray of int, shape (n,)
    acts_deg : ndarray, shape (n,)
        Direction in which the arrow would act, 0 to 360.
    length : ndarray, shape (n,)
        In pixels.
    far : ndarray, shape (n, 2)
        End away from the joint, in pixels.
    evidence : ndarray, shape (n, k)
    """

    joint: NDArray[np.intp]
    acts_deg: Floats
    length: Floats
    far: Floats
    evidence: Floats


def find_arrows(maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: Ink) -> Arrows:
    """List all that may be an arrow at a joint, with what speaks for it.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row of the maps.
    members : sequence of (int, int)
    ink : Ink
        Of the picture that the maps show.
    """
    strokes = find_strokes(maps, at, members, ink.seen)
    evidence = stroke_evidence(maps, at, members, ink, strokes)
    return _both_ways(strokes, evidence)


def _both_ways(strokes: Strokes, evidence: Floats) -> Arrows:
    out = strokes.outward_deg
    return Arrows(
        np.repeat(strokes.joint, 2),
        (np.column_stack([out + 180.0, out]) % 360.0).ravel(),
        np.repeat(np.hypot(*(strokes.far - strokes.near).T), 2),
        np.repeat(strokes.far, 2, axis=0),
        evidence.reshape(-1, evidence.shape[-1]),
    )


def find_loads(
    maps: Maps, at: Floats, members: Sequence[tuple[int, int]], ink: Ink
) -> list[FoundLoad]:
    """Read the arrows at each joint that carries a load or a drawn reaction.

    Strokes in the ink that begin at a joint and are no member, and arrows between a head and a
    tail in the maps, are weighed one by one, and a second time in the light of the others:
    loads are mostly parallel and alike, and one stroke belongs to one joint.

    Parameters
    ----------
    maps : Maps
    at : ndarray, shape (n, 2)
        Joints as column and row of the maps.
    members : sequence of (int, int)
    ink : Ink
        Of the picture that the maps show.

    Returns
    -------
    list of FoundLoad
        The arrows that are read, then the likeliest load at each other joint that may have one.
    """
    if not len(at):
        return []
    if maps.source != "network":
        return _painted_loads(maps, at)
    arrows = find_arrows(maps, at, members, ink)
    if not len(arrows.joint):
        return []
    alone = weighing("arrow").chance(arrows.evidence)
    seen = in_company(arrows, alone)
    chance = weighing("arrow_in_company").chance(seen)
    reaction = weighing("reaction").chance(seen)
    chosen = choose(arrows, chance)
    sure = chance * np.maximum(reaction, 1.0 - reaction)
    return [
        FoundLoad(
            int(arrows.joint[k]),
            float(arrows.acts_deg[k]),
            float(sure[k]),
            float(reaction[k]),
            float(chance[k]),
        )
        for k in [*chosen, *_unsure(arrows, np.where(reaction <= 0.5, chance, 0.0), chosen)]
    ]


def in_company(arrows: Arrows, alone: Floats) -> Floats:
    """Evidence of each arrow with what the others, weighed alone, say about it.

    Returns
    -------
    ndarray, shape (n, k + 8)
    """
    apart = arrows.joint[:, None] != arrows.joint[None]
    best = np.zeros(len(alone), dtype=bool)
    for joint in np.unique(arrows.joint):
        here = np.flatnonzero(arrows.joint == joint)
        best[here[np.argmax(alone[here])]] = True
    weight = alone * best * apart
    between = turn(arrows.acts_deg[:, None], arrows.acts_deg[None])
    parallel = weight * (between < 14.0)
    total = weight.sum(axis=1)
    lengths = np.log(np.maximum(arrows.length, 1.0))
    usual = (weight @ lengths) / np.maximum(total, 1e-3)
    gap = np.hypot(*(arrows.far[:, None] - arrows.far[None]).transpose(2, 0, 1))
    line = np.minimum(between, 180.0 - between)
    rivals = [
        ~apart & (line > APART_DEG),
        ~apart & (between > 154.0),
        apart & (between < 26.0) & (gap < 0.3 * arrows.length[:, None]),
    ]
    return np.column_stack(
        [
            arrows.evidence,
            logit(alone),
            1.0 - np.prod(1.0 - 0.9 * parallel, axis=1),
            parallel.sum(axis=1) / (total + 0.3),
            total,
            np.where(total > 0.3, np.clip(lengths - usual, -2.0, 2.0), 0.0),
            *(logit(np.where(rival, alone, 0.0).max(axis=1)) for rival in rivals),
        ]
    )


def choose(arrows: Arrows, chance: Floats) -> list[int]:
    """Pick at most two arrows a joint, the likelier first."""
    chosen: list[int] = []
    for k in np.argsort(-chance).tolist():
        here = [other for other in chosen if arrows.joint[other] == arrows.joint[k]]
        if len(here) > 1 or chance[k] <= (SECOND_CHANCE if here else ARROW_CHANCE):
            continue
        between = turn(arrows.acts_deg[k], arrows.acts_deg[here])
        if np.minimum(between, 180.0 - between).min(initial=180.0) > APART_DEG:
            chosen.append(k)
    return sorted(chosen, key=lambda k: (arrows.joint[k], -chance[k]))


def _unsure(arrows: Arrows, chance: Floats, chosen: list[int]) -> list[int]:
    """The likeliest arrow at each joint where none was chosen."""
    taken = set(arrows.joint[chosen].tolist())
    found: list[int] = []
    for k in np.argsort(-chance).tolist():
        joint = int(arrows.joint[k])
        if chance[k] >= MAYBE_CHANCE and joint not in taken:
            taken.add(joint)
            found.append(k)
    return found


def _painted_loads(maps: Maps, at: Floats) -> list[FoundLoad]:
    """Loads in maps that were painted from arrows already found."""
    heat = value_near(maps["load"], at, 3)
    return [
        FoundLoad(
            int(joint),
            direction_near(maps["load_cos"], maps["load_sin"], maps["load"], at[joint]) % 360.0,
            float(heat[joint]),
            0.0,
        )
        for joint in np.flatnonzero(heat >= PAINTED_HEAT)
    ]
