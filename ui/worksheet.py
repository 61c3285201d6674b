"""Worksheets: a blank figure to hand out, a table to fill in, and the key."""

from __future__ import annotations

from collections.abc import Sequence

from model.job import Job
from model.result import CAUTION, Result
from ui.annotate import annotated
from ui.blank_figure import blank_figure
from ui.document import Block, Break, Figures, Heading, Table, Text, to_pdf
from ui.numbers import number
from ui.working import answer_tables, two_columns

__all__ = ["key_pdf", "worksheet_pdf"]

_TASK = (
    "Find the reactions and the force in every member. Write the size and, in the last column, "
    "T for tension or C for compression; 0 where a member carries no force."
)
#: Room to write a value in.
_BLANK = "\u00a0" * 20


def worksheet_pdf(jobs: Sequence[Job]) -> bytes:
    """Give the sheet to hand out: one page or more for each job, without any answer.

    Parameters
    ----------
    jobs : sequence of Job
        Placed; variants carry their number in the title.
    """
    blocks: list[Block] = []
    for position, job in enumerate(jobs, 1):
        if blocks:
            blocks.append(Break())
        blocks += [
            Heading(_title(job, position, len(jobs)), 1),
            Text(f"Name {'_' * 34}{_BLANK}Date {'_' * 18}"),
            Figures((blank_figure(job),), (f"problem-{position}",), 0.95),
            *_inclined(job),
            Text(_TASK),
            *_to_fill_in(job),
        ]
    title = jobs[0].title or "Truss"
    return to_pdf(blocks, title=f"{title}: worksheet", footer=CAUTION)


def key_pdf(solved: Sequence[tuple[Job, Result]]) -> bytes:
    """Give the answers to the worksheet of the same jobs: figure with forces, and tables."""
    blocks: list[Block] = []
    for position, (job, result) in enumerate(solved, 1):
        if blocks:
            blocks.append(Break())
        blocks += [
            Heading(f"Key: {_title(job, position, len(solved))}", 1),
            Figures((annotated(job, result),), (f"key-{position}",), 0.95),
            *answer_tables(result, job.units.force),
        ]
    title = solved[0][0].title or "Truss"
    return to_pdf(blocks, title=f"{title}: key", footer=CAUTION)


def _title(job: Job, position: int, total: int) -> str:
    return job.title or ("Truss" if total == 1 else f"Truss {position}")


def _inclined(job: Job) -> list[Block]:
    """Say in words what the figure alone does not: the angles of inclined rollers."""
    said = [
        f"The roller at {support.joint} pushes on the truss at {number(support.angle_deg)}°, "
        "measured anticlockwise from the right."
        for support in job.supports
        if support.kind == "roller" and support.angle_deg % 90.0 != 0.0
    ]
    return [Text(" ".join(said))] if said else []


def _to_fill_in(job: Job) -> list[Block]:
    """Tables with empty cells."""
    unit = job.units.force
    supports = tuple((support.joint, _BLANK, _BLANK) for support in job.supports)
    header, rows = two_columns(
        ("Member", f"Force, {unit}", "T or C"),
        [(f"{member.a}-{member.b}", _BLANK, _BLANK) for member in job.members],
    )
    return [
        Table(("Support", f"x-reaction, {unit}", f"y-reaction, {unit}"), supports),
        Table(header, tuple(rows)),
    ]
