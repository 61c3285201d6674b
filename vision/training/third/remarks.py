"""What people write round a truss: letters, results, titles, questions, pointers."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.training.third.drawn import Drawn
from vision.training.third.letters import print_line, size_of, write, write_near
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import (
    across,
    arrow,
    choose_arrow,
    curve,
    line,
    ring,
    scribble,
    step,
    unit,
    wavered,
)

__all__ = ["draw_axes", "draw_moment", "draw_remarks", "name_joints", "write_block"]

Points = NDArray[np.float64]

OPENINGS = (
    "Find the force in each member", "Determine the reactions at A and B", "Question 3",
    "Q2. For the truss shown find", "Exercise 7", "State tension or compression",
    "Example: method of joints", "Truss of the boathouse roof", "1. Draw the free body",
    "Given: P = 12 kN, L = 3 m", "All members are equal", "Neglect the self weight",
    "Use sections to find the force", "Check by summing at joint D", "Davit bracket, sheet 2",
    "(5 marks)", "Name:", "Problem 4.12", "Footbridge", "Solution", "Slipway gantry",
    "Note: joints are pinned", "The truss carries three loads", "Site sketch - not to scale",
)  # fmt: skip
WORKING = (
    "ΣF_x = 0", "ΣF_y = 0", "ΣM_A = 0", "A_y + B_y = 20", "m + r = 2j", "9 + 3 = 12",
    "B_y = 6.67 kN", "F_{} = 12.5 kN (T)", "-P(2) + B_y(4) = 0", "R_A = P/2", "F_AB = -8 kN",
    "tan θ = 3/4", "θ = 36.9°", "A_x = 0", "= 14.1 kN (C)", "AB = 5 kN", "BC = 0", "CD = 3.2",
    "so F = 2P/3", "2j = m + 3", "F sin 45° = 10", "N = 4.2 (C)",
)  # fmt: skip
POINTERS = ("pin", "roller", "cut here", "zero force", "max!", "joint C", "see b)", "steel", "why?",
            "check", "wall", "plate 10 mm", "2 L 50x50", "rope", "hinge")  # fmt: skip


def name_joints(sheet: Sheet, drawn: Drawn) -> None:
    """Write letters or numbers beside the joints, ringed at times."""
    rng = sheet.rng
    names = (
        [str(k + 1) for k in range(60)]
        if sheet.chance(0.25)
        else list("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
    )
    if sheet.chance(0.12):
        names = [n.lower() for n in names]
    if sheet.chance(0.06):
        names = [f"L_{k}" if k % 2 else f"U_{k}" for k in range(40)]
    ringed = sheet.chance(0.13)
    if any(joint["label"] for joint in sheet.truth["joints"]):
        return
    order = np.lexsort((drawn.at[:, 0], np.round(-drawn.at[:, 1] / 60)))
    light = sheet.chance(0.6)
    high = sheet.hand.letter * sheet.unit * rng.uniform(0.85, 1.2)
    high = min(high, 0.45 * drawn.panel)
    if ringed:
        high = min(high, 0.25 * drawn.panel)
    reach = sheet.unit * rng.uniform(3, 9)
    for k, joint in enumerate(order[:26]):
        if sheet.chance(0.03):
            continue
        name = names[k]
        out = drawn.outward(int(joint))
        if not ringed:
            box = write_near(sheet, name, drawn.at[joint], high, out, reach, light=light)
        else:
            box = write_near(sheet, name, drawn.at[joint], 0.85 * high, out, reach + 0.5 * high)
            if box is not None:
                radius = 0.85 * high + 0.25 * float(np.ptp(box[:, 0]))
                ring(sheet, box.mean(axis=0), radius, light=True, wide=0.8)
        if box is not None:
            sheet.truth["joints"][int(joint)]["label"] = name


def _along_members(sheet: Sheet, drawn: Drawn) -> None:
    """Write results or numbers at the members."""
    rng = sheet.rng
    numbers = sheet.chance(0.45)
    ringed = numbers and sheet.chance(0.4)
    high = min(0.8 * sheet.hand.letter * sheet.unit, 0.3 * drawn.panel)
    share = rng.uniform(0.3, 1.0)
    for k, (a, b) in enumerate(drawn.plan.bars[:24]):
        if rng.random() > share:
            continue
        p, q = drawn.at[a], drawn.at[b]
        u = unit(q - p)
        turn = float((np.degrees(np.arctan2(-u[1], u[0])) + 90) % 180 - 90)
        side = across(u) * (-1 if across(u)[1] > 0 else 1)
        sense = str(rng.choice(["(T)", "(C)", "T", "C", "", " kN"]))
        text = str(k + 1) if numbers else f"{rng.uniform(0, 60):.{rng.integers(0, 3)}f}{sense}"
        if sheet.chance(0.06):
            text = "0"
        if size_of(text, high)[0] > 0.75 * np.hypot(*(q - p)):
            continue
        mid = 0.5 * (p + q) + 0.95 * high * side
        if numbers and not ringed and sheet.chance(0.5):
            turn = 0.0
        box = write(sheet, text, mid, high, turn_deg=turn)
        if ringed and box is not None:
            ring(sheet, box.mean(axis=0), 0.9 * high, light=True, wide=0.7)
    if sheet.chance(0.15):
        _force_pairs(sheet, drawn)


def _force_pairs(sheet: Sheet, drawn: Drawn) -> None:
    """Draw small arrow heads on members: pull or push."""
    size = 8 * sheet.unit
    for a, b in drawn.plan.bars[:20]:
        p, q = drawn.at[a], drawn.at[b]
        u = unit(q - p)
        sign = float(sheet.rng.choice([-1, 1]))
        for place, way in ((p + 0.25 * (q - p), sign * u), (q - 0.25 * (q - p), -sign * u)):
            side = 0.5 * size * across(way)
            sheet.ink([place - size * way + side, place, place - size * way - side], light=True)


def draw_axes(sheet: Sheet, at: Points, long: float) -> None:
    """Draw a pair of axes with their names."""
    rng = sheet.rng
    look = choose_arrow(rng, 9 * sheet.unit, plain=True)
    turn = rng.choice([0.0, 0.0, rng.normal(0, 0.2)])
    for name, a in (("x", turn), ("y", turn - np.pi / 2)):
        u = np.array([np.cos(a), np.sin(a)])
        tip = at + long * u
        if min(tip.min(), at.min()) < 5 or max(tip.max(), at.max()) > sheet.side - 6:
            return
        arrow(sheet, at - rng.choice([0, 0.2]) * long * u, tip, look, light=True)
        write_near(sheet, name, tip, 0.9 * sheet.hand.letter * sheet.unit, u, 3 * sheet.unit)


def draw_moment(sheet: Sheet, at: Points, radius: float) -> None:
    """Draw a curved arrow round a place: a moment, or a sense of turning."""
    rng = sheet.rng
    begin, sweep = rng.uniform(0, 6.3), rng.uniform(2.5, 5) * rng.choice([-1, 1])
    t = begin + np.linspace(0, sweep, 20)
    arc = at + radius * np.stack([np.cos(t), np.sin(t)], axis=1)
    if arc.min() < 4 or arc.max() > sheet.side - 5:
        return
    curve(sheet, arc, light=True)
    u = unit(arc[-1] - arc[-3])
    head = 8 * sheet.unit
    for sign in (-1, 1):
        sheet.ink([arc[-1] - head * u + sign * 0.5 * head * across(u), arc[-1]], light=True)
    if sheet.chance(0.6):
        name = str(rng.choice(["M", "+", "M_A", "8 kNm"]))
        high = sheet.hand.letter * sheet.unit
        write_near(sheet, name, at, high, np.array([1.0, -0.5]), radius + 3)


def write_block(
    sheet: Sheet,
    lines: list[str],
    corner: Points,
    high: float,
    *,
    underline: bool = False,
    printed: bool = False,
) -> Points | None:
    """Write lines from a corner down, where the sheet is free; return their frame."""
    rng = sheet.rng
    y = corner[1] + high
    right = corner[0]
    written = 0
    slope = rng.normal(0, 1.5) * sheet.hand.sloppy
    for text in lines:
        long = size_of(text, high)[0] * 1.25
        start = np.array([corner[0] + rng.normal(0, 3 * sheet.hand.sloppy), y])
        box = np.array([start + step(0, -high), start + step(long, 0.2 * high)])
        if sheet.busy(box) > 0.01:
            break
        done = (
            print_line(sheet, text, start, high)
            if printed
            else write(sheet, text, start, high, left=True, turn_deg=slope)
        )
        if done is None:
            break
        if underline and written == 0:
            line(
                sheet,
                start + step(0, 0.5 * high),
                start + step(long, 0.5 * high),
                light=True,
                wide=0.8,
            )
        written += 1
        right = max(right, start[0] + long)
        y += high * rng.uniform(1.6, 2.1)
    if not written:
        return None
    return np.array([corner, [right, y - 0.9 * high]])


def _working(sheet: Sheet) -> None:
    """Write a few lines of working in a free corner, its last framed at times."""
    rng = sheet.rng
    count = int(rng.integers(1, 7))
    lines = [str(rng.choice(WORKING)).replace("{}", "C") for _ in range(count)]
    high = sheet.hand.letter * sheet.unit * rng.uniform(0.75, 1.05)
    for _ in range(6):
        corner = rng.uniform(0.04, 0.8, 2) * sheet.side
        frame = np.array([corner, corner + step(8 * high, 1.5 * high)])
        if sheet.busy(frame) > 0:
            continue
        done = write_block(sheet, lines, corner, high)
        if done is not None and sheet.chance(0.25):
            (x0, y0), (x1, y1) = done + np.array([[-6, -4], [6, 5]])
            rim = np.array([[x0, y0], [x1, y0], [x1, y1], [x0, y1]])
            for a, b in zip(rim, np.roll(rim, -1, axis=0), strict=True):
                line(sheet, a, b, light=True, wide=0.8)
        return


def _pointer(sheet: Sheet, drawn: Drawn) -> None:
    """Write a note with an arrow that points at something: never a load."""
    rng = sheet.rng
    aim = drawn.at[int(rng.integers(len(drawn.at)))]
    if sheet.chance(0.6):
        a, b = drawn.plan.bars[int(rng.integers(len(drawn.plan.bars)))]
        aim = drawn.at[a] + rng.uniform(0.3, 0.7) * (drawn.at[b] - drawn.at[a])
    for _ in range(5):
        turn = rng.uniform(0, 6.3)
        u = np.array([np.cos(turn), np.sin(turn)])
        tail = aim + u * rng.uniform(50, 150) * sheet.unit
        if sheet.busy(np.array([tail - 25, tail + 25])) > 0:
            continue
        head = aim + rng.uniform(4, 14) * sheet.unit * u
        high = sheet.hand.letter * sheet.unit * 0.9
        if write_near(sheet, str(rng.choice(POINTERS)), tail, high, u, 4 * sheet.unit) is None:
            return
        t = np.linspace(0, 1, 10)[:, None]
        bend = rng.normal(0, 0.22) * float(np.hypot(*(head - tail)))
        path = tail + t * (head - tail) + bend * np.sin(np.pi * t) * across(head - tail)
        curve(sheet, path, light=True, wide=0.85)
        tip = unit(path[-1] - path[-2])
        size = rng.uniform(6, 11) * sheet.unit
        if sheet.chance(0.8):
            for sign in (-1, 1):
                sheet.ink(
                    [path[-1] - size * tip + sign * 0.45 * size * across(tip), path[-1]], light=True
                )
        return


def draw_remarks(sheet: Sheet, drawn: Drawn) -> None:
    """Write and draw what stands round a truss."""
    rng, side = sheet.rng, sheet.side
    high = sheet.hand.letter * sheet.unit
    if sheet.chance(0.6):
        name_joints(sheet, drawn)
    if sheet.chance(0.2):
        _along_members(sheet, drawn)
    if sheet.chance(0.3):
        lines = [str(w) for w in rng.choice(OPENINGS, int(rng.integers(1, 5)))]
        corner = np.array([rng.uniform(0.03, 0.3), rng.uniform(0.02, 0.08)]) * side
        high *= rng.uniform(0.7, 1.3)
        printed = sheet.chance(0.3)
        write_block(sheet, lines, corner, high, underline=sheet.chance(0.4), printed=printed)
    if sheet.chance(0.3):
        _working(sheet)
    for _ in range(int(rng.choice([0, 0, 0, 1, 1, 2]))):
        _pointer(sheet, drawn)
    if sheet.chance(0.1):
        draw_axes(sheet, rng.uniform(0.06, 0.9, 2) * side, rng.uniform(30, 80) * sheet.unit)
    if sheet.chance(0.06):
        joint = drawn.at[int(rng.integers(len(drawn.at)))]
        draw_moment(sheet, joint + rng.normal(0, 30, 2), rng.uniform(14, 40) * sheet.unit)
    if sheet.chance(0.05):
        a = rng.uniform(0.1, 0.85, 2) * side
        b = a + rng.normal(0, 60, 2) * sheet.unit
        box = np.array([np.minimum(a, b) - 10, np.maximum(a, b) + 10])
        if sheet.busy(box) == 0:
            scribble(sheet, a, b, rng.uniform(4, 10), light=True)
    if sheet.chance(0.04):
        c = np.array([[0.03, 0.03], [0.97, 0.03], [0.97, 0.97], [0.03, 0.97]]) * side
        for a, b in zip(c, np.roll(c, -1, axis=0), strict=True):
            sheet.ink(wavered(sheet, a, b), light=True, wide=0.8)
