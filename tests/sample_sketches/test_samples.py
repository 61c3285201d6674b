"""The sample sketches say the same thing in ink, in the job and in the truth."""

from __future__ import annotations

import hashlib

import cv2
import numpy as np
import pytest
from sympy.physics.continuum_mechanics.truss import Truss as SympyTruss

import sample_sketches
from model.candidate import Candidate
from sample_sketches.draw import make_sample
from sample_sketches.scenes import SCENES
from solver.solve import result_of

NAMES = sample_sketches.names()
REDUNDANT = "davit_bracket"
SWAYING = "why_it_sways"
INCLINED = "slip_bank_trestle"
PLAIN = tuple(name for name in NAMES if name not in (REDUNDANT, SWAYING, INCLINED))


def truth_of(name: str) -> Candidate:
    return Candidate.model_validate_json(sample_sketches.truth_path(name).read_text("utf-8"))


def counts(name: str) -> int:
    """Members and reactions beyond two for each joint."""
    job = sample_sketches.load_job(name)
    reactions = sum(2 if support.kind == "pin" else 1 for support in job.supports)
    return len(job.members) + reactions - 2 * len(job.joints)


def test_names_follow_the_scenes() -> None:
    assert tuple(scene.name for scene in SCENES) == NAMES
    assert len(NAMES) == 12
    assert NAMES[0] == "boathouse_roof"


def test_an_unknown_name_is_refused_with_the_names_there_are() -> None:
    with pytest.raises(KeyError, match="boathouse_roof"):
        sample_sketches.picture_path("lighthouse")


@pytest.mark.parametrize("name", NAMES)
def test_picture_is_a_photo_of_fair_size(name: str) -> None:
    data = sample_sketches.picture_path(name).read_bytes()
    picture = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)
    truth = truth_of(name)
    assert picture.shape[:2] == (truth.picture.height, truth.picture.width)
    assert 1600 <= max(picture.shape[:2]) <= 2000
    assert len(data) < 450_000
    assert hashlib.sha256(data).hexdigest() == truth.picture.sha256


@pytest.mark.parametrize("name", NAMES)
def test_job_and_truth_tell_of_the_same_truss(name: str) -> None:
    job, truth = sample_sketches.load_job(name), truth_of(name)
    label = {joint.id: joint.label for joint in truth.joints}
    assert {j.label: (j.x, j.y) for j in truth.joints} == {
        key: joint.pixel for key, joint in job.joints.items()
    }
    assert {frozenset((m.a, m.b)) for m in job.members} == {
        frozenset((label[m.a], label[m.b])) for m in truth.members
    }
    assert [(s.joint, s.kind) for s in job.supports] == [
        (label[s.joint], s.kind) for s in truth.supports
    ]
    assert job.picture is not None
    assert job.picture.sha256 == truth.picture.sha256
    for mine, seen in zip(job.loads, truth.loads, strict=True):
        turn = np.deg2rad(seen.direction_deg)
        assert seen.value is not None
        components = seen.value * np.cos(turn), seen.value * np.sin(turn)
        assert components == pytest.approx((mine.fx, mine.fy), abs=2e-3)


@pytest.mark.parametrize("name", NAMES)
def test_written_dimensions_are_true(name: str) -> None:
    job, truth = sample_sketches.load_job(name), truth_of(name)
    place = {j.id: job.joints[j.label or ""] for j in truth.joints}
    assert len(truth.dimensions) >= 2
    for dimension in truth.dimensions:
        a, b = (place[joint] for joint in dimension.joints)
        assert a.x is not None
        assert a.y is not None
        assert b.x is not None
        assert b.y is not None
        true = {
            "horizontal": abs(b.x - a.x),
            "vertical": abs(b.y - a.y),
            "length": float(np.hypot(b.x - a.x, b.y - a.y)),
            "slope": (b.y - a.y) / (b.x - a.x) if b.x != a.x else np.inf,
        }[dimension.kind]
        assert dimension.value == pytest.approx(true)


@pytest.mark.parametrize("name", NAMES)
def test_joints_and_middles_of_members_lie_on_ink(name: str) -> None:
    truth = truth_of(name)
    grey = cv2.imread(str(sample_sketches.picture_path(name)), cv2.IMREAD_GRAYSCALE)
    grey = cv2.GaussianBlur(grey.astype(np.float32), (0, 0), 1.5)
    around = cv2.medianBlur(cv2.resize(grey, None, fx=0.25, fy=0.25).astype(np.uint8), 31)
    around = cv2.resize(around, grey.shape[::-1]).astype(np.float32)
    contrast = np.abs(grey - around)
    # 14 pixels reach the ring of an open joint circle, and both lines of a
    # double-line member; 12 % of full scale is twice the print of ruled paper.
    places = {joint.id: (joint.x, joint.y) for joint in truth.joints}
    spots = list(places.values())
    for member in truth.members:
        (ax, ay), (bx, by) = places[member.a], places[member.b]
        spots.append(((ax + bx) / 2, (ay + by) / 2))
    for x, y in spots:
        column, row = round(x), round(y)
        patch = contrast[row - 14 : row + 15, column - 14 : column + 15]
        assert patch.max() > 30, (name, x, y)


