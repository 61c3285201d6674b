"""The small networks of `vision.glance` while they learn: what they are, and their looks varied."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import torch
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn.functional import cross_entropy, grid_sample, max_pool2d, smooth_l1_loss

from vision.glance import ACROSS, ALONG, ASIDE, DOWN, LEAN_DEG, SQUARES
from vision.training.looks import UNIT, Looks

__all__ = ["FOOT_GAZE", "STROKE_GAZE", "FootGlancer", "Gaze", "StrokeGlancer", "told", "train"]

Floats = NDArray[np.float32]
Rng = np.random.Generator

#: Looks to a step, highest rate, and wrong looks to each right one in an epoch.
BATCH, RATE, WRONG = 512, 4e-3, 4
#: How much the loss of a support's lean counts.
LEAN_WEIGHT = 3.0


@dataclass(frozen=True)
class Gaze:
    """Where the samples of a look lie, and by how much looks are varied in training.

    Attributes
    ----------
    sides : tuple of float
        Sizes of the windows that are sampled at the same time, in units of the others.
    aside, ahead : tuple of float
        First and last column and row, in window sizes from the joint.
    turn_deg, scale, shift : float
        Standard deviations of a turn about the joint, of the logarithm of the size, and of the
        joint's place in units of a window of size 1.
    """

    sides: tuple[float, ...]
    aside: tuple[float, float]
    ahead: tuple[float, float]
    turn_deg: float
    scale: float
    shift: float


FOOT_GAZE = Gaze(SQUARES, (ASIDE[0], ASIDE[-1]), (DOWN[0], DOWN[-1]), 5.0, 0.12, 0.012)
STROKE_GAZE = Gaze((1.0,), (ACROSS[0], ACROSS[-1]), (ALONG[0], ALONG[-1]), 1.5, 0.04, 0.01)


def _step(a: int, b: int, size: int = 3, stride: int = 1) -> nn.Sequential:
    convolution = nn.Conv2d(a, b, size, stride, padding=size // 2, bias=False)
    return nn.Sequential(convolution, nn.BatchNorm2d(b), nn.ReLU())


class FootGlancer(nn.Module):
    """Looks at each square with the same eyes; three log-odds and the lean."""

    def __init__(self) -> None:
        super().__init__()
        self.fine, self.middle, self.coarse = _step(2, 12), _step(12, 24), _step(24, 40)
        self.again, self.last = _step(40, 40), _step(40, 40)
        self.told = nn.Sequential(
            nn.Dropout(0.25), nn.Linear(len(SQUARES) * 360, 36), nn.ReLU(), nn.Linear(36, 4)
        )

    def forward(self, looks: Tensor) -> Tensor:
        seen = looks.reshape(-1, 2, len(DOWN), len(ASIDE))
        seen = max_pool2d(self.fine(seen), 2)
        seen = max_pool2d(self.coarse(max_pool2d(self.middle(seen), 2)), 2)
        seen = seen + self.again(seen)
        seen = max_pool2d(seen + self.last(seen), 2)
        told: Tensor = self.told(seen.reshape(-1, len(SQUARES) * 360))
        return told


class StrokeGlancer(nn.Module):
    """Keeps where along the stroke it saw what; three log-odds."""

    def __init__(self) -> None:
        super().__init__()
        self.fine = _step(2, 12, 5, 2)
        self.middle, self.coarse = _step(12, 24), _step(24, 32)
        self.again = _step(32, 32)
        self.told = nn.Sequential(nn.Dropout(0.25), nn.Linear(768, 28), nn.ReLU(), nn.Linear(28, 3))

    def forward(self, looks: Tensor) -> Tensor:
        seen = max_pool2d(self.middle(self.fine(looks)), 2)
        seen = max_pool2d(self.coarse(seen), 2)
        seen = max_pool2d(seen + self.again(seen), (1, 2))
        told: Tensor = self.told(seen.reshape(-1, 768))
        return told


def seen_anew(looks: Tensor, gaze: Gaze, turn: Tensor, size: Tensor, shift: Tensor) -> Tensor:
    """Sample looks (n, channels, rows, columns) as from another place.

    Parameters
    ----------
    turn : Tensor, shape (n,)
        Radians counter-clockwise about the joint.
    size : Tensor, shape (n,)
        Of the window, in units of the old one.
    shift : Tensor, shape (n, 2)
        Of the joint, aside and ahead, in units of a window of size 1.
    """
    count, channels, rows, columns = looks.shape
    views = len(gaze.sides)
    across = torch.linspace(*gaze.aside, columns, device=looks.device)
    ahead = torch.linspace(*gaze.ahead, rows, device=looks.device)
    y, x = torch.meshgrid(ahead, across, indexing="ij")
    cosine, sine = (
        part(turn)[:, None, None] * size[:, None, None] for part in (torch.cos, torch.sin)
    )
    grids = []
    for side in gaze.sides:
        off = shift[:, :, None, None] / side
        u, v = cosine * x + sine * y + off[:, 0], cosine * y - sine * x + off[:, 1]
        spans = ((u, gaze.aside), (v, gaze.ahead))
        grids.append(
            torch.stack([2 * (w - low) / (high - low) - 1 for w, (low, high) in spans], dim=-1)
        )
    grid = torch.stack(grids, dim=1).reshape(count * views, rows, columns, 2)
    parts = looks.reshape(count * views, channels // views, rows, columns)
    return grid_sample(parts, grid, align_corners=True).reshape(looks.shape)


def headless(looks: Tensor, rng: Rng) -> Tensor:
    """Carry the shafts of arrows on over their whole length: plain lines, as extensions are."""
    plain = looks.clone()
    low, high, start, end = np.searchsorted(ALONG, (0.0, 1.0, 0.3, 0.68)).tolist()
    shaft = looks[:, :, start:end]
    back_and_forth = np.r_[0 : end - start, end - start - 2 : 0 : -1]
    rows = np.arange(low, high + 1)
    steps = rows - low + int(rng.integers(0, end - start))
    plain[:, :, low : high + 1] = shaft[:, :, back_and_forth[steps % len(back_and_forth)].tolist()]
    return plain


def _varied(looks: Tensor, lean: Tensor, gaze: Gaze) -> tuple[Tensor, Tensor]:
    """Looks turned, resized, shifted, mirrored, fainter and noisier, with their lean."""
    count, device = len(looks), looks.device

    def drawn(*shape: int) -> Tensor:
        return torch.randn(*shape, device=device)

    turn = torch.deg2rad(gaze.turn_deg * drawn(count))
    size = torch.exp(gaze.scale * drawn(count))
    looks = seen_anew(looks, gaze, turn, size, gaze.shift * drawn(count, 2))
    lean = lean - torch.rad2deg(turn)
    mirrored = torch.rand(count, device=device) < 0.5
    looks = torch.where(mirrored[:, None, None, None], looks.flip(3), looks)
    looks = looks * (torch.rand(count, 1, 1, 1, device=device) * 0.7 + 0.6)
    noise = 0.06 * torch.rand(count, 1, 1, 1, device=device)
    looks = (looks + noise * torch.randn_like(looks)).clamp(0, 1.3)
    return looks, torch.where(mirrored, -lean, lean)


def _batches(kinds: NDArray[np.int64], rng: Rng) -> Iterator[NDArray[np.intp]]:
    right, wrong = np.flatnonzero(kinds > 0), np.flatnonzero(kinds == 0)
    order = rng.permutation(np.r_[right, rng.permutation(wrong)[: WRONG * len(right)]])
    yield from np.array_split(order, max(1, len(order) // BATCH))


def train(net: nn.Module, looks: Looks, gaze: Gaze, epochs: int, device: str) -> nn.Module:
    """Train a network; along strokes, some arrows come again without heads, as no arrows."""
    rng = np.random.default_rng(0)
    net = net.to(device).train()
    seen, kinds = torch.from_numpy(looks.seen).to(device), torch.from_numpy(looks.kind).to(device)
    leans = torch.from_numpy(looks.lean_deg).to(device)
    optimiser = torch.optim.AdamW(net.parameters(), lr=RATE, weight_decay=2e-3)
    steps = epochs * len(list(_batches(looks.kind, rng)))
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimiser, RATE, total_steps=steps)
    for epoch in range(epochs):
        total = torch.zeros((), device=device)
        for batch in _batches(looks.kind, rng):
            pick = torch.from_numpy(batch).to(device)
            shown, true, lean = seen[pick].float() / UNIT, kinds[pick], leans[pick]
            if gaze is STROKE_GAZE:
                again = (true > 0) & (torch.rand(len(true), device=device) < 0.3)
                shown = torch.cat([shown, headless(shown[again], rng)])
                true = torch.cat([true, torch.zeros_like(true[again])])
                lean = torch.cat([lean, lean[again]])
            varied, lean = _varied(shown, lean, gaze)
            answer = net(varied)
            loss = cross_entropy(answer[:, :3], true, label_smoothing=0.02)
            if gaze is FOOT_GAZE:
                off = smooth_l1_loss(answer[:, 3], lean / LEAN_DEG, beta=0.2, reduction="none")
                loss = loss + LEAN_WEIGHT * (off * (true > 0)).mean()
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            schedule.step()
            total += loss.detach() * len(batch)
        mean = float(total) / max(sum(len(batch) for batch in _batches(looks.kind, rng)), 1)
        print(f"epoch {epoch + 1} of {epochs}: loss {mean:.4f} a look", flush=True)
    return net.eval()


def told(net: nn.Module, looks: NDArray[np.uint8], device: str) -> Floats:
    """What a network answers."""
    with torch.no_grad():
        answers = [
            net(torch.from_numpy(part).to(device).float() / UNIT).cpu().numpy()
            for part in np.array_split(looks, max(1, len(looks) // 512))
        ]
    return np.concatenate(answers)
