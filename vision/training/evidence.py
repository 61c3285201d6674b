"""Fits what the reader believes of what it sees: ``python -m vision.training.evidence``.

Pictures are drawn and read with the weights that are there; the weighings of `vision.evidence`
(arrows, reactions, supports, rollers) and the curves of `vision.confidence` are fitted to what was
right, and written to ``vision/weights/evidence.json``. A fit is judged on pictures that it did not
see, by turns. To be run anew whenever the network's weights change.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from multiprocessing import get_context
from pathlib import Path
from typing import Annotated, Any

import cv2
import numpy as np
import typer
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment, minimize

from vision import network
from vision.arrows import turn
from vision.evidence import WEIGHTS, Weighing, chances, logit, standard
from vision.glance import lay_bare
from vision.graph import choose_graph, connected_pieces
from vision.hanging import take_out_hanging
from vision.loads import Arrows, choose, find_arrows, in_company
from vision.page import find_ink
from vision.passes import carry
from vision.supports import SUPPORT_CHANCE, Feet, beside_others, find_feet, supported
from vision.training.makers import draw_numbered
from vision.training.truth import Truth

__all__ = ["Seen", "fit_curve", "fit_weighing", "look"]

Floats = NDArray[np.float64]
Weighings = dict[str, Weighing]

#: First number of the pictures; those of `vision.training.looks` begin at 72,000.
FIRST = 61_000
#: Parts of the pictures that are left out by turns to judge a fit.
FOLDS = 4
#: Hidden steps and the price of large weights, by weighing.
SHAPES = {
    "arrow": (6, 40.0),
    "arrow_in_company": (6, 40.0),
    "reaction": (3, 20.0),
    "support": (6, 50.0),
    "roller": (3, 20.0),
}


@dataclass(frozen=True)
class Seen:
    """What the reader saw in one picture, and what was true of it.

    Attributes
    ----------
    arrows : Arrows
    is_arrow : ndarray of int, shape (n,)
        0 for none, 1 for a load, 2 for a reaction.
    feet : Feet
    is_foot : ndarray of int, shape (m,)
        0 for none, 1 for a pin, 2 for a roller.
    loads, supports : int
        How many were drawn.
    parts : dict of str to ndarray, shape (k, 2)
        Raw evidence of joints and members, and whether they were right.
    """

    arrows: Arrows
    is_arrow: NDArray[np.int64]
    feet: Feet
    is_foot: NDArray[np.int64]
    loads: int
    supports: int
    parts: dict[str, Floats]


def look(rgb: NDArray[np.uint8], truth: Truth) -> Seen | None:
    """Read a picture as far as the evidence; None where no truss was seen."""
    sheet = find_ink(rgb)
    maps, sheet = network.look_through(rgb, sheet)
    pieces = connected_pieces(choose_graph(maps))
    if not pieces:
        return None
    graph, _ = take_out_hanging(pieces[0], supported(maps, pieces[0].at))
    match = _matched(carry(maps.to_picture, graph.at), truth)
    ink = lay_bare(sheet, carry(maps.to_picture, graph.at), graph.members)
    arrows = find_arrows(maps, graph.at, graph.members, ink)
    feet = find_feet(maps, graph.at, graph.members, ink)
    sure = graph.joint_confidence
    bars = {frozenset((bar["a"], bar["b"])) for bar in truth["members"]}
    joints = [(share, joint in match) for joint, share in enumerate(sure)]
    members = [
        (share * min(sure[a], sure[b]), frozenset((match.get(a, -1), match.get(b, -2))) in bars)
        for (a, b), share in zip(graph.members, graph.member_confidence, strict=True)
    ]
    held = {entry["joint"]: entry["kind"] for entry in truth["supports"]}
    kinds = [held.get(match.get(int(joint), -1)) for joint in feet.joint]
    return Seen(
        arrows,
        np.array([_arrow_kind(arrows, k, match, truth) for k in range(len(arrows.joint))], int),
        feet,
        np.array([0 if kind is None else 1 + (kind == "roller") for kind in kinds], int),
        len(truth["loads"]),
        len(truth["supports"]),
        {"joint": np.array(joints, float), "member": np.array(members, float).reshape(-1, 2)},
    )


def _matched(read: Floats, truth: Truth) -> dict[int, int]:
    """True joints by those read, within a fortieth of the truss's longer side."""
    true = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
    offset = read[:, None] - true[None]
    distance = np.hypot(offset[..., 0], offset[..., 1])
    reach = max(12.0, 0.025 * float(np.ptp(true, axis=0).max()))
    rows, columns = linear_sum_assignment(np.minimum(distance, 2 * reach))
    pairs = zip(rows.tolist(), columns.tolist(), strict=True)
    return {row: column for row, column in pairs if distance[row, column] <= reach}


def _arrow_kind(arrows: Arrows, k: int, match: dict[int, int], truth: Truth) -> int:
    for kind, entries in ((1, truth["loads"]), (2, truth["reactions"])):
        for entry in entries:
            here = entry["joint"] == match.get(int(arrows.joint[k]), -1)
            if here and turn(arrows.acts_deg[k], entry["direction_deg"]) <= 15.0:
                return kind
    return 0


