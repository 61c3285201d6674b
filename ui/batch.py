"""A folder of pictures at once: each read, solved where a job lies beside it, all in one table."""

from __future__ import annotations

import csv
import hashlib
import json
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, dataclass, fields
from itertools import islice
from pathlib import Path
from typing import TYPE_CHECKING, Any

from model.errors import InputError
from model.job import Job, read_job

if TYPE_CHECKING:
    from ui.pictures import Photo

__all__ = ["Row", "run"]

_PICTURES = {".jpg", ".jpeg", ".png", ".webp", ".tif", ".tiff", ".heic", ".heif", ".pdf"}
_JOB = ".job.json"
#: File in each picture's folder that says what came of it; written last.
_ROW = "row.json"
#: Pictures under way at once, for each worker.
_AHEAD = 2


@dataclass(frozen=True)
class Row:
    """What came of one picture.

    Attributes
    ----------
    picture : str
        Name of the picture, or of the job where there is no picture.
    status : str
        'read', 'solved', 'not solvable' (with the reason), 'no truss' or 'failed'.
    joints, members, supports, loads, doubts : int
    largest_force : float or None
    force_unit : str
    message : str
        Why it failed or could not be solved.
    folder : str
        Where its files are, below the output folder.
    key : str
        Checksum of what went in.
    """

    picture: str
    status: str
    joints: int = 0
    members: int = 0
    supports: int = 0
    loads: int = 0
    doubts: int = 0
    largest_force: float | None = None
    force_unit: str = ""
    message: str = ""
    folder: str = ""
    key: str = ""

    @property
    def failed(self) -> bool:
        """Whether nothing came of it."""
        return self.status in ("failed", "no truss")


@dataclass(frozen=True)
class _Item:
    """One picture with its job, as it travels to a worker: contents, not paths."""

    name: str
    folder: str
    picture: bytes | None
    job: bytes | None

    @property
    def key(self) -> str:
        parts = (self.picture or b"", b"\0", self.job or b"")
        return hashlib.sha256(b"".join(parts)).hexdigest()


def run(
    folder: Path,
    output: Path,
    *,
    cluster: str | None = None,
    resume: bool = False,
    say: Callable[[str], None] = lambda _: None,
) -> list[Row]:
    """Work through a folder and write what came of it, with a table of all.

    Parameters
    ----------
    folder : Path
        Pictures, and beside them jobs of the same name ending in ``.job.json``.
    output : Path
        An existing folder; one folder below it for each picture, and
        ``summary.csv`` and ``summary.json``.
    cluster : str, optional
        Address of a Dask scheduler whose workers have Inkstrut installed; by
        default one worker for each core of this machine.
    resume : bool
        Leave out pictures that were done before and have not changed.
    say : callable
        Told after each picture.

    Raises
    ------
    InputError
        If the folder holds nothing to do or the cluster does not answer.
    """
    names = _names(folder)
    rows: dict[str, Row] = {}
    if resume:
        rows = {row.picture: row for row in (_done(folder, output, n) for n in names) if row}
    todo = [name for name in names if name not in rows]
    try:
        for row, files in _outcomes(folder, todo, cluster):
            _keep(output, row, files)
            rows[row.picture] = row
            said = f" ({row.message})" if row.message else ""
            say(f"{len(rows)} of {len(names)}  {row.picture}: {row.status}{said}")
    finally:  # what is done stays done, whatever ends the run
        ordered = [rows[name] for name in names if name in rows]
        _summarise(output, ordered)
    return ordered


def _names(folder: Path) -> list[str]:
    """Pictures, and jobs without a picture, in the folder."""
    try:
        files = sorted(path.name for path in folder.iterdir() if path.is_file())
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise InputError(f"{folder}: cannot be read ({reason}); check the path.") from error
    pictures = [name for name in files if Path(name).suffix.lower() in _PICTURES]
    stems = {Path(name).stem for name in pictures}
    jobs = [name for name in files if name.endswith(_JOB) and name[: -len(_JOB)] not in stems]
    if not pictures and not jobs:
        raise InputError(f"{folder}: holds no pictures; choose a folder with pictures in it.")
    return sorted(pictures + jobs)


def _item(folder: Path, name: str) -> _Item:
    if name.endswith(_JOB):
        return _Item(name, name[: -len(_JOB)], None, (folder / name).read_bytes())
    path = folder / name
    beside = folder / f"{path.stem}{_JOB}"
    job = beside.read_bytes() if beside.is_file() else None
    return _Item(name, name, path.read_bytes(), job)


def _done(folder: Path, output: Path, name: str) -> Row | None:
    """What came of a picture in an earlier run, if it has not changed since and worked."""
    try:
        item = _item(folder, name)
        row = Row(**json.loads((output / item.folder / _ROW).read_text(encoding="utf-8")))
    except (OSError, ValueError, TypeError):
        return None
    return row if row.key == item.key and not row.failed else None


Outcome = tuple[Row, dict[str, bytes]]


