"""Processes that draw without end, and the ring of shared slots through which sheets arrive."""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import torch
import torch.multiprocessing as mp
from numpy.typing import NDArray
from torch import Tensor

from vision.training.fourth.scene import draw_photo
from vision.training.material import load_hands, load_pictures
from vision.training.scene import DIFFICULTIES, draw_scene
from vision.training.second import scene as second
from vision.training.second.rows import second_rows
from vision.training.targets import marks
from vision.training.third.scene import draw_sheet
from vision.training.truth import blank_truth

__all__ = [
    "LIMITS", "PRINT_SIDE", "SIDE", "Slots", "Stock", "draw_prints", "draw_sheets", "start",
    "store",
]  # fmt: skip

#: Side of a sheet in pixels, and how many segments, points and boxes it may have.
SIDE = 768
LIMITS = (640, 256, 64)
#: Side of the finished pictures.
PRINT_SIDE = 512
#: Shares of the sheets that the third, and of the finished pictures that the fourth maker draws.
THIRD, FOURTH = 0.45, 0.5

Rows = tuple[NDArray[np.float32], NDArray[np.float32], NDArray[np.float32]]
#: A picture, its marks, and whether its writing is among them.
Drawn = tuple[NDArray[np.uint8], Rows, bool]


@dataclass
class Slots:
    """Rows of shared memory, one a sheet."""

    ink: Tensor
    segments: Tensor
    points: Tensor
    boxes: Tensor
    counts: Tensor
    extent: Tensor

    @classmethod
    def empty(cls, count: int, side: int, device: str = "cpu") -> Slots:
        s, p, t = LIMITS
        return cls(
            torch.zeros(count, side, side, dtype=torch.uint8, device=device),
            torch.zeros(count, s, 5, device=device),
            torch.zeros(count, p, 5, device=device),
            torch.zeros(count, t, 8, device=device),
            torch.zeros(count, 4, dtype=torch.int32, device=device),
            torch.zeros(count, 4, device=device),
        )

    def parts(self) -> tuple[Tensor, ...]:
        return (self.ink, self.segments, self.points, self.boxes, self.counts, self.extent)

    def share(self) -> Slots:
        for part in self.parts():
            part.share_memory_()
        return self


def store(slots: Slots, slot: int, ink: NDArray[np.uint8], rows: Rows, known: bool) -> None:
    """Put one sheet into a slot; `known` says whether its writing is among its marks."""
    slots.ink.numpy()[slot] = ink
    counts = []
    for part, values, limit in zip(
        (slots.segments, slots.points, slots.boxes), rows, LIMITS, strict=True
    ):
        count = min(len(values), limit)
        part.numpy()[slot, :count] = values[:count]
        counts.append(count)
    slots.counts.numpy()[slot] = [*counts, int(known)]
    joints = rows[1][rows[1][:, 2] == 0, :2]
    side = ink.shape[0]
    low, high = ([0.15 * side] * 2, [0.85 * side] * 2)
    if len(joints):
        low, high = joints.min(axis=0).tolist(), joints.max(axis=0).tolist()
    slots.extent.numpy()[slot] = [*low, *high]


def _work_behind() -> None:
    """One thread, and way for the process that learns where both need the same cores."""
    cv2.setNumThreads(1)
    os.nice(15)


def draw_sheets(seed: int, material: str, slots: Slots, free: Any, ready: Any) -> None:
    """Draw sheets of ink of the first and the third maker into slots, without end."""
    _work_behind()
    rng = np.random.default_rng(seed)
    hands = load_hands(Path(material))
    lectures = load_pictures(Path(material), "ink")
    levels = list(DIFFICULTIES)

    def draw() -> Drawn:
        if rng.random() < 0.03:
            page = lectures[int(rng.integers(len(lectures)))]
            return page, marks(blank_truth(SIDE, SIDE)), False
        if rng.random() < THIRD:
            ink, truth = draw_sheet(rng, SIDE)
            return ink, marks(truth), True
        level = str(rng.choice(levels, p=[0.25, 0.35, 0.4]))
        sheet, truth = draw_scene(rng, level, SIDE, hands, bool(rng.random() > 0.09))
        return sheet.ink, marks(truth), True

    _keep_drawing(draw, slots, free, ready)


