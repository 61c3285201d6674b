"""Dimensions beside a truss: lines with their ends, angles, slopes, cuts."""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

from vision.training.third.drawn import Drawn
from vision.training.third.letters import size_of, write, write_near
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import (
    Arrow,
    across,
    arrow,
    choose_arrow,
    curve,
    dashes,
    line,
    step,
    unit,
)

__all__ = ["dimension", "draw_measures", "draw_section", "length_text"]

Points = NDArray[np.float64]

#: Most polylines that a sheet's dimensions take.
LINES = 110


def _note(sheet: Sheet, points: Points) -> None:
    sheet.truth["dimension_lines"].append(np.asarray(points, float).tolist())


def length_text(rng: np.random.Generator) -> str:
    """Return a length as somebody writes it."""
    way = int(rng.integers(7))
    if way == 0:
        return f"{rng.integers(2, 30)}'"
    if way == 1:
        return f"{rng.integers(2, 20)}'-{rng.integers(0, 12)}\""
    if way == 2:
        return str(rng.choice(["a", "L", "h", "2a", "L/2", "b", "d", "3a"]))
    value = (
        f"{rng.choice([rng.integers(1, 9), rng.integers(2, 25) / 2, rng.integers(10, 99) / 10]):g}"
    )
    return value + ["", " m", "m", " ft"][way - 3]


