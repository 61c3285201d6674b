"""Real paper, pages and lettering for the second maker, out of the first one's material file."""

from __future__ import annotations

import os
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from vision.training.material import load_pictures

__all__ = ["Stock", "stock"]

Grey = NDArray[np.uint8]


class Stock:
    """Pages without a truss, papers, and written marks; empty without a material file."""

    def __init__(self, material: Path | None) -> None:
        self.pages: list[Grey] = load_pictures(material, "pages") if material else []
        self.papers: list[Grey] = load_pictures(material, "papers") if material else []
        self.marks: list[Grey] = load_pictures(material, "scraps") if material else []


@cache
def stock() -> Stock:
    """The stock named by the environment variable INKSTRUT_MATERIAL, empty without it."""
    name = os.environ.get("INKSTRUT_MATERIAL", "")
    return Stock(Path(name) if name else None)
