"""Draw the sample sketches again: ``python -m sample_sketches.draw``.

Pictures, jobs and truths are written beside this file. The same seed gives the
same picture.
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from model.candidate import (
    Candidate,
    CandidateDimension,
    CandidateJoint,
    CandidateLoad,
    CandidateMember,
    CandidateSupport,
    PictureFacts,
    WrittenText,
)
from model.job import (
    Dimension,
    Job,
    JobJoint,
    JobLoad,
    JobMember,
    JobPicture,
    JobSupport,
    JobUnits,
)
from sample_sketches.camera import Photo, photograph
from sample_sketches.figure import Figure, Point, Writing, draw_figure
from sample_sketches.hand import Hand
from sample_sketches.scenes import SCENES, Scene
from sample_sketches.surfaces import make_surface

__all__ = ["Sample", "make_sample", "write_samples"]

PIXELS_PER_MM = 7.5


@dataclass(frozen=True)
class Sample:
    """A sketch's photo with the job it stands for and what a perfect reading gives."""

    jpeg: bytes
    job: Job
    truth: Candidate


def make_sample(scene: Scene) -> Sample:
    """Draw and photograph a scene; the same scene always gives the same sample."""
    rng = np.random.default_rng(scene.seed)
    surface = make_surface(scene.surface, scene.size, PIXELS_PER_MM, rng, scene.tint)
    figure = _figure(scene, rng)
    written = draw_figure(Hand(surface, scene.pen, scene.manner, rng), figure)
    photo = photograph(surface, scene.view, rng)
    sha256 = hashlib.sha256(photo.jpeg).hexdigest()
    names = list(scene.joints)
    pixels = photo.place([figure.places[name] for name in names]).round(1)
    places = dict(zip(names, pixels.tolist(), strict=True))
    return Sample(
        photo.jpeg,
        _job(scene, sha256, places),
        _truth(scene, photo, sha256, places, written),
    )


def _members(scene: Scene) -> list[tuple[str, str]]:
    return [(pair[0], pair[1]) for pair in scene.members.split()]


def _figure(scene: Scene, rng: np.random.Generator) -> Figure:
    """Lay the truss out on the sheet, a little out of scale as a hand does."""
    places: dict[str, Point] = {}
    for name, (x, y) in scene.joints.items():
        off = rng.normal(0, scene.sway, 2)
        places[name] = (
            scene.origin[0] + x * scene.step[0] + float(off[0]),
            scene.origin[1] - y * scene.step[1] + float(off[1]),
        )
    return Figure(
        places,
        tuple(_members(scene)),
        scene.stands,
        scene.pulls,
        scene.measures,
        scene.slopes,
        scene.notes,
        mark=scene.mark,
        mark_radius=scene.mark_radius,
        double=scene.double,
        support_size=scene.support_size,
        letter_height=scene.letter_height,
        load_pen=scene.load_pen,
        note_pen=scene.note_pen,
    )


def _job(scene: Scene, sha256: str, places: dict[str, list[float]]) -> Job:
    area, modulus = scene.section or (None, None)
    return Job(
        title=scene.title,
        units=JobUnits(length=scene.units[0], force=scene.units[1]),
        joints={
            name: JobJoint(x=x, y=y, pixel=(places[name][0], places[name][1]))
            for name, (x, y) in scene.joints.items()
        },
        members=[
            JobMember.model_validate({"a": a, "b": b, "area": area, "modulus": modulus})
            for a, b in _members(scene)
        ],
        supports=[
            JobSupport(joint=stand.joint, kind=stand.kind, angle_deg=stand.angle)
            for stand in scene.stands
        ],
        loads=[JobLoad(joint=pull.joint, fx=pull.fx, fy=pull.fy) for pull in scene.pulls],
        dimensions=[Dimension(kind=m.kind, joints=[m.a, m.b], value=m.text) for m in scene.measures]
        + [
            Dimension(kind="slope", joints=[s.a, s.b], value=f"{s.run}:{s.rise}")
            for s in scene.slopes
        ],
        picture=JobPicture(name=f"{scene.name}.jpg", sha256=sha256),
    )


def _truth(
    scene: Scene,
    photo: Photo,
    sha256: str,
    places: dict[str, list[float]],
    written: list[Writing],
) -> Candidate:
    ids = {name: number for number, name in enumerate(scene.joints)}
    return Candidate(
        picture=PictureFacts(
            name=f"{scene.name}.jpg", width=photo.width, height=photo.height, sha256=sha256
        ),
        joints=[
            CandidateJoint(id=ids[name], x=x, y=y, label=name) for name, (x, y) in places.items()
        ],
        members=[CandidateMember(a=ids[a], b=ids[b]) for a, b in _members(scene)],
        supports=[
            CandidateSupport(joint=ids[s.joint], kind=s.kind, angle_deg=round(s.angle, 2))
            for s in scene.stands
        ],
        loads=[
            CandidateLoad(
                joint=ids[pull.joint],
                direction_deg=round(pull.direction, 2),
                value=float(np.hypot(pull.fx, pull.fy)),
                unit=scene.units[1],
            )
            for pull in scene.pulls
        ],
        dimensions=[
            CandidateDimension(
                kind=m.kind,
                joints=[ids[m.a], ids[m.b]],
                value=float(m.text.split()[0]),
                unit=m.text.split()[1],
            )
            for m in scene.measures
        ]
        + [
            CandidateDimension(kind="slope", joints=[ids[s.a], ids[s.b]], value=s.rise / s.run)
            for s in scene.slopes
        ],
        texts=[_text(photo, piece) for piece in written],
        doubts=[],
        seconds=0.0,
    )


def _text(photo: Photo, piece: Writing) -> WrittenText:
    seen = photo.place(piece.corners)
    (x0, y0), (x1, y1) = seen.min(0).round(1).tolist(), seen.max(0).round(1).tolist()
    return WrittenText(text=piece.text, box=(x0, y0, x1, y1))


def write_samples(folder: Path) -> None:
    """Write every sample's picture, job and truth into `folder`."""
    for scene in SCENES:
        sample = make_sample(scene)
        (folder / f"{scene.name}.jpg").write_bytes(sample.jpeg)
        for ending, document in (("job", sample.job), ("truth", sample.truth)):
            text = json.dumps(document.model_dump(mode="json"), indent=1, ensure_ascii=False)
            (folder / f"{scene.name}.{ending}.json").write_text(text + "\n", encoding="utf-8")


if __name__ == "__main__":
    write_samples(Path(__file__).parent)