def draw_prints(seed: int, slots: Slots, free: Any, ready: Any) -> None:
    """Draw finished pictures of the second and the fourth maker into slots, without end."""
    _work_behind()
    rng = np.random.default_rng(seed)
    numbers = itertools.count(seed * 1_000_000 + 1)

    def draw() -> Drawn:
        if rng.random() < FOURTH:
            grey, photographed = draw_photo(rng, PRINT_SIDE)
            return grey, marks(photographed), True
        grey, truth = second.draw_scene(next(numbers))
        return grey, second_rows(truth), bool(len(truth.joints) or len(truth.texts))

    _keep_drawing(draw, slots, free, ready)


def _keep_drawing(draw: Callable[[], Drawn], slots: Slots, free: Any, ready: Any) -> None:
    """Fill free slots; a drawing that cannot be made is said and left out."""
    while True:
        slot = free.get()
        try:
            picture, rows, known = draw()
        except (ValueError, IndexError, RuntimeError, cv2.error) as error:
            print("not drawn:", error, flush=True)
            free.put(slot)
            continue
        store(slots, slot, picture, rows, known)
        ready.put(slot)


class Stock:
    """The newest sheets, kept on the device that learns."""

    def __init__(self, slots: Slots, free: Any, ready: Any, keep: int, device: str) -> None:
        self._slots, self._free, self._ready = slots, free, ready
        side = slots.ink.shape[-1]
        self.kept = Slots.empty(keep, side, device)
        self.arrived = 0

    def fill(self, count: int) -> None:
        """Wait until so many sheets have arrived."""
        while self.arrived < count:
            self._take([self._ready.get()])
            self.refresh(64)

    def refresh(self, most: int) -> None:
        """Take in the sheets that are ready, at most so many; the oldest give way."""
        new: list[int] = []
        while len(new) < most and not self._ready.empty():
            new.append(self._ready.get())
        if new:
            self._take(new)

    def _take(self, new: list[int]) -> None:
        keep = len(self.kept.ink)
        where = (self.arrived + torch.arange(len(new), device=self.kept.ink.device)) % keep
        slots = torch.tensor(new)
        for here, there in zip(self.kept.parts(), self._slots.parts(), strict=True):
            # From pinned memory the copy runs while the GPU still learns from the step before.
            shape, pinned = (len(new), *there.shape[1:]), here.is_cuda
            lot = torch.empty(shape, dtype=there.dtype, pin_memory=pinned)
            torch.index_select(there, 0, slots, out=lot)
            here.index_copy_(0, where, lot.to(here.device, non_blocking=True))
        self.arrived += len(new)
        for slot in new:
            self._free.put(slot)

    def sample(self, count: int) -> tuple[Tensor, ...]:
        """Choose sheets at random: ink 0..1 and their marks."""
        newest = min(self.arrived, len(self.kept.ink))
        pick = torch.randint(0, newest, (count,), device=self.kept.ink.device)
        ink, *rest = (part[pick] for part in self.kept.parts())
        return (ink[:, None].float() / 255, *rest)


def start(
    target: Any, arguments: list[tuple[Any, ...]], side: int, keep: int, device: str
) -> Callable[[], Stock]:
    """Start one drawing process for each tuple of arguments.

    Returns what makes their stock: call it when all processes run, so that they start together.
    """
    context = mp.get_context("spawn")
    slots = Slots.empty(8 * len(arguments), side).share()
    free, ready = context.Queue(), context.Queue()
    for slot in range(8 * len(arguments)):
        free.put(slot)
    for args in arguments:
        context.Process(target=target, args=(*args, slots, free, ready), daemon=True).start()
    return lambda: Stock(slots, free, ready, keep, device)
