"""Everything that can be taken along, made when it is asked for and not before."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import lru_cache

from model.job import Job, truss_of
from model.result import Result
from solver.solve import result_of, solve
from solver.variants import variants
from ui import exports
from ui.annotate import annotated
from ui.blank_figure import blank_figure
from ui.document import markdown
from ui.live import Answer
from ui.marks import Sheet
from ui.pictures import Photo, read_photo
from ui.rendering import pdf, png, svg
from ui.shelf import Picture
from ui.site_sheet import site_sheet_pdf
from ui.solving import has_tolerances, ranges_of, with_ranges
from ui.working import working_blocks
from ui.worksheet import key_pdf, worksheet_pdf

__all__ = ["Bundle"]


@dataclass(frozen=True, eq=False)
class Bundle:
    """What a job has to give.

    Attributes
    ----------
    job : Job
        As a person has it in hand.
    found : Answer
        What it comes to.
    picture : Picture or None
    """

    job: Job
    found: Answer
    picture: Picture | None

    @property
    def placed(self) -> Job:
        """The job with coordinates at every joint."""
        assert self.found.job is not None
        whole = {"title": self.job.title, "picture": self.job.picture}
        return self.found.job.model_copy(update={**whole, "answers": self.job.answers})

    def result(self) -> Result:
        """Give the result, with ranges where tolerances are given."""
        job = self.placed
        result = result_of(job)
        if result.members and has_tolerances(job):
            result = with_ranges(result, ranges_of(job, self.found.geometry))
        return result

    def photo(self) -> Photo | None:
        """Read the picture in its full size."""
        if self.picture is None:
            return None
        content = self.picture.original.read_bytes()
        return read_photo(content, name=self.picture.name, turn=self.picture.turn)

    def job_file(self) -> bytes:
        """Make the document that reopens everything, with the picture inside."""
        content = None if self.picture is None else self.picture.original.read_bytes()
        return exports.job_json(exports.with_picture(self.job, content)).encode()

    def drawn(self, kind: str, *, over_photo: bool) -> Callable[[], bytes]:
        """Make the forces over the photo or over a clean figure, as png, svg or pdf."""

        def make() -> bytes:
            photo = self.photo() if over_photo else None
            return _rendered(annotated(self.placed, self.result(), photo), kind)

        return make

    def blank(self, kind: str) -> Callable[[], bytes]:
        """Make the figure without forces."""
        return lambda: _rendered(blank_figure(self.placed), kind)

    def working_pdf(self) -> bytes:
        """Make the worked solution."""
        return exports.working_pdf(self.placed)

    def working_markdown(self) -> bytes:
        """Make the worked solution as Markdown, its figures beside it."""
        job = self.placed
        blocks = working_blocks(job, solve(truss_of(job)), self.result())
        text, figures = markdown(blocks, "figures/")
        files = [("working.md", text.encode())]
        return _zipped([*files, *((f"figures/{n}", c.encode()) for n, c in figures.items())])

    def tables(self) -> list[str]:
        """Names of the tables there are."""
        names = ["members", "reactions", "joints"]
        return [*names, "envelope"] if self.job.combinations and self.found.forces else names

    def table(self, name: str) -> Callable[[], bytes]:
        """Make a table as CSV."""
        make = {
            "members": exports.members_csv,
            "reactions": exports.reactions_csv,
            "joints": exports.joints_csv,
            "envelope": exports.envelope_csv,
        }[name]
        return lambda: make(self.placed, self.result()).encode()

    def graph(self) -> bytes:
        """Make the truss as GraphML."""
        return exports.graphml(self.placed, self.result()).encode()

    def result_file(self) -> bytes:
        """Make the result document."""
        return (self.result().model_dump_json(indent=1) + "\n").encode()

    def everything(self) -> bytes:
        """Make all files in one archive."""
        return _zipped(exports.all_files(self.placed, self.result(), self.photo()))

    def worksheet(self, count: int, seed: int) -> Callable[[], bytes]:
        """Make a worksheet of the problem, or of so many variants of it."""
        return lambda: worksheet_pdf(self.problems(count, seed))

    def key(self, count: int, seed: int) -> Callable[[], bytes]:
        """Make the key to that worksheet."""
        return lambda: key_pdf([(job, result_of(job)) for job in self.problems(count, seed)])

    def problems(self, count: int, seed: int) -> list[Job]:
        """Give the problem alone, or so many variants of it.

        Raises
        ------
        InputError
            If there are not so many with clean numbers.
        """
        if not count:
            return [self.placed]
        return _variants(self.found, self.job.title, count, seed)

    def site_sheet(self) -> bytes:
        """Make the capture sheet; also of a job that is not settled yet."""
        return site_sheet_pdf(self.job, self.photo())


@lru_cache(maxsize=4)
def _variants(found: Answer, title: str, count: int, seed: int) -> list[Job]:
    assert found.job is not None
    return variants(found.job.model_copy(update={"title": title}), count, seed)


def _rendered(sheet: Sheet, kind: str) -> bytes:
    if kind == "svg":
        return svg(sheet).encode()
    return pdf(sheet) if kind == "pdf" else png(sheet)


def _zipped(files: Iterable[tuple[str, bytes]]) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files:
            archive.writestr(name, content)
    return buffer.getvalue()
