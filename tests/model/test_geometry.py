"""Geometry from dimensions: textbook shapes, freedoms in words, entries that cannot be meant."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from scipy.optimize import least_squares

from model.constraints import QUANTITIES, Equation, System
from model.errors import InputError
from model.geometry import as_drawn, placed_job, settle
from model.job import Job, read_job, truss_of
from model.perspective import page_homography, project

#: A triangle drawn carelessly, in pixels (y down).
TRIANGLE = {"A": (100, 500), "B": (520, 515), "C": (490, 190)}
#: A Fink roof: rafters A-D-C and C-E-B with thirds F, G of the tie A-B.
FINK = {
    "A": (100, 600), "F": (330, 610), "G": (575, 590), "B": (810, 605),
    "D": (270, 480), "E": (640, 470), "C": (450, 350),
}  # fmt: skip
FINK_MEMBERS = ["AF", "FG", "GB", "AD", "DC", "CE", "EB", "DF", "FC", "CG", "GE"]


def job_of(
    *dimensions: tuple[str, str, Any],
    places: dict[str, tuple[float, float]] | None = None,
    members: list[str] | None = None,
    **more: Any,
) -> Job:
    places = TRIANGLE if places is None else places
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": {name: {"pixel": place} for name, place in places.items()},
            "members": [{"a": m[0], "b": m[1]} for m in members or ["AB", "BC", "AC"]],
            "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
            "dimensions": [
                {"kind": kind, "joints": list(joints), "value": value}
                for kind, joints, value in dimensions
            ],
            **more,
        }
    )


def at(job: Job, joint: str) -> tuple[float, float]:
    place = job.joints[joint]
    assert place.x is not None
    assert place.y is not None
    return place.x, place.y


@pytest.mark.parametrize(
    ("dimensions", "apex"),
    [
        ((("length", "AB", 4), ("length", "BC", 3), ("length", "AC", 5)), (4, 3)),
        ((("length", "AB", 12), ("length", "BC", 5), ("length", "AC", 13)), (12, 5)),
        ((("length", "AC", 2), ("angle", "AC", 30), ("angle", "BC", 90)), (math.sqrt(3), 1)),
        ((("length", "AC", 2), ("angle_between", "BAC", 30), ("angle_between", "ABC", 90)),
         (math.sqrt(3), 1)),
        ((("slope", "AC", "4:3"), ("plumb", "BC", None), ("horizontal", "AC", "400 cm")), (4, 3)),
        ((("x", "A", 0), ("y", "A", 0), ("x", "C", 4), ("y", "C", "3 m"), ("plumb", "CB", None)),
         (4, 3)),
        ((("length", "AC", "16'-4 27/32\""), ("slope", "AC", "4:3"), ("plumb", "BC", None)),
         (3.9999, 2.9999)),
    ],
)  # fmt: skip
def test_textbook_triangles_to_machine_precision(
    dimensions: tuple[Any, ...], apex: tuple[float, float]
) -> None:
    """3-4-5, 5-12-13 and 30-60-90: the Pythagorean triples and half an equilateral triangle."""
    job = job_of(*dimensions, ("level", "AB", None))
    exact = apex != (3.9999, 2.9999)
    np.testing.assert_allclose(
        at(placed_job(job, settle(job)), "C"), apex, rtol=0, atol=1e-14 * 12 if exact else 2e-3
    )


def test_a_fink_roof_from_span_rise_and_what_its_drawing_means() -> None:
    """Span 9, rise 3, webs at the thirds of the tie and the middles of the rafters."""
    job = job_of(
        ("horizontal", "AB", 9),
        ("vertical", "AC", 3),
        ("bays", "AFGB", "3 @ 3 m = 9 m"),
        ("level", "AFGB", None),
        ("collinear", "ADC", None),
        ("collinear", "CEB", None),
        ("equal", "ADDC", None),
        ("symmetric", "ABDEFGCC", None),
        places=FINK,
        members=FINK_MEMBERS,
    )
    placed = placed_job(job, settle(job, assume=False))
    expected = {"A": (0, 0), "F": (3, 0), "G": (6, 0), "B": (9, 0), "C": (4.5, 3),
                "D": (2.25, 1.5), "E": (6.75, 1.5)}  # fmt: skip
    for joint, place in expected.items():
        np.testing.assert_allclose(at(placed, joint), place, rtol=0, atol=1e-13)


def test_assumptions_complete_what_was_measured_and_give_way_to_it() -> None:
    job = job_of(("horizontal", "AB", 9), ("vertical", "AC", 3), places=FINK, members=FINK_MEMBERS)
    geometry = settle(job)
    assert {a.kind for a in geometry.assumptions} >= {"level", "collinear", "symmetric"}
    placed = placed_job(job, geometry)
    np.testing.assert_allclose(at(placed, "C"), (4.5, 3), atol=1e-9)
    np.testing.assert_allclose(at(placed, "B"), (9, 0), atol=1e-9)
    measured = job_of(
        ("horizontal", "AB", 9), ("vertical", "AC", 3), ("vertical", "AB", 0.5),
        places=FINK, members=FINK_MEMBERS,
    )  # fmt: skip
    assert abs(settle(measured).points[list(FINK).index("B"), 1]) == pytest.approx(0.5, abs=1e-9)


def test_an_assumption_switched_off_is_not_proposed_again() -> None:
    job = job_of(("length", "AB", 4), ("length", "BC", 3))
    first = settle(job)
    assert first.freedoms == 0
    off = [a.model_copy(update={"active": False}) for a in first.assumptions if a.kind == "plumb"]
    assert off
    after = settle(job.model_copy(update={"dimensions": [*job.dimensions, *off]}))
    assert after.freedoms == 1
    assert after.loose_joints == ("C",)


def test_what_is_open_is_said_with_the_dimension_to_measure_next() -> None:
    job = job_of(("length", "AB", 4), ("length", "BC", 3))
    geometry = settle(job, assume=False)
    assert geometry.freedoms == 1
    (motion,) = geometry.open_motions
    assert set(motion) == {"C"}
    with pytest.raises(InputError, match=r"joint C \(1 freedom open\); measure the length A-C"):
        placed_job(job, geometry)


def test_angles_settle_the_shape_but_not_the_scale() -> None:
    job = job_of(("angle", "AC", 40), ("plumb", "BC", None), ("level", "AB", None))
    geometry = settle(job)
    assert geometry.shape_settled
    assert not geometry.scale_settled
    with pytest.raises(InputError, match="no length is given"):
        placed_job(job, geometry)


def test_a_placed_job_is_left_exactly_as_it_is() -> None:
    job = job_of()
    placed = as_drawn(job)
    assert placed_job(placed, settle(placed)) is placed


def test_as_drawn_keeps_the_proportions_of_the_drawing() -> None:
    truss = truss_of(as_drawn(job_of()))
    drawn = np.array(list(TRIANGLE.values()), float)
    lengths = [np.hypot(*(drawn[a] - drawn[b])) for a, b in truss.members]
    np.testing.assert_allclose(truss.lengths, 10 * np.array(lengths) / max(lengths))


@pytest.mark.parametrize(
    ("dimension", "says"),
    [
        (("angle", "AB", 400), "between 0 and 360"),
        (("length", "AB", 0), "greater than zero"),
        (("length", "AB", -3), "greater than zero"),
        (("length", "AQ", 3), "names joint 'Q'"),
        (("length", "AA", 3), "same joint twice"),
        (("length", "AB", "3 kN"), "not a length"),
        (("length", "AB", None), "has no value yet"),
        (("horizontal", "AB", -2), "without sign"),
        (("angle", "A", 30), "needs 2 joints"),
        (("equal", "ABC", None), "needs 4 or more joints"),
        (("slope", "AC", "0:0"), "no direction"),
        (("bays", "ABC", "3 @ 2 m"), "3 bays need 4 joints"),
        (("bays", "AB", "3 @ 2 m = 7 m"), "make 6 m, not 7 m"),
        (("symmetric", "AB", "C-Q"), "the axis is"),
    ],
)
def test_an_entry_that_cannot_be_meant_is_named_and_kept(
    dimension: tuple[str, str, Any], says: str
) -> None:
    job = job_of(("length", "AB", 4), ("length", "BC", 3), ("length", "AC", 5), dimension)
    geometry = settle(job)
    (problem,) = geometry.problems
    assert problem.index == 3
    assert says in problem.sentence
    assert geometry.checks[3].state == "problem"
    np.testing.assert_allclose(geometry.points[2, 1], 3, atol=1e-9)
    with pytest.raises(InputError, match=r"Dimension"):
        placed_job(job, geometry)


def test_an_impossible_triangle_is_named_with_the_value_that_would_fit() -> None:
    job = job_of(("length", "AB", 4), ("length", "BC", 3), ("length", "AC", 50))
    geometry = settle(job)
    assert "no triangle" in geometry.problems[0].sentence
    assert (geometry.misreads[0].index, geometry.misreads[0].value) == (2, "5")
    assert geometry.misreads[0].reason == "decimal point"


def test_joints_that_were_never_drawn_are_named() -> None:
    job = Job.model_validate({"joints": {"A": {}, "B": {"pixel": (0, 0)}}})
    assert "Joint A" in settle(job).problems[0].sentence
    with pytest.raises(InputError, match="Joint A"):
        as_drawn(job)


def test_tolerances_that_are_too_tight_are_reported() -> None:
    rng = np.random.default_rng(3)
    square = {"A": (0, 300), "B": (300, 300), "C": (300, 0), "D": (0, 0)}
    true = {"A": (0, 0), "B": (3, 0), "C": (3, 3), "D": (0, 3)}
    pairs = ["AB", "BC", "CD", "AD", "AC", "BD"]
    spoilt = []
    for _ in range(3):  # each length three times with the tape, each reading to 2 cm
        for a, b in pairs:
            length = math.dist(true[a], true[b]) + rng.normal(0, 0.02)
            spoilt.append(("length", a + b, round(length, 4)))
    job = job_of(*spoilt, places=square, members=pairs)
    tight = [d.model_copy(update={"tolerance": "1 mm"}) for d in job.dimensions]
    fair = [d.model_copy(update={"tolerance": "4 cm"}) for d in job.dimensions]
    geometry = settle(job.model_copy(update={"dimensions": tight}))
    assert geometry.overtight
    assert geometry.strain is not None
    assert geometry.strain > 10
    assert not settle(job.model_copy(update={"dimensions": fair})).overtight


def test_standard_errors_are_those_of_repeated_measuring() -> None:
    """Monte Carlo: 400 trilaterations with errors of the stated size (fixed seed)."""
    rng = np.random.default_rng(8)
    job = job_of(
        ("length", "AB", 4), ("length", "BC", 3), ("length", "AC", 5), ("level", "AB", None)
    )
    sigmas = (0.01, 0.02, 0.015)
    found = []
    for _ in range(400):
        values = np.array([4, 3, 5]) + rng.normal(size=3) * sigmas
        dimensions = [
            d if d.value is None else d.model_copy(update={"value": float(v), "tolerance": 2 * s})
            for d, v, s in zip(job.dimensions, [*values, 0.0], [*sigmas, 0.0], strict=True)
        ]
        dimensions[3] = job.dimensions[3].model_copy(update={"tolerance": 0.0})
        geometry = settle(job.model_copy(update={"dimensions": dimensions}), assume=False)
        found.append(geometry.points[1:].ravel())
    spread = np.array(found).std(axis=0)
    claimed = geometry.standard_errors[1:].ravel()
    moving = claimed > 1e-4
    np.testing.assert_allclose(claimed[moving], spread[moving], rtol=0.15)


def test_overdetermined_coordinates_are_the_least_squares_ones() -> None:
    """The same sum of squares minimised by SciPy's least_squares, differences for derivatives."""
    square = {"A": (0, 310), "B": (300, 300), "C": (310, 0), "D": (0, 10)}
    given = [("AB", 3.0), ("BC", 3.004), ("CD", 2.997), ("AD", 3.002), ("AC", 4.25), ("BD", 4.236)]
    job = job_of(
        *[("length", pair, value) for pair, value in given],
        places=square,
        members=[pair for pair, _ in given],
    )
    points = settle(job).points

    def misses(z: np.ndarray) -> np.ndarray:
        p = dict(zip("ABCD", [(0, 0), (z[0], 0), z[1:3], z[3:5]], strict=True))
        return np.array([(math.dist(p[k[0]], p[k[1]]) - v) / v for k, v in given])

    fit = least_squares(misses, [3, 3, 3, 0, 3], xtol=1e-15, ftol=1e-15, gtol=1e-15)
    ours = [np.hypot(*(points["ABCD".index(k[0])] - points["ABCD".index(k[1])])) for k, _ in given]
    theirs = [(m + 1) * v for m, (_, v) in zip(misses(fit.x), given, strict=True)]
    np.testing.assert_allclose(ours, theirs, rtol=1e-8)


