"""Pages without a truss: writing, flowcharts, circuits, graphs, tables."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sample_sketches.camera import photograph
from sample_sketches.hand import Hand
from sample_sketches.lettering import text_width
from sample_sketches.surfaces import make_surface
from sample_sketches.symbols import draw_arrow
from tests.benchmarks.sketches.settings import LEVELS, choose_setting

__all__ = ["OtherPage", "make_other_page"]

FloatArray = NDArray[np.float64]

_WORDS = (
    "boat", "slip", "tide", "oar", "rope", "shed", "beam", "lock", "gate", "water", "level",
    "paint", "order", "deck", "plank", "nail", "reed", "bank", "canoe", "rack", "winch",
    "check", "before", "friday", "bring", "two", "more", "and", "the", "from", "with", "for",
    "keys", "wet", "moor", "spring", "low", "high", "north", "wall", "measure", "again", "ask",
    "about", "bolts",
)  # fmt: skip


@dataclass(frozen=True)
class OtherPage:
    """A photo without a truss, and what it shows."""

    jpeg: bytes
    shows: str


def make_other_page(seed: int) -> OtherPage:
    """Draw and photograph one page without a truss; one seed, one picture."""
    rng = np.random.default_rng([seed, 77])
    shows = list(_PAGES)[seed % len(_PAGES)]
    setting = choose_setting(rng, LEVELS["medium"], upright=bool(rng.random() < 0.5))
    surface = make_surface(setting.paper, setting.size, setting.scale, rng)
    hand = Hand(surface, setting.pen, setting.manner, rng)
    _PAGES[shows](hand, setting.letter_height)
    return OtherPage(photograph(surface, setting.view, rng).jpeg, shows)


def _sentence(hand: Hand, room: float, height: float) -> str:
    text = ""
    while True:
        longer = f"{text} {hand.rng.choice(_WORDS)}".strip()
        if text_width(longer, height) > room:
            return text
        text = longer


def _writing(hand: Hand, height: float) -> None:
    """Lines of writing, now and then a gap."""
    width, tall = hand.surface.size
    y = 24.0
    while y < tall - 16:
        if hand.rng.random() > 0.12:
            room = (width - 44) * hand.rng.uniform(0.6, 1.0)
            hand.write(
                _sentence(hand, room, height), (24, y), height, angle=hand.rng.normal(0, 0.4)
            )
        y += height * hand.rng.uniform(1.8, 2.2)


def _box(hand: Hand, centre: FloatArray, wide: float, high: float) -> None:
    corners = centre + np.array([[-wide, -high], [wide, -high], [wide, high], [-wide, high]]) / 2
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        hand.line(a, b, sure=0.7)


def _diamond(hand: Hand, centre: FloatArray, wide: float, high: float) -> None:
    corners = centre + np.array([[0, -high], [wide, 0], [0, high], [-wide, 0]]) / 2
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        hand.line(a, b, sure=0.7)


def _flowchart(hand: Hand, height: float) -> None:
    """Boxes, diamonds and circles with words in them, joined by arrows."""
    rng = hand.rng
    width, tall = hand.surface.size
    columns, rows = (4, 3) if width > tall else (3, 4)
    places = []
    for row in range(rows):
        for column in range(columns):
            at = np.array([(column + 0.5) / columns * width, (row + 0.55) / rows * tall])
            places.append(at + rng.normal(0, 4, 2))
    size = np.array([width / columns * 0.58, tall / rows * 0.40])
    for at in places:
        kind = rng.integers(4)
        if kind == 0:
            _diamond(hand, at, size[0], size[1] * 1.2)
        elif kind == 1:
            hand.circle(at, float(size.min()) * 0.5)
        else:
            _box(hand, at, *size)
        word = str(rng.choice(_WORDS))
        small = min(height, 0.8 * size[0] / max(1.0, text_width(word, 1.0)))
        hand.write(word, at - [text_width(word, small) / 2, -small / 2], small)
    right, down = np.array([size[0] * 0.55, 0.0]), np.array([0.0, size[1] * 0.63])
    for i in range(len(places) - 1):
        a, b = places[i], places[i + 1]
        if rng.random() < 0.85 and (i + 1) % columns:
            draw_arrow(hand, a + right, b - right, barb=3.5)
        if i + columns < len(places) and rng.random() < 0.5:
            below = places[i + columns]
            draw_arrow(hand, a + down, below - down, barb=3.5)


def _resistor(hand: Hand, a: FloatArray, b: FloatArray) -> None:
    along = b - a
    aside = np.array([-along[1], along[0]]) / np.hypot(*along)
    shares = np.array([0, 0.34, *np.linspace(0.37, 0.63, 6), 0.66, 1])
    swing = np.array([0, 0, 3, -3, 3, -3, 3, -3, 0, 0.0])
    hand.polyline(a + shares[:, None] * along + swing[:, None] * aside)


def _capacitor(hand: Hand, a: FloatArray, b: FloatArray) -> None:
    along = b - a
    aside = np.array([-along[1], along[0]]) / np.hypot(*along) * 5
    for near, far in ((0, 0.47), (1, 0.53)):
        hand.line(a + near * along, a + far * along, sure=0.4)
        hand.line(a + far * along - aside, a + far * along + aside, sure=0.3)


def _source(hand: Hand, a: FloatArray, b: FloatArray) -> None:
    along = b - a
    radius = 6.5
    gap = along / np.hypot(*along) * radius
    middle = (a + b) / 2
    hand.line(a, middle - gap, sure=0.4)
    hand.line(middle + gap, b, sure=0.4)
    hand.circle(middle, radius)
    hand.write("+", middle - gap * 0.5 + [-1.5, 1.5], 3.5)


def _circuit(hand: Hand, height: float) -> None:
    """A ladder of two or three meshes with resistors, capacitors and sources."""
    rng = hand.rng
    width, tall = hand.surface.size
    meshes = int(rng.integers(2, 4))
    x = np.linspace(0.18, 0.82, meshes + 1) * width
    top, bottom = tall * rng.uniform(0.28, 0.36), tall * rng.uniform(0.64, 0.74)
    parts = (_resistor, _capacitor, _resistor, _source)
    for i, at in enumerate(x):
        parts[rng.integers(4)](hand, np.array([at, top]), np.array([at, bottom]))
        label = f"{rng.choice(list('RCVL'))}{i + 1}"
        hand.write(label, (at + 8, (top + bottom) / 2), height)
        if i < meshes:
            part = _resistor if rng.random() < 0.6 else _capacitor
            part(hand, np.array([at, top]), np.array([x[i + 1], top]))
            hand.write(f"{rng.integers(1, 90)} k", ((at + x[i + 1]) / 2 - 8, top - 6), height * 0.9)
            hand.line((at, bottom), (x[i + 1], bottom))
        if rng.random() < 0.5:
            hand.disc((at, top), 1.2)


def _graph(hand: Hand, height: float) -> None:
    """Axes with ticks and one or two curves."""
    rng = hand.rng
    width, tall = hand.surface.size
    origin = np.array([0.17 * width, 0.78 * tall])
    reach = np.array([0.68 * width, 0.56 * tall])
    across = np.array([reach[0], 0.0])
    draw_arrow(hand, origin, origin + across, barb=4)
    draw_arrow(hand, origin, origin - [0, reach[1]], barb=4)
    tick, under = np.array([0.0, 1.5]), np.array([-2.0, 3 + height])
    for share in np.arange(0.15, 0.9, 0.15):
        foot = origin + share * across
        hand.line(foot - tick, foot + tick)
        hand.write(str(round(share * 20)), foot + under, height * 0.8)
    t = np.linspace(0, 0.92, 60)
    for _ in range(int(rng.integers(1, 3))):
        swing = np.sin(rng.uniform(3, 9) * t + rng.uniform(0, 6))
        wave = 0.45 + 0.3 * swing + rng.uniform(-0.2, 0.3) * t
        hand.stroke(origin + np.stack([t * reach[0], -wave * reach[1]], 1))
    title = origin + np.array([20.0, 8 + 2.4 * height])
    hand.write(_sentence(hand, 70, height), title, height)


def _table(hand: Hand, height: float) -> None:
    """A ruled table with figures."""
    rng = hand.rng
    width, tall = hand.surface.size
    rows, columns = int(rng.integers(4, 8)), int(rng.integers(3, 5))
    x = np.linspace(0.16, 0.84, columns + 1) * width
    y = np.linspace(0.22, 0.78, rows + 1) * tall
    for at in x:
        hand.line((at, y[0]), (at, y[-1]))
    for at in y:
        hand.line((x[0], at), (x[-1], at))
    small = min(height, 0.5 * (y[1] - y[0]))
    for row in range(rows):
        for column in range(columns):
            word = str(rng.choice(_WORDS)) if row == 0 else f"{rng.integers(1, 400)}"
            hand.write(word, (x[column] + 3, y[row + 1] - 0.25 * (y[1] - y[0])), small)


_PAGES: dict[str, Callable[[Hand, float], None]] = {
    "writing": _writing,
    "flowchart": _flowchart,
    "circuit": _circuit,
    "graph": _graph,
    "table": _table,
}