def dimension(
    sheet: Sheet, a: Points, b: Points, off: Points, style: str, look: Arrow, extend: str, text: str
) -> bool:
    """Draw one dimension line and list it; return False where there is no room.

    Parameters
    ----------
    a, b : ndarray, shape (2,)
        What is measured.
    off : ndarray, shape (2,)
        The line is carried off from a-b by this step.
    style : str
        Ends: ``"arrows"``, ``"ticks"``, ``"dots"`` or ``"bars"``.
    extend : str
        Extension lines: ``"joint"``, ``"gap"``, ``"short"`` or ``"none"``.
    """
    p, q = a + off, b + off
    side = sheet.side
    if min(p.min(), q.min()) < 4 or max(p.max(), q.max()) > side - 5:
        return False
    if len(sheet.truth["dimension_lines"]) > LINES:
        return False
    u, w = unit(q - p), unit(off)
    rng = sheet.rng
    if extend != "none":
        lead = 0.0 if extend == "joint" else min(9 * sheet.unit, 0.4 * float(np.hypot(*off)))
        lead = lead if extend != "short" else max(float(np.hypot(*off)) - 9 * sheet.unit, 0.0)
        past = rng.uniform(2, 7) * sheet.unit
        for start, end in ((a, p), (b, q)):
            _note(
                sheet, line(sheet, start + lead * w, end + past * w, light=True, wide=0.85)[[0, -1]]
            )
    if style == "arrows":
        shaft = arrow(sheet, p, q, look, light=True, wide=0.85, both=True)
    else:
        past = rng.uniform(0, 6) * sheet.unit if style == "ticks" else 0.0
        shaft = line(sheet, p - past * u, q + past * u, light=True, wide=0.85)
        for end in (p, q):
            if style == "ticks":
                slash = 4.5 * sheet.unit * unit(u - across(u))
                line(sheet, end - slash, end + slash, light=True)
            elif style == "dots":
                t = np.linspace(0, 2 * np.pi, 8)
                sheet.fill(end + 3 * sheet.unit * np.stack([np.cos(t), np.sin(t)], 1), light=True)
            else:
                bar = 5 * sheet.unit * across(u)
                line(sheet, end - bar, end + bar, light=True)
    middle = shaft[len(shaft) // 3 : -1 : max(2, len(shaft) // 3)]
    _note(sheet, np.concatenate([[p], middle, [q]]))
    turn = float(np.degrees(np.arctan2(-u[1], u[0])))
    turn = (turn + 90) % 180 - 90
    high = sheet.hand.letter * sheet.unit
    mid = 0.5 * (p + q)
    room = 0.95 * float(np.hypot(*(q - p))) / size_of(text, high)[0]
    turned = abs(u[1]) < 0.4 or rng.random() < 0.55
    if turned and room < 1:
        high *= room
    if room < 0.6 or np.hypot(*(q - p)) < 1.1 * high:
        return True
    if turned:
        if rng.random() < 0.25:
            write(sheet, text, mid, high, turn_deg=turn, wipe=True)
        else:
            lift = -0.85 * high * (across(u) if across(u)[1] > 0 else -across(u))
            write(sheet, text, mid + lift, high, turn_deg=turn)
    else:
        write_near(sheet, text, mid, high, w, 3 * sheet.unit)
    return True


def draw_measures(sheet: Sheet, drawn: Drawn) -> None:
    """Draw chains of dimensions, angles and slopes beside a truss."""
    rng, at = sheet.rng, drawn.at
    style = str(rng.choice(["arrows", "ticks", "dots", "bars"], p=[0.55, 0.23, 0.08, 0.14]))
    look = choose_arrow(
        rng, float(rng.uniform(6, 12)) * sheet.unit + sheet.hand.light_width, plain=True
    )
    extend = str(rng.choice(["joint", "gap", "short", "none"], p=[0.2, 0.35, 0.25, 0.2]))
    low, high = at.min(axis=0), at.max(axis=0)
    away = sheet.unit * rng.uniform(26, 80)
    if sheet.chance(0.55):
        xs = _levels(at[:, 0], 0.3 * drawn.panel)
        below = sheet.chance(0.75)
        if below and sheet.chance(0.75):
            away = max(away, drawn.foot + 10 * sheet.unit)
        y = high[1] if below else low[1]
        off = np.array([0.0, away if below else -away])
        text = length_text(rng)
        same = sheet.chance(0.6)
        if len(xs) > 1 and sheet.chance(0.7):
            for p, q in itertools.pairwise(xs[:14]):
                shown = text if same else length_text(rng)
                ends = np.array([p, y]), np.array([q, y])
                dimension(sheet, *ends, off, style, look, extend, shown)
            off = off * (1 + 30 * sheet.unit / away)
        if sheet.chance(0.5):
            ends = np.array([low[0], y]), np.array([high[0], y])
            dimension(sheet, *ends, off, style, look, extend, length_text(rng))
    if sheet.chance(0.45):
        right = sheet.chance(0.5)
        x = high[0] if right else low[0]
        off = np.array([away if right else -away, 0.0])
        ys = _levels(at[:, 1], 0.3 * drawn.panel)
        ys = ys if sheet.chance(0.6) else [ys[0], ys[-1]]
        for p, q in itertools.pairwise(ys[:7]):
            if q - p > 12 * sheet.unit:
                ends = np.array([x, p]), np.array([x, q])
                dimension(sheet, *ends, off, style, look, extend, length_text(rng))
    if sheet.chance(0.1):
        a, b = drawn.plan.bars[int(rng.integers(len(drawn.plan.bars)))]
        off = 16 * sheet.unit * across(at[b] - at[a])
        dimension(sheet, at[a], at[b], off, style, look, "none", length_text(rng))
    if sheet.chance(0.25):
        for _ in range(int(rng.integers(1, 4))):
            _angle(sheet, drawn)
    if sheet.chance(0.12):
        a, b = drawn.plan.bars[int(rng.integers(len(drawn.plan.bars)))]
        _slope(sheet, at[a], at[b])
    for load in sheet.truth["loads"]:
        tail, head = np.array(load["tail"]), np.array(load["head"])
        if sheet.chance(0.25):
            _slope(sheet, tail, head)
        elif sheet.chance(0.25):
            _lean(sheet, tail, head)


def _levels(values: Points, apart: float) -> list[float]:
    """Sorted values that stand at least so far apart, both ends kept."""
    kept: list[float] = []
    for v in np.sort(values):
        if not kept or v - kept[-1] > apart:
            kept.append(float(v))
    return kept


def _angle(sheet: Sheet, drawn: Drawn) -> None:
    """Draw an arc between two neighbouring members of a joint."""
    rng = sheet.rng
    joint = int(rng.integers(len(drawn.at)))
    turns = np.sort([np.arctan2(w[1], w[0]) for w in drawn.ways(joint)])
    if len(turns) < 2:
        return
    k = int(rng.integers(len(turns) - 1))
    a, b = float(turns[k]), float(turns[k + 1])
    if not 0.25 < b - a < 2.2:
        return
    radius = float(np.clip(drawn.panel * rng.uniform(0.2, 0.42), 12 * sheet.unit, 60 * sheet.unit))
    t = np.linspace(a, b, 8)
    arc = drawn.at[joint] + radius * np.stack([np.cos(t), np.sin(t)], axis=1)
    if arc.min() < 3 or arc.max() > sheet.side - 4:
        return
    curve(sheet, arc, light=True, wide=0.85)
    if sheet.chance(0.2):
        u = unit(arc[-1] - arc[-2])
        tip = 6 * sheet.unit
        sheet.ink([arc[-1] - tip * u + 0.5 * tip * across(u), arc[-1],
                   arc[-1] - tip * u - 0.5 * tip * across(u)], light=True, wide=0.85)  # fmt: skip
    _note(sheet, arc[[0, 2, 5, 7]])
    mid = 0.5 * (a + b)
    out = np.array([np.cos(mid), np.sin(mid)])
    text = str(rng.choice(["30°", "45°", "60°", "θ", "α", f"{rng.integers(15, 85)}°", "53.1°"]))
    write_near(sheet, text, drawn.at[joint] + radius * out, 0.85 * sheet.hand.letter * sheet.unit,
               out, 3 * sheet.unit)  # fmt: skip


def _lean(sheet: Sheet, tail: Points, head: Points) -> None:
    """Draw the angle of a slanting arrow against a dashed level or plumb line at its tail."""
    rng = sheet.rng
    u = unit(head - tail)
    if min(abs(u)) < 0.25:
        return
    long = float(np.hypot(*(head - tail))) * rng.uniform(0.6, 0.9)
    base = np.array([np.sign(u[0]), 0.0]) if rng.random() < 0.5 else np.array([0.0, np.sign(u[1])])
    end = tail + long * base
    if end.min() < 4 or end.max() > sheet.side - 5:
        return
    dashes(sheet, np.array([tail, end]), 6 * sheet.unit, 4 * sheet.unit, light=True, wide=0.8)
    _note(sheet, np.array([tail, end]))
    ways = base + np.linspace(0.05, 0.95, 7)[:, None] * (u - base)
    ways /= np.hypot(ways[:, 0], ways[:, 1])[:, None]
    arc = tail + 0.6 * long * ways
    curve(sheet, arc, light=True, wide=0.85)
    _note(sheet, arc[[0, 3, 6]])
    text = str(rng.choice(["30°", "45°", "60°", "θ", f"{rng.integers(15, 80)}°"]))
    high = 0.8 * sheet.hand.letter * sheet.unit
    write_near(sheet, text, arc[3], high, ways[3], 3 * sheet.unit)


def _slope(sheet: Sheet, p: Points, q: Points) -> None:
    """Draw a slope triangle against a slanting member or arrow from p to q."""
    rng = sheet.rng
    u = unit(q - p)
    if min(abs(u)) < 0.2:
        return
    small = float(np.clip(0.28 * np.hypot(*(q - p)), 14 * sheet.unit, 55 * sheet.unit))
    off = sheet.unit * rng.uniform(4, 12) * across(u) * rng.choice([-1, 1])
    start = p + rng.uniform(0.3, 0.6) * (q - p) + off
    end = start + small * u
    corner = np.array([end[0], start[1]]) if rng.random() < 0.5 else np.array([start[0], end[1]])
    if min(start.min(), end.min()) < 5 or max(start.max(), end.max()) > sheet.side - 6:
        return
    legs = [start, corner, end]
    for one, two in itertools.pairwise(legs):
        line(sheet, one, two, light=True, wide=0.8)
    if rng.random() < 0.6:
        line(sheet, start, end, light=True, wide=0.8)
        legs.append(start)
    _note(sheet, np.array(legs))
    run, rise = rng.choice([(4, 3), (3, 4), (1, 1), (2, 1), (12, 5), (1, 2), (3, 2)])
    for one, two, n in ((start, corner, run), (corner, end, rise)):
        mid = 0.5 * (one + two)
        write_near(sheet, str(n), mid, 0.75 * sheet.hand.letter * sheet.unit,
                   unit(mid - (start + end) / 2), 3 * sheet.unit)  # fmt: skip


def draw_section(sheet: Sheet, drawn: Drawn) -> None:
    """Draw a section cut across the truss, dashed or wavy, with its name."""
    rng, at = sheet.rng, drawn.at
    low, high = at.min(axis=0), at.max(axis=0)
    x = rng.uniform(low[0] + 0.2 * (high[0] - low[0]), high[0] - 0.2 * (high[0] - low[0]))
    past = rng.uniform(12, 40) * sheet.unit
    top, foot = np.array([x, low[1] - past]), np.array([x + rng.normal(0, 8), high[1] + past])
    if top[1] < 8 or foot[1] > sheet.side - 9:
        return
    t = np.linspace(0, 1, 25)[:, None]
    cut = top + t * (foot - top)
    if rng.random() < 0.5:
        cut = cut + np.array([1.0, 0.0]) * rng.uniform(4, 12) * sheet.unit * np.sin(
            6.3 * t * rng.uniform(0.8, 2)
        )
    if rng.random() < 0.65:
        dashes(sheet, cut, 10 * sheet.unit, 6 * sheet.unit, light=True)
    else:
        curve(sheet, cut, light=True)
    _note(sheet, cut[::6])
    name = str(rng.choice(["a", "1", "m", "S", "I"]))
    for end in (top, foot):
        if rng.random() < 0.8:
            write_near(
                sheet,
                name,
                end,
                sheet.hand.letter * sheet.unit,
                unit(end - cut[12]),
                3 * sheet.unit,
            )
    if rng.random() < 0.3:
        look = choose_arrow(rng, 8 * sheet.unit, plain=True)
        arrow(sheet, top, top + step(22 * sheet.unit, 0), look, light=True)
