"""Loads and reactions as arrows, and supports where a plan wants them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from vision.training.third.drawn import Drawn
from vision.training.third.holding import PINS, ROLLERS, draw_shared_ground, draw_support
from vision.training.third.letters import write_near
from vision.training.third.sheet import Sheet
from vision.training.third.strokes import Arrow, across, arrow, choose_arrow, line, step, unit
from vision.training.truth import direction_deg

__all__ = ["draw_loads", "draw_supports"]

Points = NDArray[np.float64]


def _way(degrees: float) -> Points:
    a = np.radians(degrees)
    return np.array([np.cos(a), -np.sin(a)])


def _inside(sheet: Sheet, point: Points) -> bool:
    return bool(point.min() > 3 and point.max() < sheet.side - 4)


def _crowded(sheet: Sheet, a: Points, b: Points) -> float:
    """Share of the way from a to b that runs over ink; more where it leaves the sheet."""
    t = np.linspace(0.3, 1, 16)[:, None]
    points = a + t * (b - a)
    if not (_inside(sheet, points[-1])):
        return 2.0
    cells = np.clip((points * 2).astype(int), 1, 2 * sheet.side - 2)
    inked = (
        sheet.strong[cells[:, 1], cells[:, 0]].astype(int) + sheet.light[cells[:, 1], cells[:, 0]]
    )
    return float(np.mean(inked > 60))


def draw_supports(sheet: Sheet, drawn: Drawn) -> None:
    """Draw the plan's supports, some as reaction arrows instead or besides."""
    rng = sheet.rng
    size = drawn.panel * float(np.clip(rng.lognormal(-1.1, 0.4), 0.15, 0.9))
    size = float(np.clip(size, 9 * sheet.unit, 85 * sheet.unit))
    drawn.foot = 1.4 * size
    pin, roller = str(rng.choice(PINS)), str(rng.choice(ROLLERS))
    if rng.random() < 0.3:
        pin = "triangle"
    if pin == "bare" and roller == "bare":
        pin = "triangle"
    reactions = rng.random()
    instead, beside = reactions < 0.05, 0.05 <= reactions < 0.15
    bare = rng.random() < 0.04
    look = choose_arrow(rng, size_of_head(sheet, drawn), plain=True)
    if not instead and not bare and _share_ground(sheet, drawn, size):
        return
    for joint, kind, angle in drawn.plan.holds:
        if kind == "roller" and rng.random() < 0.13:
            angle += float(rng.choice([30, 45, 60, -30, -45, -60, 90, -90]))
        elif angle == 90 and rng.random() < 0.03:
            angle += float(rng.choice([90, -90, 180]))
        angle = _freest(sheet, drawn, joint, angle, size)
        held = {"joint": int(joint), "kind": kind, "angle_deg": float(angle % 360)}
        own = size * (1 + 0.12 * rng.normal() * sheet.hand.sloppy)
        if not instead and not bare:
            style = pin if kind == "pin" else roller
            if style == "wall" and min(abs(w @ _way(angle)) for w in drawn.ways(joint)) < 0.2:
                style = "triangle"
            lean = rng.normal(0, 4) * sheet.hand.sloppy
            draw_support(sheet, drawn.at[joint], kind, angle + lean, own, style)
            sheet.truth["supports"].append(held)
        if instead or beside:
            _reactions(sheet, drawn, joint, kind, angle, 0.0 if instead else own, look)


def _share_ground(sheet: Sheet, drawn: Drawn, size: float) -> bool:
    """Set supports that stand in a row on one floor or wall, at times."""
    holds = drawn.plan.holds
    angle = holds[0][2]
    joints = drawn.at[[hold[0] for hold in holds]]
    level = np.ptp(joints @ _way(angle))
    alike = all(hold[2] == angle for hold in holds) and level < 0.12 * size
    if not alike or len(holds) < 2 or not sheet.chance(0.18 if angle == 90 else 0.5):
        return False
    for joint, kind, _ in holds:
        draw_support(sheet, drawn.at[joint], kind, angle, size, "shared")
        held = {"joint": int(joint), "kind": kind, "angle_deg": float(angle)}
        sheet.truth["supports"].append(held)
    draw_shared_ground(sheet, joints, angle, size)
    return True


def size_of_head(sheet: Sheet, drawn: Drawn) -> float:
    """Size in pixels of the heads of a sheet's arrows."""
    s = drawn.panel * sheet.rng.uniform(0.07, 0.2)
    return (
        float(np.clip(s, 6.5 * sheet.unit, 20 * sheet.unit)) + 1.2 * sheet.hand.width * sheet.unit
    )


