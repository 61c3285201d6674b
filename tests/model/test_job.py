"""The job document: what is accepted, what is refused and with which sentence."""

import copy
import json
from typing import Any

import numpy as np
import pytest

from model.errors import InputError
from model.job import Job, read_job, truss_of

BRACKET: dict[str, Any] = {
    "format": "inkstrut-job",
    "version": 1,
    "title": "Davit bracket",
    "units": {"length": "m", "force": "kN"},
    "joints": {"A": {"x": 0, "y": 0}, "B": {"x": 0, "y": 3}, "C": {"x": 4, "y": 3}},
    "members": [{"a": "A", "b": "C"}, {"a": "B", "b": "C"}, {"a": "A", "b": "B"}],
    "supports": [
        {"joint": "B", "kind": "pin"},
        {"joint": "A", "kind": "roller", "angle_deg": 0},
    ],
    "loads": [{"joint": "C", "fx": 0, "fy": -12}],
}


def changed(**entries: Any) -> dict[str, Any]:
    return {**copy.deepcopy(BRACKET), **entries}


def test_a_job_comes_back_as_it_was_saved() -> None:
    job = read_job(json.dumps(BRACKET))
    assert read_job(job.model_dump_json()) == job
    assert job.placed


def test_the_truss_has_the_jobs_numbers() -> None:
    truss = truss_of(read_job(BRACKET))
    assert truss.joints == ("A", "B", "C")
    np.testing.assert_allclose(truss.lengths, [5.0, 4.0, 3.0])
    np.testing.assert_allclose(truss.load_vector(), [[0, 0], [0, 0], [0, -12]])
    assert [truss.member_name(i) for i in range(3)] == ["AC", "BC", "AB"]


def test_the_graph_carries_typed_attributes() -> None:
    graph = truss_of(read_job(BRACKET)).graph
    assert set(graph.nodes) == {"A", "B", "C"}
    assert graph.edges["A", "C"]["length"] == pytest.approx(5.0)
    assert graph.nodes["B"]["support"].kind == "pin"
    assert graph.nodes["C"]["loads"][0].fy == -12


@pytest.mark.parametrize(
    "load",
    [
        {"joint": "C", "fx": "-8 kN", "fy": "-6000 N"},
        {"joint": "C", "magnitude": 10, "slope": [-4, -3]},
        {"joint": "C", "magnitude": "10 kN", "direction_deg": 216.86989764584402},
    ],
)
def test_a_load_means_the_same_however_it_is_given(load: dict[str, Any]) -> None:
    vector = truss_of(read_job(changed(loads=[load]))).load_vector()
    np.testing.assert_allclose(vector[2], [-8, -6], rtol=1e-12)


def test_what_was_typed_is_kept_as_typed() -> None:
    job = read_job(
        changed(dimensions=[{"kind": "length", "joints": ["A", "B"], "value": "9'-10\""}])
    )
    assert json.loads(job.model_dump_json())["dimensions"][0]["value"] == "9'-10\""


def test_a_dimension_on_a_deleted_joint_is_kept_for_repair() -> None:
    job = read_job(changed(dimensions=[{"kind": "length", "joints": ["A", "Z"], "value": 3}]))
    assert job.dimensions[0].joints == ["A", "Z"]


@pytest.mark.parametrize(
    ("document", "says"),
    [
        ("{", "not a JSON document"),
        (b"\xff\xfe\x00", "not a JSON document"),
        ("[]", "not an Inkstrut job"),
        (changed(format="other"), "not an Inkstrut job"),
        (changed(version=2), "newer than this program reads"),
        (changed(members=[{"a": "A", "b": "Q"}]), r"Member 1 \(A-Q\) names joint 'Q'"),
        (changed(members=[{"a": "A", "b": "B"}, {"a": "B", "b": "A"}]), "is there twice"),
        (changed(members=[{"a": "A", "b": "A"}]), "begins and ends at the same joint"),
        (changed(joints={"A": {"x": 1, "y": 1}, "B": {"x": 1, "y": 1}, "C": {"x": 0, "y": 0}}),
         "has no length"),
        (changed(joints={"A B": {"x": 0, "y": 0}}, members=[], supports=[], loads=[]),
         "Joint name 'A B'"),
        (changed(joints={"<b>": {"x": 0, "y": 0}}, members=[], supports=[], loads=[]),
         "Joint name '<b>'"),
        (changed(loads=[{"joint": "C", "fy": -1}] * 10_000), "carries 10000 loads"),
        (changed(loads=[{"joint": "X", "fy": -1}]), "Load 1 names joint 'X'"),
        (changed(supports=[{"joint": "A", "kind": "pin"}] * 2), "more than one support"),
        (changed(joints={"A": {"x": float("nan"), "y": 0}}), "joints → A → x"),
        (changed(supports=[{"joint": "A", "kind": "glue"}]), "supports → 1 → kind"),
        (changed(colour="red"), "colour"),
    ],
)  # fmt: skip
def test_a_faulty_job_is_refused_by_name(document: Any, says: str) -> None:
    with pytest.raises(InputError, match=says) as error:
        read_job(document)
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    ("load", "says"),
    [
        ({"joint": "C", "fy": "3 m"}, r"Load 1 \(joint C\): '3 m' is not a force"),
        ({"joint": "C", "magnitude": 3}, "give a direction or a slope"),
        ({"joint": "C", "magnitude": 3, "fx": 1, "direction_deg": 0}, "not both"),
        ({"joint": "C", "direction_deg": 0}, "a direction needs a magnitude"),
        ({"joint": "C", "magnitude": 3, "slope": [0, 0]}, "no direction"),
    ],
)
def test_a_load_that_cannot_be_read_is_named(load: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError, match=says):
        truss_of(read_job(changed(loads=[load])))


def test_a_joint_without_coordinates_is_named() -> None:
    job = Job(joints={"A": {"pixel": (3.0, 4.0)}})  # type: ignore[dict-item]
    assert not job.placed
    with pytest.raises(InputError, match="Joint A has no coordinates yet"):
        truss_of(job)
