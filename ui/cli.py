"""The commands. Every error is one line on standard error; exit codes say which kind."""

from __future__ import annotations

import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from model.errors import InputError

if TYPE_CHECKING:
    from model.job import Job

__all__ = ["app", "main"]

WRONG_ANSWER = 1
SOME_FAILED = 1
BAD_INPUT = 2
NO_TRUSS = 3
UNSOLVABLE = 4
_INTERRUPTED = 130

app = typer.Typer(
    name="inkstrut",
    help="From a picture of a hand-drawn truss to checked forces, drawn over the picture.",
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
)

Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")]
Port = Annotated[int | None, typer.Option(help="Port to serve on.", min=1, max=65535)]
Host = Annotated[str, typer.Option(help="Address to listen on; only this machine by default.")]


def _version(wanted: bool) -> None:
    if wanted:
        from importlib.metadata import version

        typer.echo(f"inkstrut {version('inkstrut')}")
        raise typer.Exit


@app.callback(invoke_without_command=True)
def begin(
    context: typer.Context,
    quiet: Quiet = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Say the version.")
    ] = False,
) -> None:
    """Open the app when no command is named."""
    context.obj = quiet
    if context.invoked_subcommand is None:
        open_app()


@app.command("app")
def open_app(port: Port = None, host: Host = "localhost") -> None:
    """Open the app in the browser, on a solved sample."""
    from ui.launch import launch

    launch(port, host)


@app.command()
def read(
    context: typer.Context,
    picture: Annotated[Path, typer.Argument(help="JPEG, PNG, WebP, TIFF, HEIC or PDF.")],
    output: Annotated[
        Path | None, typer.Option("-o", "--output", help="File for the JSON.")
    ] = None,
    overlay: Annotated[
        Path | None, typer.Option(help="File for a PNG of the reading over the picture.")
    ] = None,
    page: Annotated[int | None, typer.Option(help="Page of a PDF or TIFF, from 1.")] = None,
    quiet: Quiet = False,
) -> None:
    """Read the truss in a picture: joints, members, supports, loads, with confidences."""
    progress = _Progress(quiet or context.obj)
    from vision.reading import read_picture

    progress.say(f"Reading {picture.name} ...")
    candidate = read_picture(picture, page=page)
    _emit(candidate.model_dump_json(indent=1), output)
    if overlay is not None:
        from ui.overlay import reading_over
        from ui.pictures import read_photo
        from ui.rendering import png

        progress.say(f"Drawing {overlay.name} ...")
        _write(overlay, png(reading_over(candidate, read_photo(picture, page=page))))
    doubts = len(candidate.doubts)
    progress.say(
        f"{len(candidate.joints)} joints, {len(candidate.members)} members, "
        f"{doubts} {'doubt' if doubts == 1 else 'doubts'}."
    )


@app.command()
def solve(
    context: typer.Context,
    job: Annotated[Path, typer.Argument(help="Saved job (JSON).")],
    output: Annotated[
        Path | None,
        typer.Option("-o", "--output", help="Folder for picture, tables and working."),
    ] = None,
    quiet: Quiet = False,
) -> None:
    """Solve a job: reactions and member forces, or the reason why there are none."""
    progress = _Progress(quiet or context.obj)
    from ui.solving import solved

    document = _job(job)
    placed, result = solved(document)
    if output is None:
        _emit(result.model_dump_json(indent=1), None)
    else:
        from ui.exports import all_files
        from ui.pictures import photo_of

        for name, content in all_files(placed, result, photo_of(placed, job.parent)):
            progress.say(f"Writing {name} ...")
            _folder((output / name).parent)
            _write(output / name, content)
    for warning in result.warnings:
        progress.note(f"Warning: {warning}")
    if result.status in ("unstable", "rejected") or not result.members:
        typer.echo(f"inkstrut: {result.reason}", err=True)
        raise typer.Exit(UNSOLVABLE)