def _freest(sheet: Sheet, drawn: Drawn, joint: int, angle: float, size: float) -> float:
    """Keep a support's side unless members fill it."""
    for turn in (0, 180, 90, -90):
        down = -_way(angle + turn)
        if all(way @ down < 0.75 for way in drawn.ways(joint)):
            return (angle + turn) % 360
    return angle


def _reactions(
    sheet: Sheet, drawn: Drawn, joint: int, kind: str, angle: float, depth: float, look: Arrow
) -> None:
    """Draw a support's reactions as arrows and list them."""
    rng = sheet.rng
    letter = "ABCDE"[min(joint, 4)]
    ways = [(angle, depth * 1.35)]
    if kind == "pin":
        ways.append((angle + 90 * rng.choice([-1, 1]), 0.0))
    for degrees, gap in ways:
        u = _way(degrees)
        long = float(
            np.clip(drawn.panel * rng.uniform(0.35, 0.8), 22 * sheet.unit, 120 * sheet.unit)
        )
        gap = gap + sheet.unit * rng.uniform(1, 7)
        near = drawn.at[joint] - gap * u
        far = near - long * u
        if gap < 10 * sheet.unit and rng.random() < 0.35:
            near, far = drawn.at[joint] + (gap + long) * u, drawn.at[joint] + gap * u
        if not (_inside(sheet, near) and _inside(sheet, far)):
            continue
        shaft = "dashed" if rng.random() < 0.15 else look[3]
        arrow(sheet, far, near, (look[0], look[1], look[2], shaft))
        if rng.random() < 0.15:
            mid = 0.5 * (near + far)
            slash = 5 * sheet.unit * unit(across(u) + 0.5 * u)
            line(sheet, mid - slash, mid + slash)
        axis = "y" if abs(u[1]) > abs(u[0]) else "x"
        name = str(
            rng.choice([f"{letter}_{axis}", f"R_{letter}", f"V_{letter}", f"{letter}_{axis}"])
        )
        value = None
        if rng.random() < 0.3:
            value = float(np.round(rng.uniform(1, 60), 1))
            name = f"{value:g} kN"
        if rng.random() < 0.85:
            write_near(sheet, name, far, sheet.hand.letter * sheet.unit, -u, 5 * sheet.unit)
        sheet.truth["reactions"].append(_entry(joint, far, near, value, "kN" if value else ""))


def _entry(
    joint: int, tail: Points, head: Points, value: float | None, unit_: str
) -> dict[str, object]:
    return {
        "joint": int(joint), "direction_deg": direction_deg(head - tail), "value": value,
        "unit": unit_, "tail": tail.tolist(), "head": head.tolist(),
    }  # fmt: skip


def _amount(rng: np.random.Generator, style: int, k: int) -> tuple[str, float | None, str]:
    """Text, value and unit of a load."""
    if style == 0:
        text = str(rng.choice(["P", "2P", "P", "F", "W", "Q", "P/2", "3P"]))
        return text, None, ""
    if style == 1:
        return f"{rng.choice(['P', 'F', 'W'])}_{k + 1}", None, ""
    unit_ = ["kN", "N", "lb", "kips", "kN", "k"][style % 6]
    value = float(
        rng.choice([rng.integers(1, 30), 5 * rng.integers(1, 20), rng.integers(2, 100) / 2])
    )
    if unit_ in ("N", "lb"):
        value *= 100 if rng.random() < 0.6 else 10
    gap = str(rng.choice(["", " "]))
    prefix = str(rng.choice(["", "", "", "P=", f"F_{k + 1} = "]))
    text = f"{prefix}{value:g}{gap}{unit_}" if rng.random() < 0.85 else f"{value:g}"
    return text, value, unit_