def fit_weighing(evidence: Floats, right: NDArray[np.bool_], steps: int, price: float) -> Weighing:
    """Fit one hidden layer by maximum likelihood, large weights paid for.

    Parameters
    ----------
    evidence : ndarray, shape (n, k)
    right : ndarray of bool, shape (n,)
    steps : int
        Hidden steps.
    price : float
        Half of it times the sum of squared weights is added to the negative log-likelihood.
    """
    mean, scale = evidence.mean(axis=0), evidence.std(axis=0) + 1e-3
    x, y = standard(mean, scale, evidence), right.astype(float)
    width = x.shape[1]

    def loss(weights: Floats) -> tuple[float, Floats]:
        hidden, out = weights[: width * steps].reshape(width, steps), weights[width * steps :]
        told = np.tanh(x @ hidden)
        odds = told @ out[:-1] + out[-1]
        error = 1.0 / (1.0 + np.exp(-np.clip(odds, -30, 30))) - y
        back = x.T @ (error[:, None] * out[:-1] * (1 - told**2))
        slope = np.r_[back.ravel(), told.T @ error, error.sum()]
        slope[:-1] += price * weights[:-1]
        cost = float((np.logaddexp(0, odds) - y * odds).sum())
        return cost + 0.5 * price * float((weights[:-1] ** 2).sum()), slope

    start = np.random.default_rng(0).normal(0, 0.3, width * steps + steps + 1)
    found = minimize(loss, start, jac=True, method="L-BFGS-B", options={"maxiter": 300}).x
    hidden = np.round(found[: width * steps].reshape(width, steps), 4)
    return Weighing(
        np.round(mean, 4), np.round(scale, 4), hidden, np.round(found[width * steps :], 4)
    )


def fit_all(pictures: Sequence[Seen]) -> Weighings:
    """Fit all weighings; those that look at company see fits that left the picture out."""
    arrows = [seen for seen in pictures if len(seen.arrows.joint)]
    feet = [seen for seen in pictures if len(seen.feet.joint)]
    alone = _fit("arrow", ((s.arrows.evidence, s.is_arrow > 0) for s in arrows))
    halves = [
        _fit("arrow", ((s.arrows.evidence, s.is_arrow > 0) for s in arrows[half::2]))
        for half in (1, 0)
    ]
    company = [
        in_company(seen.arrows, halves[k % 2].chance(seen.arrows.evidence))
        for k, seen in enumerate(arrows)
    ]
    kinds = [seen.is_arrow for seen in arrows]
    support = _fit("support", ((s.feet.evidence, s.is_foot > 0) for s in feet))
    beside = [beside_others(s.feet, support.chance(s.feet.evidence)) for s in feet]
    return {
        "arrow": alone,
        "arrow_in_company": _fit(
            "arrow_in_company", ((x, y > 0) for x, y in zip(company, kinds, strict=True))
        ),
        "reaction": _fit(
            "reaction", ((x[y > 0], y[y > 0] == 2) for x, y in zip(company, kinds, strict=True))
        ),
        "support": support,
        "roller": _fit(
            "roller",
            (
                (x[s.is_foot > 0], s.is_foot[s.is_foot > 0] == 2)
                for x, s in zip(beside, feet, strict=True)
            ),
        ),
    }


def _fit(name: str, parts: Iterable[tuple[Floats, NDArray[np.bool_]]]) -> Weighing:
    evidence, right = zip(*parts, strict=True)
    return fit_weighing(np.concatenate(evidence), np.concatenate(right), *SHAPES[name])


@dataclass
class _Count:
    """Found, invented and missed, and evidence with its rightness."""

    found: int = 0
    invented: int = 0
    missed: int = 0

    def __str__(self) -> str:
        precision = self.found / max(self.found + self.invented, 1)
        recall = self.found / max(self.found + self.missed, 1)
        f1 = 2 * self.found / max(2 * self.found + self.invented + self.missed, 1)
        return f"precision {precision:.3f} recall {recall:.3f} F1 {f1:.3f}"


def judge(pictures: Sequence[Seen]) -> dict[str, Floats]:
    """Print how well parts left out by turns are read; return evidence and rightness by part."""
    counts = {"load": _Count(), "support place": _Count(), "support kind and place": _Count()}
    parts: dict[str, list[tuple[float, float]]] = {"load": [], "support": []}
    judged: list[tuple[Seen, Weighings]] = []
    for fold in range(FOLDS):
        weighings = fit_all([s for k, s in enumerate(pictures) if k % FOLDS != fold])
        judged += [(seen, weighings) for seen in pictures[fold::FOLDS]]
        for seen in pictures[fold::FOLDS]:
            _judge_loads(seen, weighings, counts["load"], parts["load"])
            _judge_supports(seen, weighings, counts, parts["support"])
    for name, count in counts.items():
        print(f"{name:24}{count}")
    told = np.concatenate([_kinds_told(seen, weighings) for seen, weighings in judged])
    for name, here in (("all", told[:, 1] >= 0), ("at walls", told[:, 1] > 0)):
        print(f"kind of {here.sum()} supports {name:9}{told[here, 0].mean():.3f}")
    return {name: np.array(pairs) for name, pairs in parts.items()}


