"""The whole worked solution of a truss, as a person would write it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from numpy.typing import NDArray

from model.errors import InputError
from model.job import Job
from model.result import CAUTION, Result
from model.truss import Truss
from solver.joints import joint_by_joint
from solver.sections import Section, section
from solver.solution import Solution
from solver.steps import Acting, JointStep, PartStep, Step, Working
from ui.annotate import annotated
from ui.document import Block, Figures, Heading, Lines, Table, Text
from ui.figures import force_polygon, free_body, reciprocal_figure, spaces_figure
from ui.free_parts import free_part
from ui.numbers import number, range_text
from ui.reciprocal import NotDrawable, reciprocal_diagram
from ui.sentences import check_lines, joint_lines, part_lines, together_lines

__all__ = [
    "METHODS",
    "answer_tables",
    "check_blocks",
    "diagram_blocks",
    "given_blocks",
    "section_blocks",
    "step_blocks",
    "two_columns",
    "without_force_blocks",
    "working_blocks",
]

FloatArray = NDArray[np.float64]

#: Rows that a table takes before it is folded.
_FEW_ROWS = 9
#: Members through which a section of three is looked for.
_MOST_TRIED = 8

METHODS = {
    "joints": "The joints can be taken one after the other, each with at most two unknown forces.",
    "reactions first": "The reactions come first, from the truss as a whole; then joint by joint.",
    "with sections": "Where no joint has two unknown forces or fewer, a section goes on.",
    "simultaneous": "Where neither a joint nor a section goes on, equations are solved together.",
    "checks only": "The truss is redundant: its forces come from the stiffness of its members. "
    "Equilibrium at every joint is the check.",
}


def working_blocks(job: Job, solution: Solution, result: Result) -> list[Block]:
    """Write the worked solution: reactions, joints, checks, members without force, diagrams.

    Parameters
    ----------
    job : Job
        Placed.
    solution : Solution
        Of status 'determinate' or 'redundant', with forces.
    result : Result
        The same, as the document to show.
    """
    truss, unit = solution.truss, job.units.force
    working = joint_by_joint(solution)
    blocks: list[Block] = [
        Heading(job.title or "Truss", 1),
        Figures((annotated(job, result),), ("truss",)),
        *given_blocks(job, result, truss),
        Heading("Method"),
        Text(METHODS[working.method]),
    ]
    for position, step in enumerate(working.steps, 1):
        blocks += step_blocks(truss, step, unit, position)
    blocks += check_blocks(working, solution, unit)
    blocks += without_force_blocks(solution)
    blocks += _section(solution, unit)
    blocks += diagram_blocks(solution, unit)
    blocks += [Heading("Answers"), *answer_tables(result, unit)]
    if result.envelope:
        blocks += _envelope(result, unit)
    if result.displacements:
        blocks.append(_movements(result, job.units.length))
    blocks.append(Text(CAUTION, caution=True))
    return blocks


def given_blocks(job: Job, result: Result, truss: Truss) -> list[Block]:
    """Write what is given: the counts, the joints with supports and loads, the warnings."""
    counts = result.counts
    have, need = counts.members + counts.reactions, 2 * counts.joints
    sign = "=" if have == need else ">" if have > need else "<"
    blocks: list[Block] = [
        Heading("Given"),
        Text(
            f"{counts.members} members and {counts.reactions} reaction components against twice "
            f"{counts.joints} joints: {counts.members} + {counts.reactions} {sign} {need}; "
            f"{_said_of(result)}."
        ),
        Table(
            ("Joint", f"x, {job.units.length}", f"y, {job.units.length}", "Support", "Load"),
            tuple(_joint_row(truss, job.units.force)),
        ),
    ]
    blocks += [Text(f"Warning: {warning}", caution=True) for warning in result.warnings]
    return blocks


def _said_of(result: Result) -> str:
    if result.status == "determinate":
        return "statically determinate and stable by the rank of the equations"
    redundants = result.counts.redundants
    return f"stable, with {redundants} redundant {'force' if redundants == 1 else 'forces'}"


def _joint_row(truss: Truss, unit: str) -> Iterable[tuple[str, ...]]:
    held = {support.joint: support for support in truss.supports}
    loads = truss.load_vector()
    for at, name in enumerate(truss.joints):
        support, (fx, fy) = held.get(name), loads[at].tolist()
        kind: str = "" if support is None else support.kind
        if support is not None and support.kind == "roller" and support.angle_deg != 90.0:
            kind = f"roller, pushes at {number(support.angle_deg)}°"
        parts = [
            f"{number(abs(force))} {unit} {way[force > 0]}"
            for force, way in ((fx, ("left", "right")), (fy, ("down", "up")))
            if force
        ]
        x, y = truss.points[at].tolist()
        yield name, number(x), number(y), kind, ", ".join(parts)


def step_blocks(truss: Truss, step: Step, unit: str, position: int) -> list[Block]:
    """Write one step: its free-body figure, the sums with numbers, the force polygon."""
    if isinstance(step, JointStep):
        return _joint_blocks(step, unit, position)
    if isinstance(step, PartStep):
        title = "The whole truss set free" if step.whole else f"Section through {_list(step.cut)}"
        return [
            Heading(f"{position}. {title}"),
            Text(step.reason),
            Figures(
                (free_part(truss, step.joints, step.forces, unit),), (f"step-{position}",), 0.72
            ),
            Lines(tuple(part_lines(step, unit))),
        ]
    return [
        Heading(f"{position}. Joints {_list(step.joints)} together"),
        Text(step.reason),
        Lines(tuple(together_lines(step, unit))),
    ]


def _joint_blocks(step: JointStep, unit: str, position: int) -> list[Block]:
    unknown = [acting.name for acting in step.forces if acting.force is None]
    why = {
        "two unknowns": f"Two unknown forces: {_list(unknown)}.",
        "one unknown": f"One unknown force: {_list(unknown)}.",
        "straight pair": f"All unknown members but {step.found[0].name} lie on one line; the sum "
        f"square to that line leaves {step.found[0].name} alone.",
    }[step.rule]
    figures = _balance(step.joint, forces_after(step), unit, f"{step.joint}-{position}")
    before = free_body(step.joint, step.forces, unit)
    return [
        Heading(f"{position}. Joint {step.joint}"),
        Text(why),
        Figures((before, *figures.sheets[1:]), figures.names, figures.width),
        Lines(tuple(joint_lines(step, unit))),
    ]


def _balance(joint: str, forces: Sequence[Acting], unit: str, name: str) -> Figures:
    """Draw a joint set free, and its force polygon once all its forces are known."""
    sheets, names = [free_body(joint, forces, unit)], [f"joint-{name}"]
    if all(acting.force is not None for acting in forces):
        polygon = force_polygon(joint, forces, unit)
        if polygon is not None:
            sheets.append(polygon)
            names.append(f"polygon-{name}")
    return Figures(tuple(sheets), tuple(names), 0.9 if len(sheets) > 1 else 0.45)


def forces_after(step: JointStep) -> list[Acting]:
    """Give all forces on the joint as they are known after the step."""
    found = {acting.name: acting for acting in step.found}
    return [found.get(a.name, a) if a.force is None else a for a in step.forces]


def check_blocks(working: Working, solution: Solution, unit: str) -> list[Block]:
    """Write the closing checks at joints that were not needed."""
    if not working.checks:
        return []
    blocks: list[Block] = [
        Heading("Closing checks"),
        Text(
            "The forces must balance at every joint."
            if working.method == "checks only"
            else "Equations that were not needed must hold as well."
        ),
    ]
    shown = {step.joint for step in working.steps if isinstance(step, JointStep)}
    for check in working.checks:
        blocks.append(Heading(f"Joint {check.joint}", 3))
        if check.joint not in shown:
            blocks.append(_balance(check.joint, check.forces, unit, f"{check.joint}-check"))
        blocks.append(Lines(tuple(check_lines(check, unit, solution.largest))))
    return blocks


def without_force_blocks(solution: Solution) -> list[Block]:
    """Write which members carry no force, each with its reason."""
    from solver.zero_force import zero_force_members

    found = zero_force_members(solution)
    if not found:
        return []
    return [Heading("Members without force"), Lines(tuple(one.reason for one in found))]


def _section(solution: Solution, unit: str) -> list[Block]:
    """Check large forces by a section through three members."""
    if solution.status != "determinate" or solution.forces is None:
        return []
    cut = _section_of_three(solution, solution.forces)
    if cut is None:
        return []
    title = Heading(f"Check by a section through {_list(cut.part.cut)}")
    return [title, *section_blocks(solution, cut, unit)]


def section_blocks(solution: Solution, cut: Section, unit: str) -> list[Block]:
    """Write a section: the part set free, its equations, and what joint by joint gives."""
    rows = tuple((who, number(one), number(other)) for who, one, other in cut.compared)
    return [
        Text(f"The part with the joints {_list(cut.part.joints)} is set free."),
        Figures(
            (free_part(solution.truss, cut.part.joints, cut.part.forces, unit),), ("section",), 0.72
        ),
        Lines(tuple(part_lines(cut.part, unit))),
        Table(("Member", f"by the section, {unit}", f"joint by joint, {unit}"), rows),
    ]


def _section_of_three(solution: Solution, forces: FloatArray) -> Section | None:
    """Find a section through three members, the one with the largest force that has such."""
    for member in np.argsort(-abs(forces), kind="stable")[:_MOST_TRIED].tolist():
        try:
            cut = section(solution, member)
        except InputError:
            continue
        if len(cut.part.cut) == 3 and len(cut.part.joints) > 1:
            return cut
    return None


def diagram_blocks(solution: Solution, unit: str) -> list[Block]:
    """Draw the reciprocal diagram, or say why there is none."""
    blocks: list[Block] = [Heading("Reciprocal diagram")]
    assert solution.forces is not None
    try:
        diagram = reciprocal_diagram(solution.truss, solution.forces, solution.reaction_at)
    except NotDrawable as reason:
        return [*blocks, Text(str(reason))]
    return [
        *blocks,
        Text(
            "Every space of the figure is a point of the diagram; the line between two points is "
            "the force in the member that parts the two spaces, to scale (Maxwell 1864). Spaces "
            "that share a point are parted by a member without force."
        ),
        Figures(
            (
                spaces_figure(solution.truss, diagram, unit, solution.reaction_at),
                reciprocal_figure(diagram, unit),
            ),
            ("spaces", "reciprocal"),
        ),
    ]


def answer_tables(result: Result, unit: str) -> list[Block]:
    """Tables of the member forces and of the reactions."""
    largest = max((abs(m.force) for m in result.members), default=0.0)
    rows: list[tuple[str, ...]] = []
    for member in result.members:
        none = abs(member.force) <= 1e-9 * largest
        sense = "none" if none else "tension (T)" if member.force > 0 else "compression (C)"
        span = "" if member.range is None else range_text(*member.range)
        size = "0" if none else number(abs(member.force))
        rows.append((f"{member.a}-{member.b}", size, sense, span))
    header: tuple[str, ...] = ("Member", f"Force, {unit}", "Sense", "Range")
    if not any(row[3] for row in rows):
        header, rows = two_columns(header[:3], [row[:3] for row in rows])
    reactions = tuple((name, number(x), number(y)) for name, (x, y) in result.reactions.items())
    return [
        Table(("Support", f"x-reaction, {unit}", f"y-reaction, {unit}"), reactions),
        Table(header, tuple(rows)),
    ]


def _envelope(result: Result, unit: str) -> list[Block]:
    """Table of the extremes over the combinations, tension positive."""
    rows = [
        (f"{e.a}-{e.b}", number(e.lowest), e.lowest_by, number(e.highest), e.highest_by)
        for e in result.envelope
    ]
    header = ("Member", f"Lowest, {unit}", "in", f"Highest, {unit}", "in")
    return [
        Heading("Envelope of the combinations"),
        Text("Tension positive, compression negative; with the combination that governs."),
        Table(header, tuple(rows)),
    ]


def _movements(result: Result, unit: str) -> Table:
    """Table of how far the joints move, where the stiffness is known."""
    moved = (result.displacements or {}).items()
    rows = tuple((name, number(x), number(y)) for name, (x, y) in moved)
    return Table(("Joint", f"x-movement, {unit}", f"y-movement, {unit}"), rows)


def two_columns(
    header: tuple[str, ...], rows: list[tuple[str, ...]]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """Fold a table of more than a few rows into two columns side by side."""
    if len(rows) < _FEW_ROWS:
        return header, rows
    half = (len(rows) + 1) // 2
    other = [*rows[half:], *[("",) * len(header)] * (2 * half - len(rows))]
    return (*header, *header), [(*one, *two) for one, two in zip(rows[:half], other, strict=True)]


def _list(names: Iterable[str]) -> str:
    listed = list(names)
    if len(listed) < 2:
        return "".join(listed)
    return f"{', '.join(listed[:-1])} and {listed[-1]}"