def draw_loads(sheet: Sheet, drawn: Drawn, *, named: bool = True) -> None:
    """Draw loads at some joints of the plan and list them."""
    rng, plan = sheet.rng, drawn.plan
    likely = list(dict.fromkeys(plan.loaded)) or list(range(len(drawn.at)))
    free = [k for k in range(len(drawn.at)) if k not in {h[0] for h in plan.holds}]
    mode = rng.random()
    if mode < 0.05:
        chosen: list[int] = []
    elif mode < 0.3:
        chosen = likely
    elif mode < 0.85 or not free:
        chosen = [int(k) for k in rng.permutation(likely)[: int(rng.choice([1, 1, 2, 2, 3, 4]))]]
    else:
        chosen = [int(k) for k in rng.permutation(free)[: int(rng.choice([1, 2, 3]))]]
    chosen = [k for k in chosen[:18] if _inside(sheet, drawn.at[k])]
    base = float(rng.choice([270, 270, 270, 270, 0, 180, rng.uniform(200, 340), 90]))
    look = choose_arrow(rng, size_of_head(sheet, drawn))
    long = drawn.panel * float(np.clip(rng.lognormal(-0.55, 0.4), 0.2, 1.5))
    long = float(np.clip(long, 20 * sheet.unit, 190 * sheet.unit))
    gap = sheet.unit * float(rng.choice([0.0, rng.uniform(0, 5), rng.uniform(4, 13)]))
    style, hung = int(rng.integers(8)), rng.random() < 0.03
    wide = rng.uniform(1.2, 1.8) if rng.random() < 0.15 else 1.0
    light = rng.random() < 0.3
    number = 0
    for joint in chosen:
        ways = [
            base if rng.random() < 0.8 else float(rng.choice([270, 0, 180, rng.uniform(0, 360)]))
        ]
        if rng.random() < 0.07:
            ways.append(float(rng.choice([0, 180, 225, 315])))
        for degrees in dict.fromkeys(ways):
            degrees += rng.normal(0, 1 + 4 * sheet.hand.sloppy)
            if hung:
                _weight(sheet, drawn, joint, long)
                continue
            ends = _ends(sheet, drawn, joint, degrees, long * rng.uniform(0.9, 1.1), gap)
            if ends is None:
                continue
            tail, head = ends
            arrow(sheet, tail, head, look, light=light, wide=wide)
            text, value, unit_ = _amount(rng, style, number)
            number += 1
            sheet.truth["loads"].append(_entry(joint, tail, head, value, unit_))
            if named and rng.random() < 0.88:
                near_head = float(np.hypot(*(head - drawn.at[joint]))) > float(
                    np.hypot(*(tail - drawn.at[joint]))
                )
                outer = head if near_head else tail
                out = unit(outer - drawn.at[joint])
                if rng.random() < 0.35:
                    outer, out = 0.5 * (head + tail), across(out) * rng.choice([-1, 1])
                write_near(sheet, text, outer, sheet.hand.letter * sheet.unit, out, 5 * sheet.unit)


def _ends(
    sheet: Sheet, drawn: Drawn, joint: int, degrees: float, long: float, gap: float
) -> tuple[Points, Points] | None:
    """Tail and head of a load's arrow, on the side of the joint that is freer."""
    u, at = _way(degrees), drawn.at[joint]
    pushing = at - (gap + long) * u, at - gap * u
    pulling = at + gap * u, at + (gap + long) * u
    along = [float(way @ u) for way in drawn.ways(joint)]
    worse = 0.6 * (min(along) < -0.95), 0.12 + 0.6 * (max(along) > 0.95)
    cost = [
        _crowded(sheet, at, p) + w for p, w in zip((pushing[0], pulling[1]), worse, strict=True)
    ]
    for shorter in (1.0, 0.6):
        best = 0 if cost[0] <= cost[1] else 1
        if cost[best] < 0.45:
            if sheet.chance(0.06) and cost[1 - best] < 0.6:
                best = 1 - best
            return (pushing, pulling)[best]
        long *= shorter
        pushing = at - (gap + long) * u, at - gap * u
        pulling = at + gap * u, at + (gap + long) * u
        far = pushing[0], pulling[1]
        cost = [_crowded(sheet, at, p) + w for p, w in zip(far, worse, strict=True)]
    return None


def _weight(sheet: Sheet, drawn: Drawn, joint: int, long: float) -> None:
    """Hang a weight from a joint by a string and list it as a load."""
    rng, at = sheet.rng, drawn.at[joint]
    end = at + step(rng.normal(0, 1), long)
    half, deep = rng.uniform(10, 24) * sheet.unit, rng.uniform(14, 34) * sheet.unit
    if not _inside(sheet, end + step(half, deep + 4)) or _crowded(sheet, at, end) > 0.4:
        return
    line(sheet, at, end, wide=0.8)
    box = end + np.array([[-half, 0], [half, 0], [half, deep], [-half, deep]])
    sheet.ink(box + rng.normal(0, sheet.hand.sloppy, box.shape), closed=True)
    text = str(rng.choice(["W", "G", "mg", "50 kg", "2 t"]))
    high = min(deep * 0.6, sheet.hand.letter * sheet.unit)
    beside = half + 4 * sheet.unit
    write_near(sheet, text, end + step(0, 0.5 * deep), high, step(1, 0), beside)
    sheet.truth["loads"].append(_entry(joint, at, end, None, ""))
