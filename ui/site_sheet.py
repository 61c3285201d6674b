"""The site capture sheet: what was measured, what follows, how sure it is, what to measure next."""

from __future__ import annotations

from model.errors import InputError
from model.geometry import Geometry, placed_job, settle
from model.job import Dimension, Job, truss_of
from model.result import CAUTION
from solver.solve import result_of
from solver.uncertainty import ForceRanges
from ui.annotate import annotated
from ui.blank_figure import blank_figure
from ui.document import Block, Figures, Heading, Lines, Table, Text, to_pdf
from ui.numbers import number
from ui.pictures import Photo
from ui.solving import ranges_of
from ui.working import answer_tables

__all__ = ["SITE_CAUTION", "site_sheet_blocks", "site_sheet_pdf"]

SITE_CAUTION = "Do not climb, load or alter a structure on the strength of this sheet."
_LINE = "_" * 30
#: Uncertain quantities listed.
_MOST_SHOWN = 5


def site_sheet_pdf(job: Job, photo: Photo | None = None) -> bytes:
    """Give the capture sheet as a PDF; every page carries the cautions."""
    title = f"Site capture: {job.title or 'truss'}"
    footer = f"{SITE_CAUTION} {CAUTION}"
    return to_pdf(site_sheet_blocks(job, photo), title=title, footer=footer)


def site_sheet_blocks(job: Job, photo: Photo | None = None) -> list[Block]:
    """Write the capture sheet.

    A job whose dimensions leave something open still gets its sheet, with what
    to measure next in place of the forces.
    """
    geometry = settle(job)
    blocks: list[Block] = [
        Heading(f"Site capture: {job.title or 'truss'}", 1),
        Text(f"{SITE_CAUTION} {CAUTION}", caution=True),
        Text(f"Captured by {_LINE}   Date {'_' * 14}   Tape {'_' * 14}"),
    ]
    try:
        placed = placed_job(job, geometry)
    except InputError as reason:
        blocks += [Heading("Not settled yet"), Text(str(reason))]
        return [*blocks, *_next(geometry), *_measured(geometry)]
    result = result_of(placed)
    figure = annotated(placed, result, photo)
    blocks.append(Figures((figure,), ("forces",), 0.95))
    blocks += _next(geometry)
    blocks += [Heading("Geometry"), Figures((blank_figure(placed),), ("geometry",), 0.85)]
    blocks += [_joints(geometry, job.units.length), *_measured(geometry)]
    blocks.append(Heading("Forces"))
    ranges = ranges_of(placed, geometry) if result.members else None
    if result.reason is not None:
        blocks.append(Text(result.reason, caution=True))
    blocks += [Text(f"Warning: {warning}", caution=True) for warning in result.warnings]
    if result.members:
        blocks += answer_tables(result, job.units.force)
    if ranges is not None:
        blocks += _sureness(placed, ranges)
    return blocks


def _sureness(job: Job, ranges: ForceRanges) -> list[Block]:
    """Say how far each force may be off, and what matters most."""
    truss, unit = truss_of(job), job.units.force
    halves = zip(ranges.forces, ranges.root_sum_square, ranges.worst, strict=True)
    rows = [
        (truss.member_name(k), number(force), f"± {number(likely, 2)}", f"± {number(worst, 2)}")
        for k, (force, likely, worst) in enumerate(halves)
        if k < len(truss.members)
    ]
    if not ranges.ranking:
        return [Text("No tolerance is given, so no range can be told.")]
    most = [
        f"{one.what}: {100 * one.share:.0f} % of the ranges"
        for one in ranges.ranking[:_MOST_SHOWN]
        if one.share >= 0.005
    ]
    header = ("Member", f"Force, {unit}", "Likely range", "All errors at their worst")
    return [
        Heading("How sure the forces are"),
        Text(
            "Likely: errors as large as the tolerances, independent of each other (root of the sum "
            "of squares). Worst: every tolerance used up in its worst sense. To first order."
        ),
        Table(header, tuple(rows)),
        Heading("What matters most: measure there next", 3),
        Lines(tuple(most)),
    ]


def _next(geometry: Geometry) -> list[Block]:
    """Say what to measure next, and what contradicts."""
    blocks: list[Block] = []
    doubtful = [misread.sentence for misread in geometry.misreads]
    doubtful += [problem.sentence for problem in geometry.problems]
    if doubtful:
        blocks += [Heading("Measure again"), Lines(tuple(doubtful))]
    wanted = [suggestion.sentence for suggestion in geometry.next_dimensions]
    if wanted:
        blocks += [Heading("Measure next"), Lines(tuple(wanted))]
    taken = [f"{_what(one)}: taken from the drawing" for one in geometry.assumptions]
    if geometry.notes or taken:
        blocks += [Heading("Notes"), Lines((*geometry.notes, *taken))]
    return blocks


def _joints(geometry: Geometry, unit: str) -> Table:
    """Coordinates of the joints, each with its standard error."""
    rows = []
    for name, (x, y), (sx, sy) in zip(
        geometry.joints, geometry.points.tolist(), geometry.standard_errors.tolist(), strict=True
    ):
        rows.append((name, f"{number(x)} ± {number(sx, 2)}", f"{number(y)} ± {number(sy, 2)}"))
    return Table(("Joint", f"x, {unit}", f"y, {unit}"), tuple(rows))


def _measured(geometry: Geometry) -> list[Block]:
    """Table of what was measured, and how it fits with the rest."""
    rows = []
    for check in geometry.checks:
        given = check.dimension
        said = "" if given.value is None else str(given.value)
        if given.tolerance is not None:
            said += f" ± {given.tolerance}"
        rows.append((_what(given), said, check.measured, check.state))
    if not rows:
        return []
    header = ("Dimension", "As measured", "In the geometry", "Verdict")
    return [Heading("Dimensions"), Table(header, tuple(rows))]


def _what(dimension: Dimension) -> str:
    return f"{dimension.kind.replace('_', ' ')} {'-'.join(dimension.joints)}"
