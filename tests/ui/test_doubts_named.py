"""Doubts as the editor gets them: joints by name, each reading told from the others."""

from model.candidate import Alternative, Candidate, Doubt, Edit, PictureFacts
from ui.reading import doubts_of

FACTS = PictureFacts(name="boathouse.jpg", width=100, height=80, sha256="0")


def _member(a: int, b: int, reading: str = "a member here") -> Alternative:
    return Alternative(reading=reading, edits=[Edit(do="add_member", joints=[a, b])])


def _named(*others: Alternative) -> dict:
    doubt = Doubt(about="member", joints=[0, 2], reason="Loose.", alternatives=list(others))
    candidate = Candidate(picture=FACTS, joints=[], members=[], doubts=[doubt])
    (named,) = doubts_of(candidate, {0: "A", 1: "B", 2: "C", 3: "D"})
    return named


def test_joints_go_by_their_names_and_new_ones_by_a_number():
    named = _named(_member(0, 4))
    assert named["joints"] == ["A", "C"]
    assert named["alternatives"][0]["edits"][0]["joints"] == ["A", "+4"]
    assert named["alternatives"][0]["reading"] == "a member here"


def test_readings_in_the_same_words_are_told_apart_by_their_joints():
    named = _named(_member(0, 2), _member(1, 3), _member(0, 1, "a strut"))
    readings = [other["reading"] for other in named["alternatives"]]
    assert readings == ["a member here (A-C)", "a member here (B-D)", "a strut"]
