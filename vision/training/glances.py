"""Training of the small networks of `vision.glance`: ``python -m vision.training.glances``.

Many processes draw pictures and look at their symbols; both networks are then trained on the
looks, on a GPU where there is one, judged on pictures that were kept apart, and written.
"""

from __future__ import annotations

from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from pathlib import Path
from typing import Annotated

import cv2
import numpy as np
import onnx
import torch
import typer
from numpy.typing import NDArray
from onnx import TensorProto, helper, numpy_helper
from torch import nn

from vision.glance import ARROW, FOOT, LEAN_DEG, WEIGHTS
from vision.training.glancer import (
    FOOT_GAZE,
    STROKE_GAZE,
    FootGlancer,
    StrokeGlancer,
    seen_anew,
    told,
    train,
)
from vision.training.looks import UNIT, Looks, looks_in
from vision.training.makers import MAKERS

__all__ = ["export", "print_figures"]

Floats = NDArray[np.float32]


def print_figures(name: str, looks: Looks, answers: Floats) -> None:
    """Print how looks are told: in all, by maker, and at walls."""
    kinds = answers[:, :3].argmax(axis=1)
    right = np.zeros((3, 3), int)
    np.add.at(right, (looks.kind, kinds), 1)
    print(f"{name}: true kinds by row, told by column: {right.tolist()}")
    groups = {maker: looks.number % len(MAKERS) == k for k, maker in enumerate(MAKERS)}
    groups = {"all": np.ones(len(kinds), bool), **groups, "at walls": looks.at_wall}
    either = np.where(answers[:, 2] > answers[:, 1], 2, 1)
    for group, here in groups.items():
        there = here & (looks.kind > 0)
        if not there.any():
            continue
        seen = ((kinds > 0) == (looks.kind > 0))[here].mean()
        which = (either == looks.kind)[there].mean()
        print(
            f"  {group:9} {here.sum():6d} looks, there or not {seen:.3f};"
            f" {there.sum():5d} there, which kind {which:.3f}"
        )


def print_lean(net: nn.Module, looks: Looks, answers: Floats, device: str) -> None:
    """Print how far supports lean before and after the first look, and what a second one tells."""
    lean = (LEAN_DEG * answers[:, 3]).clip(-25, 25)
    there = looks.kind > 0
    before, after = np.abs(looks.lean_deg), np.abs(looks.lean_deg - lean)
    print(f"  lean {before[there].mean():.2f} deg before, {after[there].mean():.2f} after the look")
    parts = []
    for part in np.array_split(np.arange(len(lean)), max(1, len(lean) // 512)):
        seen = torch.from_numpy(looks.seen[part]).to(device).float() / UNIT
        turn = torch.deg2rad(torch.from_numpy(lean[part])).to(device)
        still = torch.ones_like(turn), torch.zeros(len(part), 2, device=device)
        again = seen_anew(seen, FOOT_GAZE, turn, *still).clamp(0, 1.275)
        parts.append((again * UNIT).to(torch.uint8).cpu().numpy())
    print_figures("second look", looks, told(net, np.concatenate(parts), device))


def export(net: nn.Module, looks: NDArray[np.uint8], path: Path) -> float:
    """Write a network in half precision; return the largest difference of OpenCV's answers."""
    shown = torch.from_numpy(looks).float() / UNIT
    net = net.cpu()
    torch.onnx.export(
        net, (shown[:2],), str(path), input_names=["look"], output_names=["told"],
        dynamic_axes={"look": {0: "n"}, "told": {0: "n"}}, opset_version=17, dynamo=False,
    )  # fmt: skip
    onnx.save(halved(onnx.load(str(path))), str(path))
    reader = cv2.dnn.readNetFromONNX(str(path))
    reader.setInput(shown.numpy())
    with torch.no_grad():
        return float(np.abs(reader.forward() - net(shown).numpy()).max())


def halved(model: onnx.ModelProto) -> onnx.ModelProto:
    """Store a network's weights in half precision; its first steps cast them back."""
    casts = []
    for weights in model.graph.initializer:
        if weights.data_type == TensorProto.FLOAT:
            name = weights.name
            half = numpy_helper.to_array(weights).astype(np.float16)
            weights.CopyFrom(numpy_helper.from_array(half, f"{name}_half"))
            casts.append(helper.make_node("Cast", [f"{name}_half"], [name], to=TensorProto.FLOAT))
    nodes = [*casts, *model.graph.node]
    del model.graph.node[:]
    model.graph.node.extend(nodes)
    return model


def main(
    out: Annotated[Path, typer.Argument(help="folder of the weights")] = WEIGHTS,
    pictures: Annotated[int, typer.Option(help="how many are drawn")] = 12_000,
    jobs: Annotated[int, typer.Option(min=1, help="pictures drawn at the same time")] = 1,
    epochs: Annotated[int, typer.Option()] = 16,
) -> None:
    """Draw pictures, train both networks, print how a tenth is told that was left out, write."""
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        found = [both for both in pool.map(looks_in, range(pictures), chunksize=8) if both]
    print(f"{pictures} drawn, {len(found)} with a truss", flush=True)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    torch.manual_seed(0)
    out.mkdir(parents=True, exist_ok=True)
    tasks = ((FOOT, FootGlancer(), FOOT_GAZE, 1), (ARROW, StrokeGlancer(), STROKE_GAZE, 0))
    for name, net, gaze, which in tasks:
        looks = Looks.joined([both[which] for both in found])
        test = (looks.number >= 0) & (looks.number // len(MAKERS) % 10 == 9)
        kept = looks.only(test)
        trained = train(net, looks.only(~test), gaze, epochs, device)
        answers = told(trained, kept.seen, device)
        print_figures(name, kept, answers)
        if name == FOOT:
            print_lean(trained, kept, answers, device)
        difference = export(trained, kept.seen[:64], out / f"{name}.onnx")
        print(f"  written; OpenCV's answers differ by at most {difference:.4f}", flush=True)


if __name__ == "__main__":
    typer.run(main)