@app.command()
def compare(
    context: typer.Context,
    job: Annotated[Path, typer.Argument(help="Saved job (JSON).")],
    answers: Annotated[Path, typer.Argument(help="CSV with the columns what, value, unit.")],
    quiet: Quiet = False,
) -> None:
    """Judge a person's own values, one by one."""
    from ui.comparing import report

    text, all_right = report(_job(job), _text(answers), answers.name)
    if not (quiet or context.obj):
        typer.echo(text)
    if not all_right:
        raise typer.Exit(WRONG_ANSWER)


@app.command()
def batch(
    context: typer.Context,
    folder: Annotated[Path, typer.Argument(help="Folder of pictures, jobs beside them if any.")],
    output: Annotated[Path, typer.Option("-o", "--output", help="Folder for what was found.")],
    cluster: Annotated[
        str | None, typer.Option(help="Address of a Dask scheduler; this machine by default.")
    ] = None,
    resume: Annotated[bool, typer.Option(help="Leave out what is done already.")] = False,
    quiet: Quiet = False,
) -> None:
    """Read, and where there are jobs solve, a folder of pictures."""
    progress = _Progress(quiet or context.obj)
    from ui.batch import run

    _folder(output)
    summary = run(folder, output, cluster=cluster, resume=resume, say=progress.say)
    failed = [row for row in summary if row.failed]
    if failed:
        names = ", ".join(row.picture for row in failed)
        typer.echo(f"inkstrut: {len(failed)} of {len(summary)} failed: {names}.", err=True)
        raise typer.Exit(SOME_FAILED)


def main() -> None:
    """Run the command line; the entry point of the `inkstrut` command."""
    sys.exit(_run(sys.argv[1:]))


def _run(arguments: list[str]) -> int:
    # What typer raises for any wrong command line is the class above its bad parameter.
    usage: type[typer.BadParameter] = typer.BadParameter.__mro__[1]
    try:
        code = int(app(arguments, prog_name="inkstrut", standalone_mode=False) or 0)
        return code if code != _INTERRUPTED else _fail("Stopped.", code)
    except usage as error:
        return _fail(f"{error.format_message()} See 'inkstrut --help'.", BAD_INPUT)
    except InputError as error:
        code = NO_TRUSS if type(error).__name__ == "NoTruss" else BAD_INPUT
        return _fail(str(error), code)
    except typer.Abort:
        return _fail("Stopped.", _INTERRUPTED)
    except KeyboardInterrupt:
        return _fail("Stopped.", _INTERRUPTED)
    except BrokenPipeError:
        # Whoever read our output has left; Python would complain again while closing it.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0


def _fail(sentence: str, code: int) -> int:
    typer.echo(f"inkstrut: {' '.join(sentence.split())}", err=True)
    return code


class _Progress:
    """Lines on standard error, where a person is watching."""

    def __init__(self, quiet: bool) -> None:
        self._quiet = quiet

    def say(self, text: str) -> None:
        """Say what is going on, on a terminal only."""
        if sys.stderr.isatty():
            self.note(text)

    def note(self, text: str) -> None:
        """Say something worth keeping in a log."""
        if not self._quiet:
            typer.echo(text, err=True)


def _text(path: Path) -> str:
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise InputError(f"{path.name}: is not a text file; choose another file.") from error
    except OSError as error:
        reason = error.strerror or "it cannot be opened"
        raise InputError(f"{path.name}: cannot be read ({reason}); check the path.") from error


def _job(path: Path) -> Job:
    from model.job import read_job

    try:
        return read_job(_text(path))
    except InputError as error:
        sentence = str(error)
        known = sentence.startswith(f"{path.name}:")
        raise InputError(sentence if known else f"{path.name}: {sentence}") from error


def _emit(text: str, path: Path | None) -> None:
    if path is None:
        typer.echo(text)
    else:
        _write(path, (text + "\n").encode())


def _write(path: Path, content: bytes) -> None:
    try:
        path.write_bytes(content)
    except OSError as error:
        raise _unwritable(path, error) from error


def _folder(path: Path) -> None:
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise _unwritable(path, error) from error


def _unwritable(path: Path, error: OSError) -> InputError:
    reason = error.strerror or "it cannot be opened"
    return InputError(f"{path}: cannot be written ({reason}); choose another place.")
