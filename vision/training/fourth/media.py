"""What people draw with, and on what."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

__all__ = ["Medium", "any_media"]


@dataclass(frozen=True)
class Medium:
    """A pen.

    Attributes
    ----------
    tone : (float, float)
        Share of the ground's light that full ink leaves; for light ink the grey it reaches.
    width : (float, float)
        Pixels of a stroke in a picture that the truss fills.
    grain : str
        Texture that lies on the ink, or nothing.
    depth : (float, float)
        How much of that texture shows.
    soft : (float, float)
        Standard deviation in pixels by which the ink runs.
    light : bool
        Whether the ink is lighter than its ground.
    """

    tone: tuple[float, float]
    width: tuple[float, float]
    grain: str = ""
    depth: tuple[float, float] = (0.0, 0.0)
    soft: tuple[float, float] = (0.0, 0.0)
    light: bool = False


_PENS = {
    "pencil": Medium((0.3, 0.68), (1.0, 2.2), "lead", (0.3, 1.0), (0.0, 0.5)),
    "soft pencil": Medium((0.25, 0.5), (1.8, 3.6), "lead", (0.6, 1.0), (0.0, 0.6)),
    "ball": Medium((0.2, 0.5), (0.9, 1.7), "lead", (0.0, 0.4)),
    "gel": Medium((0.08, 0.4), (1.2, 2.3)),
    "fineliner": Medium((0.08, 0.35), (0.9, 1.8)),
    "felt": Medium((0.1, 0.5), (2.2, 4.6), "streak", (0.0, 0.7), (0.0, 0.4)),
    "marker": Medium((0.06, 0.4), (4.0, 9.5), "streak", (0.0, 0.9), (0.0, 0.5)),
    "whiteboard marker": Medium((0.12, 0.6), (2.2, 6.0), "streak", (0.3, 1.0), (0.0, 0.4)),
    "thin board marker": Medium((0.12, 0.55), (1.3, 2.8), "streak", (0.2, 1.0)),
    "chalk": Medium((190, 250), (2.6, 7.0), "chalk", (0.6, 1.0), (0.0, 0.5), light=True),
    "thin chalk": Medium((170, 245), (1.5, 3.2), "chalk", (0.4, 1.0), (0.0, 0.4), light=True),
    "white pen": Medium((200, 250), (1.2, 3.0), light=True),
}

#: Surfaces, how often they come, and the pens that go with them.
_GROUNDS: tuple[tuple[str, float, tuple[str, ...]], ...] = (
    ("sheet", 0.6, ("pencil", "pencil", "pencil", "soft pencil", "ball", "ball", "gel",
                    "fineliner", "felt", "marker")),
    ("white", 0.12, ("whiteboard marker", "whiteboard marker", "thin board marker")),
    ("board", 0.12, ("chalk", "chalk", "thin chalk")),
    ("napkin", 0.025, ("ball", "gel", "felt", "marker")),
    ("carton", 0.03, ("felt", "marker", "ball", "soft pencil")),
    ("plywood", 0.025, ("soft pencil", "pencil", "marker", "felt")),
    ("tracing", 0.025, ("pencil", "fineliner", "soft pencil")),
    ("sticky", 0.035, ("ball", "gel", "felt", "pencil")),
    ("screen", 0.02, ("fineliner", "gel", "white pen")),
)  # fmt: skip


def any_media(rng: np.random.Generator) -> tuple[str, Medium]:
    """Choose a surface and a pen that goes with it."""
    shares = np.array([share for _, share, _ in _GROUNDS])
    name, _, pens = _GROUNDS[int(rng.choice(len(_GROUNDS), p=shares / shares.sum()))]
    return name, _PENS[str(rng.choice(pens))]
