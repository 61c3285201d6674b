"""The annotated picture says the same as the result: once per member, with the right arrows."""

from __future__ import annotations

import io
import math
import xml.etree.ElementTree as ET
from collections import Counter

import numpy as np
import pypdfium2
import pytest
from PIL import Image

import sample_sketches
from model.job import read_job
from model.result import CAUTION, Result
from solver.solve import result_of
from ui.annotate import annotated
from ui.marks import COMPRESSION, NO_FORCE, TENSION, Path, Words
from ui.pictures import Photo, photo_of, read_photo
from ui.rendering import pdf, png, svg

SVG = "{http://www.w3.org/2000/svg}"


@pytest.fixture(scope="module")
def photo() -> Photo:
    return read_photo(sample_sketches.picture_path("boathouse_roof"))


@pytest.fixture(scope="module")
def roof_result() -> Result:
    return result_of(sample_sketches.load_job("boathouse_roof"))


def triangle_job(fy: float) -> object:
    """Two bars to a pin above two pins: both in compression under a load down."""
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": {"A": {"x": 0, "y": 0}, "B": {"x": 8, "y": 0}, "C": {"x": 4, "y": 3}},
            "members": [{"a": "A", "b": "C"}, {"a": "B", "b": "C"}],
            "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "pin"}],
            "loads": [{"joint": "C", "fy": fy}],
        }
    )


def member_heads(
    sheet: object, colour: str
) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    """Tip and direction of each arrow head of a colour."""
    heads = []
    for mark in sheet.marks:
        if isinstance(mark, Path) and mark.closed and mark.fill == colour:
            left, tip, right = mark.points
            back = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
            heads.append((tip, (tip[0] - back[0], tip[1] - back[1])))
    return heads


@pytest.mark.parametrize(
    ("load", "colour", "sign"), [(-6.0, COMPRESSION, 1.0), (6.0, TENSION, -1.0)]
)
def test_arrows_push_at_joints_in_compression_and_pull_in_tension(
    load: float, colour: str, sign: float
) -> None:
    job = triangle_job(load)
    sheet = annotated(job, result_of(job))
    heads = member_heads(sheet, colour)
    assert len(heads) == 4  # a pair on each member
    circles = [mark.centre for mark in sheet.marks if hasattr(mark, "radius")]
    for tip, direction in heads:
        joint = min(circles, key=lambda centre: math.dist(centre, tip))
        toward = (joint[0] - tip[0], joint[1] - tip[1])
        assert sign * (toward[0] * direction[0] + toward[1] * direction[1]) > 0


def test_svg_parses_and_says_every_value_once(photo: Photo, roof_result: Result) -> None:
    job = sample_sketches.load_job("boathouse_roof")
    root = ET.fromstring(svg(annotated(job, roof_result, photo)))
    said = Counter(text.text for text in root.iter(f"{SVG}text"))
    # Hand calculation: 9 kN at each support; joint A gives 15 (C) and 12 (T).
    values = (
        ["12 (T)"] * 4 + ["15 (C)"] * 2 + ["10 (C)"] * 2 + ["5 (C)"] * 2 + ["6 (T)"] + ["0"] * 2
    )
    assert {value: said[value] for value in values} == dict(Counter(values))
    assert said["Ay 9 kN"] == said["Ey 9 kN"] == 1
    assert said["6 kN"] == 3
    assert [said[name] for name in job.joints] == [1] * 8
    (image,) = root.iter(f"{SVG}image")
    assert image.get("href").startswith("data:image/jpeg;base64,")


def test_zero_members_are_dotted_and_compression_is_heavier(roof_result: Result) -> None:
    sheet = annotated(sample_sketches.load_job("boathouse_roof"), roof_result)
    lines = [m for m in sheet.marks if isinstance(m, Path) and len(m.points) == 2]
    dotted = [m for m in lines if m.colour == NO_FORCE and m.dash]
    assert len(dotted) == 2 + 1  # two members and the legend
    weight = {c: max(m.width for m in lines if m.colour == c) for c in (TENSION, COMPRESSION)}
    assert weight[COMPRESSION] > 1.5 * weight[TENSION]


def test_png_keeps_the_pictures_own_pixels_and_size(photo: Photo, roof_result: Result) -> None:
    job = sample_sketches.load_job("boathouse_roof")
    drawn = np.asarray(Image.open(io.BytesIO(png(annotated(job, roof_result, photo)))), int)
    plain = np.asarray(Image.open(io.BytesIO(photo.jpeg)).convert("RGB"), int)
    height, width = plain.shape[:2]
    assert drawn.shape[1] == width
    assert drawn.shape[0] > height  # the legend stands below, not on the picture
    same = (np.abs(drawn[:height] - plain).max(axis=2) == 0).mean()
    assert same > 0.85
    a, f = (np.array(job.joints[name].pixel) for name in "AF")
    x, y = (0.5 * a + 0.5 * f).round().astype(int)
    here = drawn[y, x]
    assert np.abs(here - np.array([0xD5, 0x5E, 0x00])).max() < 12  # vermilion on the member


def test_pdf_has_the_values_and_the_cautions(photo: Photo, roof_result: Result) -> None:
    job = sample_sketches.load_job("boathouse_roof")
    document = pypdfium2.PdfDocument(pdf(annotated(job, roof_result, photo)))
    assert len(document) == 1
    text = document[0].get_textpage().get_text_range()
    assert text.count("15 (C)") == 2
    assert "Ay 9 kN" in text
    assert CAUTION.split(".")[0] in text
    assert len(list(document[0].get_objects(filter=[pypdfium2.raw.FPDF_PAGEOBJ_IMAGE]))) == 1


def test_reaction_arrows_follow_a_tilted_photo(photo: Photo, roof_result: Result) -> None:
    """A drawing turned by 30 degrees has its upward reaction turned by 30 degrees."""
    job = sample_sketches.load_job("boathouse_roof")
    turn = math.radians(30.0)
    joints = {}
    for name, joint in job.joints.items():
        x, y = 60 * joint.x, -60 * joint.y
        pixel = (
            300 + x * math.cos(turn) + y * math.sin(turn),
            800 - x * math.sin(turn) + y * math.cos(turn),
        )
        joints[name] = joint.model_copy(update={"pixel": pixel})
    sheet = annotated(job.model_copy(update={"joints": joints}), roof_result, photo)
    heads = member_heads(sheet, "#0072B2")
    assert len(heads) == 2
    for _, (dx, dy) in heads:
        assert math.degrees(math.atan2(-dy, dx)) == pytest.approx(120.0, abs=0.5)


def test_an_unstable_truss_shows_its_motion_and_reason() -> None:
    job = sample_sketches.load_job("why_it_sways")
    result = result_of(job)
    sheet = annotated(job, result)
    words = " ".join(mark.text for mark in sheet.marks if isinstance(mark, Words))
    assert "how it can move" in words
    assert result.reason.split(":")[0].split("(")[0].strip() in words
    assert "(T)" not in words


def test_a_picture_with_another_checksum_is_not_drawn_on(tmp_path) -> None:
    job = sample_sketches.load_job("boathouse_roof")
    other = sample_sketches.picture_path("oar_loft").read_bytes()
    (tmp_path / "boathouse_roof.jpg").write_bytes(other)
    assert photo_of(job, tmp_path) is None
    right = sample_sketches.picture_path("boathouse_roof").read_bytes()
    (tmp_path / "boathouse_roof.jpg").write_bytes(right)
    found = photo_of(job, tmp_path)
    assert (found.width, found.height) == (1800, 1350)
