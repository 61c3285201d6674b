"""A plan put on the sheet: its members and joints in ink."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from vision.training.third.letters import write
from vision.training.third.plan import Plan, crossings
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import across, dashes, line, ring, scribble, unit, wavered

__all__ = ["Drawn", "draw_joints", "draw_members", "place"]

Points = NDArray[np.float64]


@dataclass
class Drawn:
    """A truss on its sheet.

    Attributes
    ----------
    plan : Plan
    at : ndarray, shape (n, 2)
        Joints in pixels of the sheet.
    panel : float
        Median length of a member in pixels.
    foot : float
        How deep the supports reach below their joints, in pixels.
    """

    plan: Plan
    at: Points
    panel: float
    foot: float = 0.0

    def ways(self, joint: int) -> list[Points]:
        """Unit vectors of the members that leave a joint."""
        return [
            unit(self.at[b if a == joint else a] - self.at[joint])
            for a, b in self.plan.bars
            if joint in (a, b)
        ]

    def outward(self, joint: int) -> Points:
        """Where there is most room beside a joint, as a unit vector."""
        turns = np.sort([np.arctan2(w[1], w[0]) for w in self.ways(joint)])
        gaps = np.diff(np.concatenate([turns, turns[:1] + 2 * np.pi]))
        k = int(np.argmax(gaps))
        a = turns[k] + gaps[k] / 2
        return np.array([np.cos(a), np.sin(a)])


def place(sheet: Sheet, plan: Plan) -> Drawn:
    """Choose where on the sheet a plan stands and how large."""
    rng, side = sheet.rng, sheet.side
    s = sheet.hand.sloppy
    p = plan.places() * [1, -1] * [1.0, np.exp(rng.normal(0, 0.15))]
    tilt = np.radians(rng.normal(0, 0.6 + 3.0 * s))
    turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]])
    p = p @ turn.T
    low, high = p.min(axis=0), p.max(axis=0)
    wide, tall = np.maximum(high - low, 0.2)
    scale = side * float(np.clip(rng.normal(0.6, 0.2), 0.2, 0.93)) / wide
    lengths = [float(np.hypot(*(p[a] - p[b]))) for a, b in plan.bars]
    median = float(np.median(lengths))
    scale = max(scale, 26 * sheet.unit / median)
    scale = min(scale, 0.93 * side / wide, rng.uniform(0.45, 0.82) * side / tall)
    scale = min(scale, rng.uniform(0.3, 0.6) * side / median)
    size = scale * np.array([wide, tall])
    room = np.maximum(side * 0.94 - size, 0)
    rim = np.minimum(0.5 * room, rng.uniform(0.02, 0.1) * side)
    share = np.clip(rng.normal(0.5, 0.25, 2), 0, 1)
    corner = 0.03 * side + rim + (room - 2 * rim) * share
    if rng.random() < 0.06:
        axis = int(rng.integers(2))
        over = rng.uniform(0.05, 0.3) * size[axis]
        corner[axis] = -over if rng.random() < 0.5 else side - size[axis] + over
    at = corner + scale * (p - low)
    at = (
        at
        + rng.normal(0, 1, at.shape) * (0.2 + 5.5 * s * min(1.0, scale * median / 90)) * sheet.unit
    )
    return Drawn(plan, at, scale * median)


def _straight_runs(drawn: Drawn) -> list[list[int]]:
    """Split the plan's runs where they bend."""
    found = []
    for run in drawn.plan.runs:
        part = run[:2]
        for k in run[2:]:
            u = unit(drawn.at[part[-1]] - drawn.at[part[0]])
            v = unit(drawn.at[k] - drawn.at[part[-1]])
            if u @ v > 0.995:
                part.append(k)
            else:
                found.append(part)
                part = [part[-1], k]
        found.append(part)
    return [part for part in found if len(part) > 2]


