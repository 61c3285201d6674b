"""Whole pictures as they really come: turned, deep, in other colours, transparent, tiny, huge."""

import io
import json
from collections.abc import Callable

import cv2
import numpy as np
import pytest
from PIL import Image
from scipy.optimize import linear_sum_assignment

import sample_sketches
from model.candidate import Candidate
from vision.reading import NoTruss, read_picture

NAME = "oar_loft"


def _page() -> np.ndarray:
    """The sample at half its size."""
    return np.asarray(Image.open(sample_sketches.picture_path(NAME)).convert("RGB").reduce(2))


def _truth() -> tuple[np.ndarray, set[frozenset[int]]]:
    truth = json.loads(sample_sketches.truth_path(NAME).read_text(encoding="utf-8"))
    number = {joint["id"]: k for k, joint in enumerate(truth["joints"])}
    at = np.array([(joint["x"], joint["y"]) for joint in truth["joints"]])
    pairs = {frozenset((number[m["a"]], number[m["b"]])) for m in truth["members"]}
    return (at + 0.5) / 2 - 0.5, pairs


def _saved(image: Image.Image, form: str, **options: object) -> bytes:
    content = io.BytesIO()
    image.save(content, form, **options)
    return content.getvalue()


def _reads_right(candidate: Candidate, at: np.ndarray, reach: float = 8.0) -> bool:
    """Whether the graph is the sample's, with its joints at the places given."""
    _, pairs = _truth()
    found = np.array([(joint.x, joint.y) for joint in candidate.joints])
    distance = np.hypot(*np.moveaxis(found[:, None] - at[None], 2, 0))
    rows, columns = linear_sum_assignment(distance)
    if len(found) != len(at) or distance[rows, columns].max() > reach:
        return False
    number = dict(zip(rows.tolist(), columns.tolist(), strict=True))
    read = {frozenset((number[m.a], number[m.b])) for m in candidate.members}
    return read == pairs


def _exif_turned(page: np.ndarray) -> bytes:
    """Stored on its side, with the note that it is to be shown turned."""
    exif = Image.Exif()
    exif[0x0112] = 6
    return _saved(Image.fromarray(np.rot90(page, 1)), "JPEG", quality=92, exif=exif.tobytes())


def _sixteen_bits(page: np.ndarray) -> bytes:
    grey = cv2.cvtColor(page, cv2.COLOR_RGB2GRAY).astype(np.uint16) * 257
    return cv2.imencode(".png", grey)[1].tobytes()


def _four_inks(page: np.ndarray) -> bytes:
    return _saved(Image.fromarray(page).convert("CMYK"), "JPEG", quality=92)


def _ink_on_glass(page: np.ndarray) -> bytes:
    """Only the ink, on a transparent ground."""
    grey = cv2.cvtColor(page, cv2.COLOR_RGB2GRAY)
    paper = cv2.medianBlur(cv2.dilate(grey, np.ones((9, 9), np.uint8)), 31)
    depth = np.clip(3.0 * (paper.astype(float) - grey) - 20, 0, 255).astype(np.uint8)
    strokes = np.dstack([np.zeros_like(page), depth])
    return _saved(Image.fromarray(strokes), "PNG")


@pytest.mark.parametrize("kind", [_exif_turned, _sixteen_bits, _four_inks, _ink_on_glass])
def test_the_same_truss_is_read_however_the_picture_is_kept(
    kind: Callable[[np.ndarray], bytes],
) -> None:
    page = _page()
    candidate = read_picture(kind(page), reader="network")
    assert (candidate.picture.width, candidate.picture.height) == page.shape[1::-1]
    assert _reads_right(candidate, _truth()[0])


def test_a_picture_lying_on_its_side_is_read_as_it_lies() -> None:
    page = _page()
    candidate = read_picture(_saved(Image.fromarray(np.rot90(page)), "PNG"), reader="network")
    x, y = _truth()[0].T
    assert _reads_right(candidate, np.column_stack([y, page.shape[1] - 1 - x]))


def test_a_huge_picture_is_read_in_its_own_pixels() -> None:
    page = _page()
    factor = (45e6 / page[..., 0].size) ** 0.5
    size = (round(page.shape[1] * factor), round(page.shape[0] * factor))
    large = cv2.resize(page, size, interpolation=cv2.INTER_LINEAR)
    candidate = read_picture(_saved(Image.fromarray(large), "JPEG"), reader="network")
    assert (candidate.picture.width, candidate.picture.height) == size
    scale = np.array(size) / page.shape[1::-1]
    assert _reads_right(candidate, (_truth()[0] + 0.5) * scale - 0.5, reach=8.0 * factor)


def _noise(rows: int, columns: int) -> np.ndarray:
    return np.random.default_rng(5).integers(0, 256, (rows, columns, 3), dtype=np.uint8)


def _page_of_text() -> np.ndarray:
    """A photo of a printed page: eleven lines, light that falls off, a little blur."""
    page = np.full((800, 600), 240, np.uint8)
    for row in range(11):
        text = "The boat lies on the slip at low tide."
        cv2.putText(page, text, (40, 80 + 60 * row), cv2.FONT_HERSHEY_COMPLEX, 0.8, 30, 2)
    light = np.linspace(1.0, 0.6, 600)[None] * np.linspace(0.8, 1.0, 800)[:, None]
    return cv2.GaussianBlur((page * light).astype(np.uint8), (0, 0), 1.0)


@pytest.mark.parametrize(
    "page",
    [
        pytest.param(np.full((32, 32), 230, np.uint8), id="tiny"),
        pytest.param(_noise(40, 40), id="tiny noise"),
        pytest.param(_noise(48, 2400), id="strip of noise"),
        pytest.param(np.zeros((600, 800), np.uint8), id="black"),
        pytest.param(np.full((600, 800), 255, np.uint8), id="white"),
        pytest.param(_noise(500, 700), id="noise"),
        pytest.param(_page_of_text(), id="text"),
    ],
)
def test_a_picture_with_nothing_to_read_says_so(page: np.ndarray) -> None:
    with pytest.raises(NoTruss, match=r"^slip\.png: no truss found; try .*\.$"):
        read_picture(_saved(Image.fromarray(page), "PNG"), reader="network", name="slip.png")
