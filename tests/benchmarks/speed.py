"""Time and memory of reading one 12-megapixel photo: ``python -m tests.benchmarks.speed``."""

from __future__ import annotations

import subprocess
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import numpy as np
import typer

from tests.benchmarks.memory import peak_memory

_PHOTO = Path(tempfile.gettempdir(), "inkstrut_sketches", "twelve_megapixels.jpg")


def draw_photo() -> None:
    """Draw the boathouse roof as a phone of 12 megapixels sees it."""
    from sample_sketches.draw import make_sample
    from sample_sketches.scenes import SCENES

    scene = SCENES[0]
    large = replace(scene.view, width=4032, height=3024, blur=1.8)
    _PHOTO.parent.mkdir(parents=True, exist_ok=True)
    _PHOTO.write_bytes(make_sample(replace(scene, view=large)).jpeg)


def read_photo(reader: str, times: int) -> None:
    """Read the photo `times` times in this process and print what it took."""
    start = time.perf_counter()
    import cv2

    from vision.reading import read_picture

    cv2.setNumThreads(2)
    read_picture(_PHOTO, reader=reader)
    first = time.perf_counter() - start
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        candidate = read_picture(_PHOTO, reader=reader)
        seconds.append(time.perf_counter() - start)
    print(
        f"{candidate.picture.width} x {candidate.picture.height}, reader {reader}:"
        f" first reading with imports and loading {first:.2f} s, then {np.median(seconds):.2f} s"
        f" median and {max(seconds):.2f} s longest of {times},"
        f" peak memory {peak_memory():.0f} MB"
    )


def main(
    reader: Annotated[str, typer.Option(help="best, network, classical, lsd or hough")] = "best",
    times: Annotated[int, typer.Option(min=1, help="how often the photo is read")] = 7,
) -> None:
    """Draw the photo if it is not there, then read it in a process of its own."""
    module = "tests.benchmarks.speed"
    if not _PHOTO.exists():
        code = f"import {module} as speed; speed.draw_photo()"
        subprocess.run([sys.executable, "-c", code], check=True)
    code = f"import {module} as speed; speed.read_photo({reader!r}, {times})"
    subprocess.run([sys.executable, "-c", code], check=True)


if __name__ == "__main__":
    typer.run(main)
