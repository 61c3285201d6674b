"""Measure a reader on the evaluation set: ``python -m tests.benchmarks.reading --reader best``."""

from __future__ import annotations

import multiprocessing
import tempfile
import time
from collections.abc import Iterable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from itertools import islice
from pathlib import Path
from typing import Annotated

import cv2
import numpy as np
import typer

import sample_sketches
from model.candidate import Candidate
from tests.benchmarks.memory import peak_memory
from tests.benchmarks.overlay import draw_overlay
from tests.benchmarks.scoring import Hits, Score, score
from tests.benchmarks.sketches.evaluation_set import (
    Case,
    evaluation_set,
    real_pages,
    sample_cases,
)
from vision.reading import NoTruss, read_picture

__all__ = ["Outcome", "measure", "table"]

_CACHE = Path(tempfile.gettempdir(), "inkstrut_sketches")


@dataclass(frozen=True)
class Outcome:
    """What came of one picture: its score where it shows a truss, its cost, its tags.

    `invented` is the number of members read where there is no truss; `failure`
    is the message of an error that was not 'no truss found'.
    """

    name: str
    tags: dict[str, str]
    score: Score | None
    invented: int
    seconds: float
    peak_mb: float
    failure: str | None = None


def measure(case: Case, reader: str, overlay: Path | None = None) -> Outcome:
    """Read one picture and score it."""
    read: Candidate | None = None
    failure = None
    start = time.perf_counter()
    try:
        read = read_picture(case.picture, reader=reader)
    except NoTruss:
        pass
    except Exception as error:  # one failing picture must not stop the measurement
        failure = f"{type(error).__name__}: {error}"
    seconds = time.perf_counter() - start
    peak = peak_memory()
    if overlay is not None:
        overlay.mkdir(parents=True, exist_ok=True)
        draw_overlay(case.picture, read, case.truth, overlay / f"{case.picture.stem}.png")
    return Outcome(
        case.picture.name,
        case.tags,
        score(read, case.truth) if case.truth else None,
        len(read.members) if read and not case.truth else 0,
        seconds,
        peak,
        failure,
    )


def warm_up(reader: str) -> None:
    """Read one sample, so that loading the reader is not counted with a picture."""
    cv2.setNumThreads(2)
    read_picture(sample_sketches.picture_path(sample_sketches.names()[0]), reader=reader)


def _sum(hits: Iterable[Hits]) -> Hits:
    return sum(hits, Hits())


_HEAD = (
    f"{'':28}{'n':>4}{'joint':>7}{'member':>7}{'exact':>7}{'corr.':>7}{'place':>7}"
    f"{'supp.':>7}{'load':>7}{'med s':>7}{'p95 s':>7}"
)


def _row(name: str, outcomes: list[Outcome]) -> str:
    scores = [outcome.score for outcome in outcomes if outcome.score]
    seconds = [outcome.seconds for outcome in outcomes]
    return (
        f"{name:28}{len(scores):4d}"
        f"{_sum(s.joints for s in scores).f1:7.3f}"
        f"{_sum(s.members for s in scores).f1:7.3f}"
        f"{np.mean([s.exact for s in scores]):7.1%}"
        f"{np.mean([s.corrections for s in scores]):7.2f}"
        f"{_sum(s.support_places for s in scores).f1:7.3f}"
        f"{_sum(s.supports for s in scores).f1:7.3f}"
        f"{_sum(s.loads for s in scores).f1:7.3f}"
        f"{np.median(seconds):7.2f}{np.percentile(seconds, 95):7.2f}"
    )


def table(outcomes: list[Outcome]) -> str:
    """Lay the outcomes out as text: all, then by difficulty, paper, pen and family."""
    trusses = [outcome for outcome in outcomes if outcome.score]
    others = [outcome for outcome in outcomes if not outcome.score]
    lines: list[str] = []
    if trusses:
        lines += [_HEAD, _row("all trusses", trusses)]
        for cause in ("difficulty", "paper", "pen", "family"):
            lines.append(f"by {cause}")
            for value in dict.fromkeys(sorted(outcome.tags[cause] for outcome in trusses)):
                chosen = [outcome for outcome in trusses if outcome.tags[cause] == value]
                lines.append(_row(f"  {value}", chosen))
    if others:
        taken = sum(outcome.invented > 0 for outcome in others)
        members = sum(outcome.invented for outcome in others)
        lines.append(
            f"no truss on {len(others)} pages: {taken} taken for one ({taken / len(others):.1%}),"
            f" {members} members invented"
        )
        for shows in sorted({outcome.tags["shows"] for outcome in others}):
            chosen = [outcome for outcome in others if outcome.tags["shows"] == shows]
            wrong = [outcome for outcome in chosen if outcome.invented]
            names = ", ".join(outcome.name for outcome in wrong[:6])
            lines.append(f"  {shows:26}{len(wrong):3d} of {len(chosen):3d}  {names}")
    failures = [outcome for outcome in outcomes if outcome.failure]
    lines += [f"failed: {outcome.name}: {outcome.failure}" for outcome in failures]
    seconds = [outcome.seconds for outcome in outcomes]
    lines.append(
        f"{len(outcomes)} pictures: {np.median(seconds):.2f} s median,"
        f" {np.percentile(seconds, 95):.2f} s p95,"
        f" peak memory {max(outcome.peak_mb for outcome in outcomes):.0f} MB a process"
    )
    return "\n".join(lines)


def main(
    reader: Annotated[str, typer.Option(help="best, network, classical, lsd or hough")] = "best",
    cache: Annotated[Path, typer.Option(help="where the drawn pictures are kept")] = _CACHE,
    overlay: Annotated[Path | None, typer.Option(help="draw each reading over its picture")] = None,
    real: Annotated[Path | None, typer.Option(help="folder of real pages without a truss")] = None,
    samples: Annotated[bool, typer.Option(help="read the twelve samples instead")] = False,
    jobs: Annotated[int, typer.Option(min=1, max=2, help="pictures read at the same time")] = 1,
    every: Annotated[int, typer.Option(min=1, help="read only every n-th picture")] = 1,
    only: Annotated[str, typer.Option(help="read only pictures whose name begins so")] = "",
) -> None:
    """Read the evaluation set and print how well it went."""
    cases = sample_cases() if samples else [*evaluation_set(cache)]
    cases += real_pages(real) if real else []
    cases = [case for case in cases if case.picture.name.startswith(only)]
    cases = list(islice(cases, 0, None, every))
    if not cases:
        raise typer.BadParameter(f"no picture's name starts with '{only}'.", param_hint="--only")
    work = partial(measure, reader=reader, overlay=overlay)
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(
        jobs, mp_context=context, initializer=warm_up, initargs=(reader,)
    ) as pool:
        outcomes = list(pool.map(work, cases))
    typer.echo(f"reader {reader}, {jobs} at a time")
    typer.echo(table(outcomes))


if __name__ == "__main__":
    typer.run(main)
