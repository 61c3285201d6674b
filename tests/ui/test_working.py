"""The written sums are true: put the found values in, and every line adds up to nothing."""

from __future__ import annotations

import math
import re

import pytest

import sample_sketches
from model.job import truss_of
from solver.solve import result_of, solve
from ui.document import Lines
from ui.working import working_blocks

SOLVED = [n for n in sample_sketches.names() if n != "why_it_sways"]
FOUND = re.compile(r"^so (?P<name>\S+) = (?P<value>−?[\d.]+)")


def plain(text: str) -> str:
    """Turn a written sum into an expression: − and · as Python has them."""
    return text.replace("−", "-").replace("·", "*")


def value(text: str, known: dict[str, float]) -> float:
    """Work a written sum out, with forces by their names."""
    for name in sorted(known, key=len, reverse=True):
        text = re.sub(rf"(?<![\w(]){re.escape(name)}(?![\w(])", f"({known[name]!r})", text)
    return float(eval(plain(text), {"__builtins__": {}}))  # only digits and signs are left


@pytest.mark.parametrize("name", SOLVED)
def test_every_written_sum_adds_up(name: str) -> None:
    job = sample_sketches.load_job(name)
    solution, result = solve(truss_of(job)), result_of(job)
    exact = {solution.truss.member_name(k): float(force) for k, force in enumerate(solution.forces)}
    for joint, (x, y) in result.reactions.items():
        exact |= {f"{joint}x": x, f"{joint}y": y}
        support = next(s for s in job.supports if s.joint == joint)
        along = math.hypot(x, y)
        exact[f"{joint}({support.angle_deg:.4g}°)"] = along
    size = max(abs(force) for force in exact.values())
    span = max(abs(c) for p in truss_of(job).points.tolist() for c in p)
    sums = 0
    for block in working_blocks(job, solution, result):
        if not isinstance(block, Lines):
            continue
        for line in block.lines:
            found = FOUND.match(line)
            if found:
                shown = float(plain(found["value"]))
                assert shown == pytest.approx(exact[found["name"]], rel=6e-4, abs=1e-9 * size)
            if line.startswith("∑"):
                head, text = line.split(":", 1)
                left, right = text.rsplit("=", 1)
                assert right.strip() == "0"
                # Values are written with four digits: that much, times the arms, may be left.
                allowed = 4e-3 * size * (span if "∑M" in head else 1.0)
                assert abs(value(left, exact)) < allowed, line
                sums += 1
    assert sums >= 2 * len(job.joints) - 3


def test_slope_ratios_are_those_of_the_lengths() -> None:
    job = sample_sketches.load_job("oar_loft")
    truss = truss_of(job)
    vectors = {truss.member_name(k): truss.vectors[k] for k in range(len(truss.members))}
    said = [
        line
        for block in working_blocks(job, solve(truss), result_of(job))
        if isinstance(block, Lines)
        for line in block.lines
        if "run : rise" in line
    ]
    assert said
    for line in said:
        name = line.split(":")[0]
        run, rise, x, y, whole = (
            float(number) for number in re.findall(r"(?<![A-Z])[\d.]+(?!\w)", line.split("=", 2)[2])
        )
        dx, dy = abs(vectors[name])
        assert run / rise == pytest.approx(dx / dy)
        assert x / y == pytest.approx(run / rise, rel=1e-3)
        assert math.hypot(x, y) == pytest.approx(whole, rel=1e-3)
