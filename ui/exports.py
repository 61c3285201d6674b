"""Everything a job gives away: pictures, tables, the graph, the working, the job itself."""

from __future__ import annotations

import base64
import csv
import io
from collections.abc import Iterable, Iterator

from model.errors import InputError
from model.job import Job, truss_of
from model.result import CAUTION, Result
from ui.annotate import annotated
from ui.document import markdown, to_pdf
from ui.pictures import Photo
from ui.rendering import pdf, png, svg

__all__ = [
    "all_files",
    "envelope_csv",
    "graphml",
    "job_json",
    "joints_csv",
    "members_csv",
    "reactions_csv",
    "with_picture",
    "working_pdf",
]


def members_csv(job: Job, result: Result) -> str:
    """Table of the members: ends, length, force with sense, range."""
    truss = truss_of(job)
    largest = max((abs(member.force) for member in result.members), default=0.0)
    rows = []
    for position, member in enumerate(job.members):
        force = result.members[position] if result.members else None
        low, high = ("", "") if force is None or force.range is None else force.range
        rows.append(
            (
                member.a,
                member.b,
                float(truss.lengths[position]),
                job.units.length,
                "" if force is None else force.force,
                "" if force is None else job.units.force,
                "" if force is None else _sense(force.force, largest),
                low,
                high,
            )
        )
    header = ("a", "b", "length", "length_unit", "force", "force_unit", "sense", "low", "high")
    return _table(header, rows)


def _sense(force: float, largest: float) -> str:
    if abs(force) <= 1e-9 * largest:
        return "none"
    return "tension" if force > 0 else "compression"


def reactions_csv(job: Job, result: Result) -> str:
    """Table of the reactions: x and y components at each support."""
    kinds = {support.joint: support.kind for support in job.supports}
    rows = [
        (name, kinds.get(name, ""), x, y, job.units.force)
        for name, (x, y) in result.reactions.items()
    ]
    return _table(("joint", "support", "x", "y", "unit"), rows)


def envelope_csv(job: Job, result: Result) -> str:
    """Table of the lowest and highest force of each member over the combinations."""
    rows = [
        (e.a, e.b, e.lowest, e.lowest_by, e.highest, e.highest_by, job.units.force)
        for e in result.envelope
    ]
    return _table(("a", "b", "lowest", "lowest_by", "highest", "highest_by", "unit"), rows)


def joints_csv(job: Job, result: Result) -> str:
    """Table of the joints: coordinates, place in the picture, load, displacement if known."""
    truss = truss_of(job)
    loads = truss.load_vector()
    moved = result.displacements or {}
    rows = []
    for at, (name, joint) in enumerate(job.joints.items()):
        rows.append(
            (
                name,
                *truss.points[at].tolist(),
                job.units.length,
                *(joint.pixel or ("", "")),
                *loads[at].tolist(),
                job.units.force,
                *moved.get(name, ("", "")),
            )
        )
    header = ("joint", "x", "y", "length_unit", "pixel_x", "pixel_y", "load_x", "load_y")
    return _table((*header, "force_unit", "displacement_x", "displacement_y"), rows)


def _table(header: Iterable[str], rows: Iterable[Iterable[object]]) -> str:
    buffer = io.StringIO()
    writer = csv.writer(buffer, lineterminator="\n")
    writer.writerow(header)
    writer.writerows(rows)
    return buffer.getvalue()


def graphml(job: Job, result: Result) -> str:
    """Give the truss as GraphML: joints with coordinates, members with lengths and forces."""
    import networkx as nx

    truss = truss_of(job)
    graph = nx.Graph(
        title="".join(letter for letter in job.title if letter.isprintable()),
        length_unit=job.units.length,
        force_unit=job.units.force,
        caution=CAUTION,
    )
    loads = truss.load_vector()
    supports = {support.joint: support for support in truss.supports}
    for at, name in enumerate(truss.joints):
        x, y = truss.points[at].tolist()
        fx, fy = loads[at].tolist()
        graph.add_node(name, x=x, y=y, load_x=fx, load_y=fy)
        if name in supports:
            graph.nodes[name].update(
                support=supports[name].kind, support_angle_deg=float(supports[name].angle_deg)
            )
        if name in result.reactions:
            rx, ry = result.reactions[name]
            graph.nodes[name].update(reaction_x=rx, reaction_y=ry)
    for position, (a, b) in enumerate(truss.members.tolist()):
        graph.add_edge(truss.joints[a], truss.joints[b], length=float(truss.lengths[position]))
        if result.members:
            graph.edges[truss.joints[a], truss.joints[b]]["force"] = result.members[position].force
    return "\n".join(nx.generate_graphml(graph)) + "\n"


def with_picture(job: Job, content: bytes | None) -> Job:
    """Put the picture's file into the job, so that one document reopens everything."""
    if job.picture is None or content is None:
        return job
    data = base64.b64encode(content).decode()
    return job.model_copy(update={"picture": job.picture.model_copy(update={"data": data})})


def job_json(job: Job) -> str:
    """Give the job as the document that reopens it."""
    return job.model_dump_json(indent=1) + "\n"


def working_pdf(job: Job) -> bytes:
    """Give the worked solution of a placed and solvable job as a PDF."""
    from solver.solve import result_of, solve
    from ui.working import working_blocks

    solution = solve(truss_of(job))
    if solution.forces is None:
        raise InputError(solution.reason or "The truss has no forces to work out.")
    blocks = working_blocks(job, solution, result_of(job))
    return to_pdf(blocks, title=job.title or "Worked solution", footer=CAUTION)


def all_files(job: Job, result: Result, photo: Photo | None = None) -> Iterator[tuple[str, bytes]]:
    """Make every export of a solved job, one after the other.

    Parameters
    ----------
    job : Job
        Placed.
    result : Result
        Without forces (unstable, or E and A missing) there is no working.
    photo : Photo, optional
        The job's picture.

    Yields
    ------
    tuple of str and bytes
        Path below the folder that holds them all, and content.
    """
    yield "result.json", _text(result.model_dump_json(indent=1) + "\n")
    yield "members.csv", _text(members_csv(job, result))
    yield "reactions.csv", _text(reactions_csv(job, result))
    yield "joints.csv", _text(joints_csv(job, result))
    if result.envelope:
        yield "envelope.csv", _text(envelope_csv(job, result))
    yield "truss.graphml", _text(graphml(job, result))
    yield "job.json", _text(job_json(with_picture(job, None if photo is None else photo.source)))
    sheets = {"figure": annotated(job, result)}
    if photo is not None:
        sheets["picture"] = annotated(job, result, photo)
    for name, sheet in sheets.items():
        yield f"{name}.svg", _text(svg(sheet))
        yield f"{name}.pdf", pdf(sheet)
        yield f"{name}.png", png(sheet)
    if result.members:
        yield from _working(job, result)


def _working(job: Job, result: Result) -> Iterator[tuple[str, bytes]]:
    from solver.solve import solve
    from ui.working import working_blocks

    blocks = working_blocks(job, solve(truss_of(job)), result)
    yield "working.pdf", to_pdf(blocks, title=job.title or "Worked solution", footer=CAUTION)
    text, figures = markdown(blocks, "working-figures/")
    yield "working.md", _text(text)
    for name, content in figures.items():
        yield f"working-figures/{name}", _text(content)


def _text(text: str) -> bytes:
    return text.encode("utf-8")