def _judge_loads(
    seen: Seen, weighings: Weighings, count: _Count, pairs: list[tuple[float, float]]
) -> None:
    count.missed += seen.loads
    if not len(seen.arrows.joint):
        return
    company = in_company(seen.arrows, weighings["arrow"].chance(seen.arrows.evidence))
    chance = weighings["arrow_in_company"].chance(company)
    reaction = weighings["reaction"].chance(company)
    for k in choose(seen.arrows, chance):
        if reaction[k] > 0.5:
            continue
        right = seen.is_arrow[k] == 1
        pairs.append((float(chance[k] * (1 - reaction[k])), float(right)))
        count.found += right
        count.missed -= right
        count.invented += not right


def _judge_supports(
    seen: Seen, weighings: Weighings, counts: dict[str, _Count], pairs: list[tuple[float, float]]
) -> None:
    place, kind = counts["support place"], counts["support kind and place"]
    place.missed += seen.supports
    kind.missed += seen.supports
    if not len(seen.feet.joint):
        return
    chance = weighings["support"].chance(seen.feet.evidence)
    roller = weighings["roller"].chance(beside_others(seen.feet, chance))
    for k in np.flatnonzero(chance > SUPPORT_CHANCE):
        there = seen.is_foot[k] > 0
        right = seen.is_foot[k] == (2 if roller[k] > 0.5 else 1)
        pairs.append((float(chance[k] * max(roller[k], 1 - roller[k])), float(right)))
        for count, hit in ((place, there), (kind, right)):
            count.found += hit
            count.missed -= hit
            count.invented += not hit


def _kinds_told(seen: Seen, weighings: Weighings) -> Floats:
    """For each true support among the feet: whether its kind is told, and whether at a wall."""
    there = seen.is_foot > 0
    if not there.any():
        return np.zeros((0, 2))
    chance = weighings["support"].chance(seen.feet.evidence)
    roller = weighings["roller"].chance(beside_others(seen.feet, chance))
    told = seen.is_foot == np.where(roller > 0.5, 2, 1)
    wall = np.abs(np.cos(np.radians(seen.feet.push_deg))) > 0.7
    return np.column_stack([told, wall])[there].astype(float)


def fit_curve(pairs: Floats) -> tuple[float, float]:
    """Start and slope of a logistic curve over the logit of raw evidence (Platt 1999)."""
    x, y = logit(pairs[:, 0], 0.01), pairs[:, 1]

    def loss(curve: Floats) -> float:
        odds = curve[0] + curve[1] * x
        return float((np.logaddexp(0, odds) - y * odds).sum())

    start, slope = minimize(loss, np.array([0.0, 1.0])).x
    return round(float(start), 3), round(float(slope), 3)


def print_reliability(part: str, pairs: Floats, curve: tuple[float, float]) -> None:
    """Print what is said and what is right, from the least sure fifth to the surest."""
    said = chances(curve[0] + curve[1] * logit(pairs[:, 0], 0.01))
    order = np.array_split(np.argsort(said), 5)
    row = "  ".join(f"{said[k].mean():.2f}/{pairs[k, 1].mean():.2f}" for k in order if len(k))
    print(f"{part:8} n {len(pairs):5d}  said/right by fifths: {row}")


def seen_in(number: int) -> Seen | None:
    """Draw a numbered picture of one of the makers and look at it."""
    cv2.setNumThreads(1)
    picture = draw_numbered(FIRST + number)
    return look(*picture) if picture else None


def main(
    pictures: Annotated[int, typer.Option(help="how many are drawn and read")] = 400,
    jobs: Annotated[int, typer.Option(min=1, help="pictures read at the same time")] = 1,
    out: Annotated[Path, typer.Option(help="where the fit is written")] = WEIGHTS,
) -> None:
    """Draw, read, fit, judge, write."""
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
        found = list(pool.map(seen_in, range(pictures), chunksize=8))
    seen = [one for one in found if one]
    print(f"{pictures} drawn, a truss seen in {len(seen)}")
    parts = judge(seen)
    for part in ("joint", "member"):
        parts[part] = np.concatenate([s.parts[part] for s in seen])
    document: dict[str, Any] = {}
    for name, fitted in fit_all(seen).items():
        parts_of = ("mean", "scale", "hidden", "out")
        document[name] = {part: getattr(fitted, part).tolist() for part in parts_of}
    curves = {part: fit_curve(pairs) for part, pairs in parts.items()}
    for part, pairs in parts.items():
        print_reliability(part, pairs, curves[part])
    out.write_text(json.dumps({**document, "curves": curves}), encoding="utf-8")


if __name__ == "__main__":
    typer.run(main)