def _outcomes(folder: Path, names: Sequence[str], cluster: str | None) -> Iterator[Outcome]:
    """Work on every picture, in the order in which they are finished."""
    if len(names) <= 1 and cluster is None:  # one picture needs no workers
        for name in names:
            yield work(_item(folder, name))
        return
    from dask.distributed import as_completed

    with _client(cluster, len(names)) as client:
        waiting = iter(names)
        slots = _AHEAD * max(1, len(client.nthreads()))
        futures = {}

        def submit(name: str) -> Any:
            future = client.submit(work, _item(folder, name), pure=False, retries=0)
            futures[future.key] = name
            return future

        running: Any = as_completed(  # type: ignore[no-untyped-call]
            [submit(name) for name in islice(waiting, slots)]
        )
        for future in running:
            name = futures.pop(future.key)
            if future.status == "finished":
                yield future.result()
            else:  # the worker died with it, out of memory for instance
                yield (
                    Row(name, "failed", message="the worker that read it was lost", folder=name),
                    {},
                )
            future.release()
            for following in islice(waiting, 1):
                running.add(submit(following))


def _client(cluster: str | None, pictures: int) -> Any:
    import logging
    import os

    import dask
    from dask.distributed import Client

    # A picture that kills its worker is given up, not tried on the next one.
    dask.config.set({"distributed.scheduler.allowed-failures": 0})
    if cluster is None:
        with _deaf_children():
            return Client(  # type: ignore[no-untyped-call]
                n_workers=min(os.cpu_count() or 1, pictures),
                threads_per_worker=1,
                dashboard_address=None,
                silence_logs=logging.CRITICAL,
            )
    try:
        return Client(cluster, timeout=10)  # type: ignore[no-untyped-call]
    except (OSError, ValueError) as error:
        raise InputError(
            f"cluster: no Dask scheduler answers at '{cluster}'; check its address."
        ) from error


@contextmanager
def _deaf_children() -> Iterator[None]:
    """Let processes started here ignore Ctrl-C: it is for this one, which stops them itself."""
    if threading.current_thread() is not threading.main_thread():
        yield  # only the main thread may set handlers
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def work(item: _Item) -> Outcome:
    """Read one picture and solve its job; whatever goes wrong becomes its row."""
    files: dict[str, bytes] = {}
    try:
        facts = _work(item, files)
    except InputError as error:
        found_nothing = type(error).__name__ == "NoTruss"
        facts = {"status": "no truss" if found_nothing else "failed", "message": str(error)}
    except Exception as error:  # one picture never stops the rest
        facts = {"status": "failed", "message": f"unexpected {type(error).__name__}: {error}"}
    return Row(picture=item.name, folder=item.folder, key=item.key, **facts), files


def _work(item: _Item, files: dict[str, bytes]) -> dict[str, Any]:
    from ui.pictures import read_photo

    job = None if item.job is None else read_job(item.job)
    turn = job.picture.turn if job and job.picture else 0
    photo = None if item.picture is None else read_photo(item.picture, name=item.name, turn=turn)
    if job is not None:
        return _solve(job, photo, files)
    assert photo is not None
    return _read(item.name, photo, files)


def _read(name: str, photo: Photo, files: dict[str, bytes]) -> dict[str, Any]:
    from ui.overlay import reading_over
    from ui.rendering import png
    from vision.reading import read_picture

    candidate = read_picture(photo.source, name=name)
    files["candidate.json"] = candidate.model_dump_json(indent=1).encode()
    files["reading.png"] = png(reading_over(candidate, photo))
    counted = ("joints", "members", "supports", "loads", "doubts")
    return {"status": "read", **{part: len(getattr(candidate, part)) for part in counted}}


def _solve(job: Job, photo: Photo | None, files: dict[str, bytes]) -> dict[str, Any]:
    from ui.exports import all_files
    from ui.solving import solved

    placed, result = solved(job)
    files.update(all_files(placed, result, photo))
    largest = max((abs(member.force) for member in result.members), default=None)
    return {
        "status": "solved" if result.members else "not solvable",
        "message": "" if result.members else result.reason or "",
        "joints": len(job.joints),
        "members": len(job.members),
        "supports": len(job.supports),
        "loads": len(job.loads),
        "largest_force": largest,
        "force_unit": job.units.force,
    }


def _keep(output: Path, row: Row, files: dict[str, bytes]) -> None:
    folder = output / row.folder
    folder.mkdir(parents=True, exist_ok=True)
    for name, content in files.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_bytes(content)
    (folder / _ROW).write_text(json.dumps(asdict(row), indent=1), encoding="utf-8")


def _summarise(output: Path, rows: Sequence[Row]) -> None:
    (output / "summary.json").write_text(
        json.dumps([asdict(row) for row in rows], indent=1) + "\n", encoding="utf-8"
    )
    with (output / "summary.csv").open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, [field.name for field in fields(Row)], lineterminator="\n")
        writer.writeheader()
        writer.writerows(asdict(row) for row in rows)
