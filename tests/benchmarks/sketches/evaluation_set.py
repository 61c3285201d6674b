"""The fixed evaluation set, drawn once into a cache folder."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import sample_sketches
from model.candidate import Candidate
from sample_sketches.scenes import SCENES
from tests.benchmarks.sketches.maker import make_sketch
from tests.benchmarks.sketches.other_pages import make_other_page

__all__ = ["Case", "evaluation_set", "real_pages", "sample_cases"]

#: Seeds of each difficulty, and of the pages without a truss.
SEEDS = {"easy": range(40), "medium": range(40), "hard": range(40)}
OTHER_SEEDS = range(40)

_REPOSITORY = Path(__file__).parents[3]
_HELD_OUT = _REPOSITORY / "vision" / "training" / "held_out.txt"


@dataclass(frozen=True)
class Case:
    """One picture to read; `truth` is None where it shows no truss."""

    picture: Path
    truth: Candidate | None
    tags: dict[str, str]


def evaluation_set(cache: Path) -> Iterator[Case]:
    """Yield every picture of the set, drawing those that the cache lacks.

    The cache's folder carries a fingerprint of the code that draws, so that a
    changed maker never reads old pictures.
    """
    folder = cache / _fingerprint()
    folder.mkdir(parents=True, exist_ok=True)
    for difficulty, seeds in SEEDS.items():
        for seed in seeds:
            yield _truss_case(folder, difficulty, seed)
    for seed in OTHER_SEEDS:
        yield _other_case(folder, seed)


def sample_cases() -> list[Case]:
    """The twelve sample sketches as cases."""
    cases = []
    for scene in SCENES:
        text = sample_sketches.truth_path(scene.name).read_text(encoding="utf-8")
        tags = {"difficulty": "sample", "family": scene.name}
        tags |= {"paper": scene.surface, "pen": scene.pen.name}
        picture = sample_sketches.picture_path(scene.name)
        cases.append(Case(picture, Candidate.model_validate_json(text), tags))
    return cases


def real_pages(folder: Path) -> list[Case]:
    """Real photos and scans of pages without a truss, by writers kept from training.

    With a list of held-out files in ``vision/training/held_out.txt`` (paths in
    `folder`, one a line) only those are taken.
    """
    if _HELD_OUT.exists():
        lines = _HELD_OUT.read_text(encoding="utf-8").splitlines()
        names = [line.strip() for line in lines if line.strip() and not line.startswith("#")]
        pictures = [folder / name for name in names]
    else:
        pictures = sorted(p for part in ("pages", "photos") for p in (folder / part).iterdir())
    kinds = (".jpg", ".jpeg", ".png")
    return [
        Case(picture, None, {"paper": "real", "shows": f"real {picture.parent.name}"})
        for picture in pictures
        if picture.suffix.lower() in kinds and picture.exists()
    ]


def _truss_case(folder: Path, difficulty: str, seed: int) -> Case:
    picture = folder / f"{difficulty}_{seed:03d}.jpg"
    note = picture.with_suffix(".json")
    if not note.exists():
        sketch = make_sketch(seed, difficulty)
        picture.write_bytes(sketch.jpeg)
        document = {"tags": sketch.tags, "truth": sketch.truth.model_dump(mode="json")}
        note.write_text(json.dumps(document), encoding="utf-8")
    document = json.loads(note.read_text(encoding="utf-8"))
    return Case(picture, Candidate.model_validate(document["truth"]), document["tags"])


def _other_case(folder: Path, seed: int) -> Case:
    picture = folder / f"other_{seed:03d}.jpg"
    note = picture.with_suffix(".json")
    if not note.exists():
        page = make_other_page(seed)
        picture.write_bytes(page.jpeg)
        note.write_text(json.dumps({"shows": page.shows}), encoding="utf-8")
    return Case(picture, None, json.loads(note.read_text(encoding="utf-8")))


def _fingerprint() -> str:
    sources = [
        *sorted(Path(__file__).parent.glob("*.py")),
        *sorted(Path(sample_sketches.__file__).parent.glob("*.py")),
    ]
    digest = hashlib.sha256()
    for source in sources:
        if source.name not in ("scenes.py", "draw.py", "evaluation_set.py"):
            digest.update(source.read_bytes())
    return digest.hexdigest()[:12]