def test_papers_and_boards_asked_for_are_there() -> None:
    surfaces = {scene.surface for scene in SCENES}
    assert {"plain", "ruled", "squared", "dotted", "whiteboard", "chalk board"} <= surfaces


def test_canoe_rack_has_two_braces_that_cross_without_a_joint() -> None:
    job = sample_sketches.load_job("canoe_rack")
    assert {"AD", "BC"} <= {m.a + m.b for m in job.members}
    joints = {(j.x, j.y) for j in job.joints.values()}
    assert (2.0, 1.5) not in joints


@pytest.mark.parametrize("name", [n for n in NAMES if n != REDUNDANT])
def test_members_and_reactions_match_twice_the_joints(name: str) -> None:
    assert counts(name) == (-1 if name == SWAYING else 0)


def test_davit_bracket_has_one_member_too_many_and_says_what_it_is_made_of() -> None:
    assert counts(REDUNDANT) == 1
    job = sample_sketches.load_job(REDUNDANT)
    assert all(member.area and member.modulus for member in job.members)


@pytest.mark.parametrize("name", PLAIN)
def test_nine_samples_have_the_forces_that_sympy_gives(name: str) -> None:
    """SymPy's truss module: pin, one vertical roller, loads at joints."""
    job = sample_sketches.load_job(name)
    other = SympyTruss()
    other.add_node(*((key, joint.x, joint.y) for key, joint in job.joints.items()))
    other.add_member(*((m.a + m.b, m.a, m.b) for m in job.members))
    other.apply_support(
        *((s.joint, "pinned" if s.kind == "pin" else "roller") for s in job.supports)
    )
    for load in job.loads:
        parts = [(load.joint, load.fx, 0), (load.joint, load.fy, 90)]
        other.apply_load(*(part for part in parts if part[1]))
    other.solve()
    result = result_of(job)
    ours = {member.a + member.b: member.force for member in result.members}
    largest = max(map(abs, ours.values()))
    theirs = {key: float(value) for key, value in other.internal_forces.items()}
    assert ours == pytest.approx(theirs, rel=0, abs=1e-9 * largest)
    for support in job.supports:
        for axis, ours_there in zip("xy", result.reactions[support.joint], strict=True):
            there = float(other.reaction_loads.get(f"R_{support.joint}_{axis}", 0))
            assert ours_there == pytest.approx(there, rel=0, abs=1e-9 * largest)


def test_boathouse_roof_has_pencil_numbers() -> None:
    """Worked by hand with the 3-4-5 triangle: AF = -9 / 0.6, and so on."""
    job = sample_sketches.load_job("boathouse_roof")
    other = SympyTruss()
    other.add_node(*((key, joint.x, joint.y) for key, joint in job.joints.items()))
    other.add_member(*((m.a + m.b, m.a, m.b) for m in job.members))
    other.apply_support(("A", "pinned"), ("E", "roller"))
    for load in job.loads:
        other.apply_load((load.joint, -load.fy, 270))
    other.solve()
    forces = {key: float(value) for key, value in other.internal_forces.items()}
    expected = {"AF": -15, "FG": -10, "CF": -5, "BF": 0, "AB": 12, "BC": 12, "CG": 6}
    assert {key: forces[key] for key in expected} == pytest.approx(expected, abs=1e-9)


@pytest.mark.parametrize("scene", [SCENES[0], SCENES[3]], ids=lambda scene: scene.name)
def test_the_same_scene_is_drawn_the_same_way_twice(scene) -> None:  # type: ignore[no-untyped-def]
    first, second = make_sample(scene), make_sample(scene)
    assert first.jpeg == second.jpeg
    assert first.truth == second.truth


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene.name)
def test_files_are_what_the_scenes_say(scene) -> None:  # type: ignore[no-untyped-def]
    """Positions are seeded; the picture's bytes may differ between OpenCV builds."""
    made, kept = make_sample(scene), truth_of(scene.name)
    assert np.array([(j.x, j.y) for j in made.truth.joints]) == pytest.approx(
        np.array([(j.x, j.y) for j in kept.joints]), abs=0.11
    )
    assert made.truth.members == kept.members
    ours = made.job.model_dump(exclude={"picture", "joints"})
    assert ours == sample_sketches.load_job(scene.name).model_dump(exclude={"picture", "joints"})
