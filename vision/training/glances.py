"""Training of the small networks of `vision.glance`: ``python -m vision.training.glances``.

Rendered pictures are used as they are, with their true joints and members: no maps are needed,
so that some thousand pictures take a few minutes on one core.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path
from typing import Annotated

import numpy as np
import torch
import typer
from numpy.typing import NDArray
from torch import Tensor, nn
from torch.nn.functional import cross_entropy

from vision.arrows import member_directions, rays_at, reach_of, turn, widened
from vision.glance import ALONG, ARROW, FOOT, WEIGHTS, Ink, lay_bare, look_along, look_under
from vision.page import find_ink
from vision.training import draw
from vision.training.evidence import second
from vision.training.truth import Truth

__all__ = ["Glancer", "drawn", "looks_of", "train"]

Looks = tuple[NDArray[np.float32], NDArray[np.int64]]
Rng = np.random.Generator

#: First numbers of the pictures of either maker; no other set of pictures has them.
FIRST, FIRST_SECOND = 72_000, 79_000_000
KINDS = ("medium", "second", "hard", "second", "easy")
#: Wrong looks to each right one in an epoch.
WRONG = 4


class Glancer(nn.Module):
    """Three small convolutions and two layers; answers with three log-odds."""

    def __init__(self, channels: int, rows: int, columns: int) -> None:
        super().__init__()
        widths = (channels, 12, 24, 32)
        layers: list[nn.Module] = []
        for a, b in pairwise(widths):
            layers += [nn.Conv2d(a, b, 3, padding=1), nn.ReLU(), nn.MaxPool2d(2)]
        self.seen = nn.Sequential(*layers, nn.Flatten())
        left = widths[-1] * (rows // 8) * (columns // 8)
        self.told = nn.Sequential(nn.Dropout(0.2), nn.Linear(left, 32), nn.ReLU(), nn.Linear(32, 3))

    def forward(self, looks: Tensor) -> Tensor:
        return self.told(self.seen(looks))


def drawn(number: int) -> tuple[NDArray[np.uint8], Truth] | None:
    """Picture of one of both makers; None where it shows no truss."""
    kind = KINDS[number % len(KINDS)]
    return second(FIRST_SECOND + number) if kind == "second" else draw(FIRST + number, kind)


def looks_of(rgb: NDArray[np.uint8], truth: Truth, rng: Rng) -> tuple[Looks, Looks]:
    """Looks along strokes and under joints of one picture, each with its kind."""
    at = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
    at = at + rng.normal(0, 0.003 * np.hypot(*np.ptp(at, axis=0)), at.shape)
    members = tuple((bar["a"], bar["b"]) for bar in truth["members"])
    sheet = find_ink(rgb)
    ink = lay_bare(sheet, at, members)
    rows, columns = sheet.ink.shape
    seen = np.flatnonzero(((at > 0) & (at < (columns, rows))).all(axis=1))
    thick = widened(sheet.ink)
    starts, ends, kinds = [], [], []
    for joint in seen.tolist():
        taken = member_directions(at, joint, members)
        for _, far in rays_at(thick, at[joint], taken, reach_of(at, members)):
            kind = _stroke_kind(at[joint], far, joint, truth)
            if kind is not None:
                starts.append(at[joint])
                ends.append(far)
                kinds.append(kind)
    along = look_along(ink, np.array(starts).reshape(-1, 2), np.array(ends).reshape(-1, 2))
    return (along, np.array(kinds, dtype=np.int64)), _under(ink, at, members, seen, truth, rng)


def _stroke_kind(
    place: NDArray[np.float64], far: NDArray[np.float64], joint: int, truth: Truth
) -> int | None:
    """0 for no arrow, 1 for one inwards, 2 for one outwards, None where it is hard to say."""
    step = far - place
    angle = float(np.degrees(np.arctan2(-step[1], step[0])))
    for entry in [*truth["loads"], *truth["reactions"]]:
        if entry["joint"] != joint:
            continue
        if entry["head"] is None:
            line = turn(angle, entry["direction_deg"])
            if min(line, 180 - line) < 20:
                return None
            continue
        head, tail = np.array(entry["head"]) - place, np.array(entry["tail"]) - place
        outwards = bool(np.hypot(*head) > np.hypot(*tail))
        true = head if outwards else tail
        if turn(angle, float(np.degrees(np.arctan2(-true[1], true[0])))) <= 13:
            share = np.hypot(*step) / np.hypot(*true)
            return (2 if outwards else 1) if 0.55 < share < 1.8 else None
    return 0


def _under(
    ink: Ink,
    at: NDArray[np.float64],
    members: tuple[tuple[int, int], ...],
    seen: NDArray[np.intp],
    truth: Truth,
    rng: Rng,
) -> Looks:
    """Looks under supports, from the right side and from a wrong one, and under other joints."""
    joints, angles, kinds = [], [], []
    held = {entry["joint"]: entry for entry in truth["supports"]}
    for joint, entry in held.items():
        if joint in seen:
            joints += [joint, joint]
            angles += [entry["angle_deg"], entry["angle_deg"] + rng.choice([90, 180, 270])]
            kinds += [1 if entry["kind"] == "pin" else 2, 0]
    free = [joint for joint in rng.permutation(seen).tolist() if joint not in held]
    for entry in truth["reactions"][:3]:
        if entry["joint"] in free:
            joints.append(entry["joint"])
            angles.append(entry["direction_deg"])
    for joint in free[:3]:
        joints.append(joint)
        inner = at.mean(axis=0) - at[joint]
        likely = np.degrees(np.arctan2(-inner[1], inner[0])) + rng.normal(0, 20)
        angles.append(likely if rng.random() < 0.6 else rng.choice([0, 90, 180]))
    kinds += [0] * (len(joints) - len(kinds))
    bar = float(np.median([np.hypot(*(at[a] - at[b])) for a, b in members]))
    turned = np.array(angles) + rng.normal(0, 7, len(angles))
    where = at[np.array(joints, dtype=np.intp)]
    return look_under(ink, where, turned, bar), np.array(kinds, dtype=np.int64)


def _batches(kinds: NDArray[np.int64], rng: Rng, size: int) -> Iterator[NDArray[np.intp]]:
    right, wrong = np.flatnonzero(kinds > 0), np.flatnonzero(kinds == 0)
    order = rng.permutation(np.r_[right, rng.permutation(wrong)[: WRONG * len(right)]])
    yield from np.array_split(order, max(1, len(order) // size))


def headless(looks: NDArray[np.uint8], rng: Rng) -> NDArray[np.uint8]:
    """Carry the shafts of arrows on over their whole length: plain lines, as extensions are."""
    plain = looks.copy()
    low, high, start, end = np.searchsorted(ALONG, (0.0, 1.0, 0.3, 0.68))
    shaft = looks[:, :, start:end]
    back_and_forth = np.r_[0 : end - start, end - start - 2 : 0 : -1]
    rows = np.arange(low, high + 1)
    steps = rows - low + int(rng.integers(0, end - start))
    plain[:, :, rows] = shaft[:, :, back_and_forth[steps % len(back_and_forth)]]
    return plain


def train(
    looks: NDArray[np.uint8], kinds: NDArray[np.int64], epochs: int, seed: int, *, strokes: bool
) -> Glancer:
    """Train on looks stored in two-hundredths: mirrored, shifted, fainter and noisier.

    Along strokes, half of the arrows come a second time without their heads, as no arrows.
    """
    torch.manual_seed(seed)
    rng = np.random.default_rng(seed)
    net = Glancer(*looks.shape[1:])
    optimiser = torch.optim.AdamW(net.parameters(), lr=2e-3, weight_decay=1e-3)
    steps = epochs * len(list(_batches(kinds, rng, 128)))
    schedule = torch.optim.lr_scheduler.OneCycleLR(optimiser, 2e-3, total_steps=steps)
    for epoch in range(epochs):
        total = 0.0
        for batch in _batches(kinds, rng, 128):
            shown, true = looks[batch], kinds[batch]
            if strokes:
                again = np.flatnonzero((true > 0) & (rng.random(len(true)) < 0.5))
                shown = np.concatenate([shown, headless(shown[again], rng)])
                true = np.r_[true, np.zeros(len(again), np.int64)]
            seen = torch.from_numpy(shown).float() / 200
            seen = seen.flip(3) if rng.random() < 0.5 else seen
            seen = torch.roll(seen, tuple(rng.integers(-1, 2, 2).tolist()), (2, 3))
            seen = seen * (torch.rand(len(shown), 1, 1, 1) * 0.7 + 0.6)
            seen = (seen + torch.randn_like(seen) * 0.03).clamp(0, 1.3)
            loss = cross_entropy(net(seen), torch.from_numpy(true), label_smoothing=0.02)
            optimiser.zero_grad()
            loss.backward()
            optimiser.step()
            schedule.step()
            total += float(loss) * len(batch)
        print(f"epoch {epoch + 1} of {epochs}: loss {total / max(len(kinds), 1):.4f} a look")
    return net.eval()


def told(net: Glancer, looks: NDArray[np.uint8]) -> NDArray[np.intp]:
    """Kinds that a network tells."""
    with torch.no_grad():
        odds = [
            net(torch.from_numpy(part).float() / 200).numpy()
            for part in np.array_split(looks, max(1, len(looks) // 512))
        ]
    return np.concatenate(odds).argmax(axis=1)


def main(
    pictures: Annotated[int, typer.Option(help="how many are drawn")] = 2400,
    epochs: Annotated[int, typer.Option()] = 12,
    out: Annotated[Path, typer.Option(help="folder of the weights")] = WEIGHTS,
) -> None:
    """Draw pictures, train both networks on nine tenths, print how the rest is told, export."""
    torch.set_num_threads(1)
    looks: dict[str, list[NDArray[np.uint8]]] = {ARROW: [], FOOT: []}
    kinds: dict[str, list[NDArray[np.int64]]] = {ARROW: [], FOOT: []}
    tests: dict[str, list[NDArray[np.bool_]]] = {ARROW: [], FOOT: []}
    for number in range(pictures):
        picture = drawn(number)
        if picture is None:
            continue
        both = looks_of(*picture, np.random.default_rng(number))
        for name, (look, kind) in zip((ARROW, FOOT), both, strict=True):
            looks[name].append(np.clip(look * 200, 0, 255).astype(np.uint8))
            kinds[name].append(kind)
            tests[name].append(np.full(len(kind), number % 10 == 9))
    for name in (ARROW, FOOT):
        seen, true = np.concatenate(looks[name]), np.concatenate(kinds[name])
        test = np.concatenate(tests[name])
        net = train(seen[~test], true[~test], epochs, seed=0, strokes=name == ARROW)
        right = np.zeros((3, 3), int)
        np.add.at(right, (true[test], told(net, seen[test])), 1)
        print(f"{name}: true kinds by row, told by column: {right.tolist()}")
        torch.onnx.export(
            net, (torch.zeros(1, *seen.shape[1:]),), str(out / f"{name}.onnx"),
            input_names=["look"], output_names=["told"], opset_version=17, dynamo=False,
        )  # fmt: skip


if __name__ == "__main__":
    typer.run(main)
