"""Trusses of every family, from a bracket of two members to dense bridges and towers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from scipy.spatial import Delaunay

from vision.training.chords import PATTERNS, chord_truss, shaped_chords, supported
from vision.training.frame import Frame, FrameBuilder
from vision.training.walls import bars_at_wall, wall_truss

__all__ = ["FAMILIES", "draw_frame"]

Rng = np.random.Generator


def _span(rng: Rng, most: int) -> Frame:
    low, high, shape = shaped_chords(rng)
    panels = int(rng.integers(2, max(3, min(14, most // 4)) + 1))
    pattern = str(rng.choice(PATTERNS))
    clipped = shape in ("trapezoid", "camel") or (shape == "parallel" and rng.random() < 0.2)
    if clipped and panels < 3:
        panels = 3
    return supported(rng, *chord_truss(rng, panels, low, high, pattern, clipped))


def _long(rng: Rng, most: int) -> Frame:
    """A shallow bridge of many panels."""
    panels = int(rng.integers(10, max(11, min(21, most // 4 + 1))))
    h = rng.uniform(0.05, 0.14)
    pattern = str(rng.choice(["pratt", "howe", "warren", "same", "alternate"]))
    camber = rng.uniform(0, 0.5) if rng.random() < 0.3 else 0.0
    high = lambda x: h * (1 + camber * 4 * x * (1 - x))  # noqa: E731
    return supported(
        rng, *chord_truss(rng, panels, lambda x: 0.0, high, pattern, rng.random() < 0.4)
    )


def _tower(rng: Rng, most: int) -> Frame:
    panels = int(rng.integers(2, max(3, min(9, most // 5)) + 1))
    h, tip = rng.uniform(0.15, 0.5), rng.uniform(0.1, 1.0)
    pattern = str(rng.choice(PATTERNS[:9]))
    low = lambda x: -h / 2 * (1 - (1 - tip) * x)  # noqa: E731
    high = lambda x: h / 2 * (1 - (1 - tip) * x)  # noqa: E731
    b, lower, upper = chord_truss(rng, panels, low, high, pattern, False)
    kinds = ["pin", "pin"] if rng.random() < 0.5 else ["pin", "roller"]
    held = [(lower[0], kinds[0], 0.0), (upper[0], kinds[1], 0.0)]
    if lower[0] == upper[0]:
        held = held[:1]
    if tip < 0.25 and rng.random() < 0.5:
        peak = b.joint(1 + h * 0.4, 0.0)
        b.member(lower[-1], peak, upper[-1])
    if rng.random() < 0.3:
        arm = b.joint(1.0, rng.choice([-1, 1]) * h * rng.uniform(0.9, 2.0))
        b.member(lower[-1] if b.places[arm][1] < 0 else upper[-1], arm)
        b.member(arm, lower[-2] if b.places[arm][1] < 0 else upper[-2])
    return b.frame(held, [lower[-1], upper[-1], *range(len(b.places))[-2:]]).turned(90)


def _fink(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    h = rng.uniform(0.18, 0.45)
    n = int(rng.choice([3, 5])) if most > 12 else 3
    feet = [b.joint(v, 0) for v in (np.linspace(0, 1, 4) if n == 3 else (0, 0.2, 0.4, 0.6, 0.8, 1))]
    apex = b.joint(0.5, h)
    left = [b.joint(v, 2 * h * v) for v in np.linspace(0, 0.5, len(feet) // 2 + 1)[1:-1]]
    right = [b.joint(1 - b.places[j][0], b.places[j][1]) for j in left]
    b.member(*feet)
    b.member(feet[0], *left, apex, *right[::-1], feet[-1])
    half = len(feet) // 2
    for side, heads in ((feet[:half], left), (feet[::-1][:half], right)):
        for k, head in enumerate(heads):
            b.member(side[k + 1], head)
            if k + 2 < len(side) + 1 and k + 1 < len(heads):
                b.member(side[k + 1], heads[k + 1])
        b.member(side[-1], apex)
    return b.frame([(feet[0], "pin", 90.0), (feet[-1], "roller", 90.0)], [apex, *left, *right])


def _post_roof(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    h = rng.uniform(0.2, 0.6)
    a, c = b.joint(0, 0), b.joint(1, 0)
    kind = str(rng.choice(["king", "queen", "scissors", "king_braced", "fan", "raised"]))
    apex = b.joint(0.5, h)
    p, q = b.joint(0.25, h / 2), b.joint(0.75, h / 2)
    if kind in ("king", "king_braced"):
        foot = b.joint(0.5, 0)
        b.member(a, foot, c)
        b.member(foot, apex)
        if kind == "king_braced":
            b.member(p, foot, q)
            b.member(a, p, apex, q, c)
        else:
            b.places = b.places[:3] + b.places[5:]
            foot = 3
            b.members = dict.fromkeys([(0, 3), (1, 3), (2, 3), (0, 2), (1, 2)])
        return b.frame([(0, "pin", 90.0), (1, "roller", 90.0)])
    b.member(a, p, apex, q, c)
    if kind == "queen":
        s, t = b.joint(0.25, 0), b.joint(0.75, 0)
        b.member(a, s, t, c)
        b.member(s, p, q, t)
        b.member(p, t) if rng.random() < 0.5 else b.member(s, q)
    elif kind == "scissors":
        if rng.random() < 0.5:
            middle = b.joint(0.5, h / 3)
            b.member(a, middle, c)
            b.member(p, middle, q)
            b.member(middle, apex)
        else:
            b.member(a, q)
            b.member(c, p)
    elif kind == "fan":
        feet = [b.joint(v, 0) for v in (1 / 3, 2 / 3)]
        b.member(a, *feet, c)
        b.member(p, feet[0], apex, feet[1], q)
    else:
        b.member(p, q)
        b.member(a, c)
        foot = b.joint(0.5, h / 2) if rng.random() < 0.3 else p
        b.member(p, foot, q)
    return b.frame([(a, "pin", 90.0), (c, "roller", 90.0)], [apex, p, q])


def _bracket(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    reach, drop = rng.uniform(0.5, 1.2), rng.uniform(0.3, 1.2)
    top, foot, tip = (
        b.joint(0, drop),
        b.joint(0, 0),
        b.joint(reach, rng.choice([0, drop, drop / 2])),
    )
    b.member(top, tip, foot)
    if rng.random() < 0.55 and most > 5:
        p = b.joint(reach * rng.uniform(0.35, 0.6), b.places[tip][1] if rng.random() < 0.5 else 0)
        touching = abs(b.places[p][1] - b.places[tip][1]) < 1e-9
        b.members.pop((min(foot, tip), max(foot, tip)) if touching else (-1, -1), None)
        b.member(top, p, foot)
        b.member(p, tip)
        if not touching:
            b.member(top, tip)
    if rng.random() < 0.3:
        b.member(top, foot)
    kinds = rng.choice(["pin", "pin", "roller"], 2)
    if "pin" not in kinds:
        kinds[0] = "pin"
    frame = b.frame([(top, str(kinds[0]), 0.0), (foot, str(kinds[1]), 0.0)], [tip])
    return frame.mirrored() if rng.random() < 0.5 else frame


def _few(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    count = int(rng.integers(3, 6))
    angles = np.sort(rng.uniform(0, 2 * np.pi, count))
    if count == 3:
        a, c = b.joint(0, 0), b.joint(1, rng.uniform(-0.2, 0.2))
        d = b.joint(rng.uniform(0, 1), rng.uniform(0.3, 1))
        b.member(a, c, d, a)
        return b.frame([(a, "pin", 90.0), (c, "roller", 90.0)], [d])
    rim = [b.joint(*(np.array([np.cos(t), np.sin(t)]) * rng.uniform(0.7, 1))) for t in angles]
    b.member(*rim, rim[0])
    for k in range(2, count - 1):
        b.member(rim[0], rim[k])
    if count == 4 and rng.random() < 0.4:
        b.member(rim[1], rim[3])
    order = sorted(rim, key=lambda j: b.places[j][1])
    return b.frame([(order[0], "pin", 90.0), (order[1], "roller", 90.0)], order[2:])


def _hung(rng: Rng, most: int) -> Frame:
    """Two or three bars from a ceiling or a wall to one joint."""
    b = FrameBuilder()
    tip = b.joint(0, -rng.uniform(0.4, 1))
    tops = [b.joint(v, 0) for v in np.sort(rng.uniform(-0.8, 0.8, int(rng.integers(2, 4))))]
    for top in tops:
        b.member(top, tip)
    side = rng.choice([270.0, 0.0, 180.0, 90.0], p=[0.6, 0.15, 0.15, 0.1])
    frame = b.frame([(top, "pin", 270.0) for top in tops], [tip])
    return frame.turned(side - 270.0)


def _grown(rng: Rng, most: int) -> Frame:
    """A simple truss grown joint by joint on its outline."""
    b = FrameBuilder()
    b.member(b.joint(0, 0), b.joint(1, 0), b.joint(rng.uniform(0.2, 0.8), rng.uniform(0.5, 1)), 0)
    rim = [(0, 1), (1, 2), (2, 0)]
    for _ in range(int(rng.integers(1, max(2, min(12, most // 2))))):
        k = int(rng.integers(len(rim)))
        p, q = rim[k]
        a, c = np.array(b.places[p]), np.array(b.places[q])
        out = np.array([c[1] - a[1], a[0] - c[0]])
        at = (a + c) / 2 + out * rng.uniform(0.5, 1.0) + (c - a) * rng.uniform(-0.4, 0.4)
        if min(np.hypot(*(at - np.array(s))) for s in b.places) < 0.4:
            continue
        new = b.joint(at[0], at[1])
        b.member(p, new, q)
        rim[k : k + 1] = [(p, new), (new, q)]
    return _stood(rng, b)


def _meshed(rng: Rng, most: int) -> Frame:
    """An irregular triangulation, perhaps with a few bars left out."""
    count = int(rng.integers(5, max(7, min(16, most // 3))))
    places: list[np.ndarray] = []
    stretch = np.array([1.0, rng.uniform(0.35, 1.0)])
    for _ in range(400):
        at = rng.uniform(0, 1, 2)
        if all(np.hypot(*(at - p)) > 0.75 / np.sqrt(count) for p in places):
            places.append(at)
        if len(places) == count:
            break
    spots = np.array(places) * stretch
    b = FrameBuilder()
    for x, y in spots:
        b.joint(x, y)
    for triangle in Delaunay(spots).simplices:
        p, q, r = spots[triangle]
        sides = [np.hypot(*(p - q)), np.hypot(*(q - r)), np.hypot(*(r - p))]
        area = abs((q - p)[0] * (r - p)[1] - (q - p)[1] * (r - p)[0])
        if area / max(sides) ** 2 > 0.25:
            b.member(*triangle.tolist(), int(triangle[0]))
    for pair in list(b.members):
        if rng.random() < 0.05 and len(b.members) > 5:
            b.members.pop(pair)
    return _stood(rng, b)


def _stood(rng: Rng, b: FrameBuilder) -> Frame:
    if not b.members:
        return _few(rng, 9)
    degree = np.bincount(np.array(list(b.members)).ravel(), minlength=len(b.places))
    keep = np.nonzero(degree)[0]
    new = {int(old): k for k, old in enumerate(keep)}
    b.places = [b.places[int(old)] for old in keep]
    b.members = dict.fromkeys((new[p], new[q]) for p, q in b.members)
    turn = rng.uniform(0, 360)
    frame = b.frame([]).turned(turn)
    order = np.argsort(frame.joints[:, 1])
    first, second = int(order[0]), int(order[min(len(order) - 1, int(rng.integers(1, 3)))])
    b.places = [(float(x), float(y)) for x, y in frame.joints]
    kinds = ("pin", "roller") if rng.random() < 0.8 else ("pin", "pin")
    return b.frame([(first, kinds[0], 90.0), (second, kinds[1], 90.0)])


def _crane(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    bays = int(rng.integers(2, max(3, min(6, most // 7)) + 1))
    w = rng.uniform(0.25, 0.5)
    left = [b.joint(0, k * w * 1.1) for k in range(bays + 1)]
    right = [b.joint(w, k * w * 1.1) for k in range(bays + 1)]
    b.member(*left)
    b.member(*right)
    for k in range(bays):
        b.member(left[k + 1], right[k + 1])
        b.member(*((left[k], right[k + 1]) if k % 2 else (right[k], left[k + 1])))
    reach = int(rng.integers(1, 5))
    y0, y1 = b.places[right[-2]][1], b.places[right[-1]][1]
    lower, upper = [right[-2]], [right[-1]]
    for k in range(1, reach + 1):
        fall = (y1 - y0) * (k / (reach + 0.5)) * rng.choice([0.0, 0.8])
        lower.append(b.joint(w * (1 + k), y0 + fall))
        upper.append(b.joint(w * (1 + k), y1))
        b.member(lower[-2], lower[-1], upper[-1], upper[-2])
        b.member(*((lower[-2], upper[-1]) if rng.random() < 0.5 else (upper[-2], lower[-1])))
    if rng.random() < 0.5:
        back = b.joint(-w * rng.uniform(0.8, 1.5), y1)
        b.member(left[-1], back, left[-2])
    kinds = ("pin", "roller") if rng.random() < 0.5 else ("pin", "pin")
    frame = b.frame(
        [(left[0], kinds[0], 90.0), (right[0], kinds[1], 90.0)], [upper[-1], lower[-1], *upper]
    )
    return frame.mirrored() if rng.random() < 0.5 else frame


def _gantry(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    w, h, span = rng.uniform(0.15, 0.3), rng.uniform(0.5, 0.9), int(rng.integers(2, 6))
    xs = [0.0, w, *[w + (k + 1) * w * 1.1 for k in range(span)]]
    xs += [xs[-1] + w]
    y0, y1 = h, h + w * rng.uniform(0.8, 1.1)
    lower = [b.joint(x, y0) for x in xs]
    upper = [b.joint(x, y1) for x in xs]
    b.member(*lower)
    b.member(*upper)
    for k in range(len(xs)):
        b.member(lower[k], upper[k])
        if k:
            b.member(*((lower[k - 1], upper[k]) if k % 2 else (upper[k - 1], lower[k])))
    held = []
    for side, kind in ((0, "pin"), (len(xs) - 2, "roller" if rng.random() < 0.6 else "pin")):
        foot = b.joint((xs[side] + xs[side + 1]) / 2, 0)
        b.member(lower[side], foot, lower[side + 1])
        held.append((foot, kind, 90.0))
    return b.frame(held, upper)


def _wheel(rng: Rng, most: int) -> Frame:
    b = FrameBuilder()
    count = int(rng.integers(4, 8))
    hub = b.joint(0, 0)
    start, sweep = (0.0, np.pi) if rng.random() < 0.5 else (rng.uniform(0, 1), 2 * np.pi)
    angles = start + sweep * np.arange(count) / (count - (sweep < 4))
    rim = [b.joint(np.cos(t), np.sin(t)) for t in angles]
    for j in rim:
        b.member(hub, j)
    b.member(*rim)
    if sweep > 4:
        b.member(rim[-1], rim[0])
    order = sorted(rim, key=lambda j: b.places[j][1])
    return b.frame([(order[0], "pin", 90.0), (order[1], "roller", 90.0)], order[2:])


#: Each family with how often it is drawn.
FAMILIES: dict[str, tuple[Callable[[Rng, int], Frame], float]] = {
    "span": (_span, 0.34),
    "long": (_long, 0.05),
    "tower": (_tower, 0.08),
    "fink": (_fink, 0.04),
    "post_roof": (_post_roof, 0.06),
    "bracket": (_bracket, 0.05),
    "bars_at_wall": (bars_at_wall, 0.08),
    "wall_truss": (wall_truss, 0.09),
    "few": (_few, 0.07),
    "hung": (_hung, 0.04),
    "grown": (_grown, 0.07),
    "meshed": (_meshed, 0.05),
    "crane": (_crane, 0.05),
    "gantry": (_gantry, 0.03),
    "wheel": (_wheel, 0.02),
}


def draw_frame(rng: Rng, most: int) -> tuple[str, Frame]:
    """Draw a truss of at most about `most` members, of a family chosen by its share."""
    names = list(FAMILIES)
    shares = np.array([FAMILIES[name][1] for name in names])
    for _ in range(100):
        name = names[int(rng.choice(len(names), p=shares / shares.sum()))]
        frame = FAMILIES[name][0](rng, most)
        if 2 <= len(frame.members) <= most and _is_clear(frame):
            return name, frame
    return "few", _few(rng, most)


def _is_clear(frame: Frame) -> bool:
    """Tell whether no joint lies on another or on a member that it does not belong to."""
    at = frame.joints
    size = float(np.ptp(at, axis=0).max())
    gap = np.hypot(*(at[:, None] - at[None]).transpose(2, 0, 1)) + np.eye(len(at)) * size
    if size == 0 or gap.min() < 0.025 * size:
        return False
    for a, b in frame.members:
        along = at[b] - at[a]
        length = float(np.hypot(*along))
        t = ((at - at[a]) @ along) / length**2
        off = np.abs((at - at[a]) @ np.array([-along[1], along[0]])) / length
        near = (t > 0.0) & (t < 1.0) & (off < 0.02 * size)
        near[[a, b]] = False
        if near.any():
            return False
    return True