def _long_strokes(sheet: Sheet, drawn: Drawn) -> dict[tuple[int, int], Points]:
    """Draw rows of members in one stroke each; return each member's share of its stroke.

    Joints within the stroke move onto it.
    """
    have = {frozenset(bar) for bar in drawn.plan.bars}
    shares: dict[tuple[int, int], Points] = {}
    for run in _straight_runs(drawn):
        pairs = list(itertools.pairwise(run))
        if any(frozenset(p) not in have for p in pairs) or sheet.chance(0.12):
            continue
        a, b = drawn.at[run[0]], drawn.at[run[-1]]
        stroke = wavered(sheet, a, b, 0.7)
        if len(stroke) == 2:
            stroke = a + np.linspace(0, 1, 12)[:, None] * (b - a)
        length = (b - a) @ (b - a)
        t = (stroke - a) @ (b - a) / length
        where = [float((drawn.at[k] - a) @ (b - a) / length) for k in run]
        for k, tk in zip(run[1:-1], where[1:-1], strict=True):
            drawn.at[k] = [np.interp(tk, t, stroke[:, 0]), np.interp(tk, t, stroke[:, 1])]
        for (p, q), (tp, tq) in zip(pairs, itertools.pairwise(where), strict=True):
            inner = stroke[(t > tp + 1e-6) & (t < tq - 1e-6)]
            if len(inner) > 3:
                inner = inner[:: max(1, len(inner) // 3)]
            shares[(p, q)] = np.concatenate([[drawn.at[p]], inner, [drawn.at[q]]])
        _lay(sheet, stroke)
    return shares


def _lay(sheet: Sheet, points: Points, wide: float = 1.0) -> None:
    """Put one stroke of a member on the sheet, past its ends or short of them."""
    hand, rng = sheet.hand, sheet.rng
    u, v = unit(points[1] - points[0]), unit(points[-1] - points[-2])
    beyond = hand.beyond * sheet.unit * rng.uniform(0, 2, 2)
    length = float(np.hypot(*(points[-1] - points[0])))
    beyond = np.clip(beyond, -0.1 * length, 0.2 * length)
    ends = rng.normal(0, hand.ends * sheet.unit, (2, 2)) * min(1.0, length / (50 * sheet.unit))
    moved = points.copy()
    t = np.linspace(0, 1, len(points))[:, None]
    moved = moved + (1 - t) * (ends[0] - beyond[0] * u) + t * (ends[1] + beyond[1] * v)
    sheet.ink_pressed(moved, wide=wide)
    if sheet.chance(hand.again):
        slip = rng.normal(0, 1.3, 2) * sheet.unit
        part = moved if sheet.chance(0.6) else moved[: max(2, int(0.7 * len(moved)))]
        sheet.ink(part + slip, wide=wide * rng.uniform(0.8, 1.4))


def draw_members(sheet: Sheet, drawn: Drawn) -> None:
    """Draw all members and list them, their joints and their crossings as truth."""
    rng, plan, truth = sheet.rng, drawn.plan, sheet.truth
    double = sheet.chance(0.07) and drawn.panel > 40 * sheet.unit
    capped = double and sheet.chance(0.3)
    only_runs = double and sheet.chance(0.3)
    apart = sheet.unit * rng.uniform(1.8, 4.5) * np.clip(drawn.panel / (80 * sheet.unit), 0.8, 1.6)
    shares = {}
    if not double and sheet.chance(0.7):
        shares = _long_strokes(sheet, drawn)
    in_runs = {frozenset(p) for run in plan.runs for p in itertools.pairwise(run)}
    dashed_bar = int(rng.integers(len(plan.bars))) if sheet.chance(0.05) else -1
    chord_wide = rng.uniform(1.3, 1.9) if sheet.chance(0.12) else 1.0
    for k, (a, b) in enumerate(plan.bars):
        share = shares.get((a, b), shares.get((b, a), np.zeros((0, 2)))[::-1])
        if not len(share):
            p, q = drawn.at[a], drawn.at[b]
            wide = chord_wide if frozenset((a, b)) in in_runs else 1.0
            stroke = wavered(sheet, p, q)
            if k == dashed_bar:
                dashes(sheet, stroke, 9 * sheet.unit, 5 * sheet.unit)
            elif double and (not only_runs or frozenset((a, b)) in in_runs):
                short = 1.5 * apart * unit(q - p) if capped else np.zeros(2)
                edge = apart * across(q - p)
                for sign in (-1, 1):
                    _lay(sheet, wavered(sheet, p + short, q - short) + sign * edge, 0.8)
                for end in (p + short, q - short) if capped else ():
                    line(sheet, end - edge, end + edge, wide=0.8)
                if sheet.chance(0.15):
                    dashes(sheet, stroke, 10 * sheet.unit, 6 * sheet.unit, light=True, wide=0.6)
            else:
                _lay(sheet, stroke, wide)
            share = stroke[:: max(1, (len(stroke) - 1) // 3)] if len(stroke) > 4 else stroke
        share = np.concatenate([drawn.at[[a]], share[1:-1], drawn.at[[b]]])
        truth["members"].append({"a": int(a), "b": int(b), "line": share.tolist()})
    truth["crossings"] = [[float(x), float(y)] for x, y in crossings(drawn.at, plan.bars)]
    if sheet.chance(0.12 * (0.2 + sheet.hand.sloppy)):
        _slip(sheet, drawn)


def _slip(sheet: Sheet, drawn: Drawn) -> None:
    """Draw a stroke by mistake, struck out or rubbed out."""
    rng = sheet.rng
    a, b = drawn.plan.bars[int(rng.integers(len(drawn.plan.bars)))]
    p, q = drawn.at[a], drawn.at[b]
    end = q + rng.normal(0, 0.25, 2) * drawn.panel
    if sheet.chance(0.5):
        sheet.ink(wavered(sheet, p, end), light=True, shade=rng.uniform(0.12, 0.35))
    else:
        out = drawn.outward(a)
        start = p + 0.3 * drawn.panel * out
        line(sheet, start, start + 0.7 * drawn.panel * out)
        scribble(sheet, start, start + 0.7 * drawn.panel * out, 5 * sheet.unit)


def draw_joints(sheet: Sheet, drawn: Drawn) -> None:
    """Mark the joints by one custom, and list them as truth."""
    rng, at = sheet.rng, drawn.at
    kinds = ["none", "dot", "open", "clear", "filled", "square", "plate", "ends", "lettered"]
    kind = str(rng.choice(kinds, p=[0.29, 0.16, 0.08, 0.23, 0.07, 0.03, 0.06, 0.05, 0.03]))
    r = float(np.clip(drawn.panel * rng.uniform(0.025, 0.085), 2.0 * sheet.unit, 11 * sheet.unit))
    r = max(r, 0.9 * sheet.hand.width * sheet.unit)
    if kind == "lettered":
        r = min(1.05 * sheet.hand.letter * sheet.unit, 0.24 * drawn.panel)
    loose = sheet.hand.sloppy * 1.2 * sheet.unit
    for k in range(len(at)):
        label = ""
        skipped = kind == "none" or (kind == "ends" and len(drawn.ways(k)) > 2)
        if not skipped and not sheet.chance(0.04 * sheet.hand.sloppy):
            centre = at[k] + rng.normal(0, loose, 2)
            if kind == "plate":
                _plate(sheet, drawn, k, 2.6 * r)
            else:
                _mark(sheet, centre, r * rng.uniform(0.85, 1.15), kind)
            if kind == "lettered" and k < 26:
                label = chr(65 + k)
                write(sheet, label, centre, 0.95 * r, light=False)
        truth = {"x": float(at[k, 0]), "y": float(at[k, 1]), "label": label}
        sheet.truth["joints"].append(truth)


def _mark(sheet: Sheet, centre: Points, radius: float, kind: str) -> None:
    """Mark one joint by a dot, a ring or a square."""
    if kind in ("dot", "filled", "ends"):
        a = np.linspace(0, 2 * np.pi, 12)
        size = radius * (0.75 if kind == "dot" else 1.2)
        sheet.fill(centre + size * np.stack([np.cos(a), np.sin(a)], axis=1))
    elif kind == "square":
        box = centre + radius * np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]])
        sheet.fill(box, 0.0)
        sheet.ink(box, closed=True, wide=0.8)
    else:
        outline = ring(sheet, centre, 1.25 * radius, wide=0.85)
        if kind in ("clear", "lettered"):
            sheet.fill(outline, 0.0)
            sheet.ink(outline, wide=0.85)


def _plate(sheet: Sheet, drawn: Drawn, joint: int, reach: float) -> None:
    """Draw a gusset plate over a joint."""
    rng = sheet.rng
    corners = []
    for way in drawn.ways(joint):
        tip = drawn.at[joint] + reach * rng.uniform(0.9, 1.3) * way
        corners += [tip + 0.35 * reach * across(way), tip - 0.35 * reach * across(way)]
    hull = cv2.convexHull(np.array(corners, np.float32)).reshape(-1, 2).astype(float)
    look = rng.random()
    if look < 0.3:
        sheet.fill(hull, rng.uniform(0.15, 0.4), light=True)
    elif look < 0.6:
        sheet.fill(hull, 0.0)
    sheet.ink(hull, closed=True, wide=0.8)
    if look > 0.45:
        for way in drawn.ways(joint):
            sheet.ink(
                [
                    drawn.at[joint] + 0.6 * reach * way - 0.7,
                    drawn.at[joint] + 0.6 * reach * way + 0.7,
                ]
            )
