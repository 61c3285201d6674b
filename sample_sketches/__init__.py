"""The Reedbank boathouse: sample pictures, their jobs and their truths."""

from __future__ import annotations

from pathlib import Path

from model.job import Job, read_job

__all__ = ["load_job", "names", "picture_path", "truth_path"]

_FOLDER = Path(__file__).parent
_NAMES = (
    "boathouse_roof",
    "jetty_footbridge",
    "slipway_gantry",
    "signal_mast",
    "canoe_rack",
    "oar_loft",
    "winch_beam",
    "launch_crane",
    "reed_channel_bridge",
    "slip_bank_trestle",
    "davit_bracket",
    "why_it_sways",
)


def names() -> tuple[str, ...]:
    """Names of the samples; the app opens with the first."""
    return _NAMES


def picture_path(name: str) -> Path:
    """File of a sample's picture."""
    return _file(name, ".jpg")


def truth_path(name: str) -> Path:
    """File of a sample's truth: the candidate that a perfect reading gives."""
    return _file(name, ".truth.json")


def load_job(name: str) -> Job:
    """Job of a sample, with its true coordinates."""
    return read_job(_file(name, ".job.json").read_text(encoding="utf-8"))


def _file(name: str, ending: str) -> Path:
    if name not in _NAMES:
        raise KeyError(f"There is no sample '{name}'; the samples are {', '.join(_NAMES)}.")
    return _FOLDER / f"{name}{ending}"