@pytest.mark.parametrize("quantity", list(QUANTITIES))
def test_derivatives_agree_with_differences(quantity: str) -> None:
    rng = np.random.default_rng(5)
    points = rng.normal(size=(4, 2))
    width = {"x": 1, "y": 1, "dx": 2, "dy": 2, "distance": 2, "direction": 2}.get(quantity, 4)
    system = System((Equation(quantity, tuple(range(width)), 0.1, 1.0),), 4)  # type: ignore[arg-type]
    exact = system.jacobian(points).toarray()[0]
    steps = 1e-6 * np.eye(8).reshape(8, 4, 2)
    by_differences = [
        (system.evaluate(points + s)[0][0] - system.evaluate(points - s)[0][0]) / 2e-6
        for s in steps
    ]
    np.testing.assert_allclose(exact, by_differences, atol=1e-8)


def test_a_page_seen_askew_is_made_flat() -> None:
    corners = [(120, 80), (1800, 210), (1650, 1400), (60, 1250)]
    flat = project(page_homography(corners, aspect=1.25), np.array(corners, float))
    sides = np.roll(flat, -1, axis=0) - flat
    np.testing.assert_allclose(sides[0] @ sides[1], 0, atol=1e-6)
    assert np.hypot(*sides[0]) / np.hypot(*sides[1]) == pytest.approx(1.25)
    with pytest.raises(InputError, match="corners"):
        page_homography([(0, 0), (1, 1), (2, 2), (0, 1)])


def test_perspective_is_found_with_the_dimensions() -> None:
    """The overlay's homography puts the true joints back near their pixels."""
    true = {
        "A": (0, 0),
        "B": (4, 0),
        "C": (8, 0),
        "D": (12, 0),
        "E": (2, 3),
        "F": (6, 3),
        "G": (10, 3),
    }
    members = ["AB", "BC", "CD", "AE", "EB", "BF", "FC", "CG", "GD", "EF", "FG"]
    camera = np.array([[90, 12, 400], [-6, -110, 1500], [0.012, -0.04, 1]])
    pixels = project(camera, np.array(list(true.values()), float))
    job = job_of(
        *[("length", m, math.dist(true[m[0]], true[m[1]])) for m in members],
        ("level", "AD", None),
        places={k: tuple(p) for k, p in zip(true, pixels.tolist(), strict=True)},
        members=members,
    )
    geometry = settle(job)
    np.testing.assert_allclose(geometry.points, list(true.values()), atol=1e-9)
    assert geometry.homography is not None
    off = np.hypot(*(project(geometry.homography, geometry.points) - pixels).T)
    assert off.max() < 0.06 * np.ptp(pixels)
