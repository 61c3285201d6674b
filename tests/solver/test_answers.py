"""A person's values: every kind of slip is planted and must be named."""

from collections.abc import Iterator

import numpy as np
import pytest

from model.answers_file import read_answers
from model.errors import InputError
from model.job import Answer, Job, read_job
from model.truss import Load, Support, Truss
from solver.answers import Report, judge, judge_answers
from solver.joints import joint_by_joint
from solver.solve import result_of, solve
from solver.steps import JointStep

#: Three bays of 3 m, 4 m high; at each post the members have the slope 3:4, so the
#: right values are whole numbers by hand: Ay = 16, By = 8 under 24 kN at C.
JOINTS = {"A": (0, 0), "C": (3, 0), "D": (6, 0), "B": (9, 0), "E": (3, 4), "F": (6, 4)}
MEMBERS = ["AC", "CD", "DB", "AE", "EC", "EF", "ED", "FD", "FB"]
RIGHT = {
    "AC": 12,
    "CD": 12,
    "DB": 6,
    "AE": -20,
    "EC": 24,
    "EF": -6,
    "ED": -10,
    "FD": 8,
    "FB": -10,
    "Ax": 0,
    "Ay": 16,
    "By": 8,
}


def job() -> Job:
    return read_job(
        {
            "format": "inkstrut-job",
            "version": 1,
            "joints": {name: {"x": x, "y": y} for name, (x, y) in JOINTS.items()},
            "members": [{"a": a, "b": b} for a, b in MEMBERS],
            "supports": [{"joint": "A", "kind": "pin"}, {"joint": "B", "kind": "roller"}],
            "loads": [{"joint": "C", "fy": -24}],
        }
    )


def judged(changes: dict[str, float | None]) -> Report:
    values = {name: value for name, value in (RIGHT | changes).items() if value is not None}
    lines = [f"{name},{value}" for name, value in values.items()]
    return judge_answers(job(), "\n".join(["what,value", *lines]))


def slips(report: Report) -> dict[str, str]:
    return {v.what: v.kind for v in report.verdicts if v.kind != "right"}


def test_the_hand_worked_values_are_right() -> None:
    result = result_of(job())
    assert {m.a + m.b: round(m.force, 9) for m in result.members} == {
        name: RIGHT[name] for name in MEMBERS
    }
    report = judged({})
    assert report.all_right
    assert report.balance is None
    assert "0.5 %" in report.rounding
    assert "0.012 kN" in report.rounding


def test_rounding_is_allowed_for_and_nothing_beyond_it() -> None:
    assert judged({"AE": -20.09}).all_right
    assert slips(judged({"AE": -20.2})) == {"AE": "wrong"}
    assert judged({"Ax": 0.01}).all_right
    assert slips(judged({"Ax": 0.02})) == {"Ax": "wrong"}


@pytest.mark.parametrize(
    ("what", "value", "kind", "said"),
    [
        ("AE", 20, "wrong sense", "it is 20 kN (C)"),
        ("By", -8, "wrong sense", "it is 8 kN"),
        ("AE", -16, "component", "component along y"),
        ("AE", 12, "component", "component along x"),
        ("ED", -13.33, "slope inverted", "run and rise"),
        ("ED", -7.5, "slope inverted", "run and rise"),
        ("FD", 3, "wrong", "it is 8 kN (T)"),
        ("EF", None, "missing", "it is 6 kN (C)"),
    ],
)
def test_one_slip_is_named(what: str, value: float | None, kind: str, said: str) -> None:
    report = judged({what: value})
    assert slips(report) == {what: kind}
    (verdict,) = (v for v in report.verdicts if v.what == what)
    assert said in verdict.sentence
    assert verdict.right == pytest.approx(RIGHT[what])
    assert report.all_right == (kind == "missing")


def test_what_follows_from_a_slip_is_carried_over() -> None:
    """AE by the component only: AC, and at E then EF and ED, follow from it.

    At A: AC = 16 * 3/5 = 9.6.  At C: CD = 9.6, EC = 24.  At E, with AE = -16
    (up 12.8, right 9.6): ED = (12.8 - 24) / 0.8 = -14, EF = -9.6 + 14 * 0.6 = -1.2.
    """
    report = judged({"AE": -16, "AC": 9.6, "CD": 9.6, "ED": -14, "EF": -1.2})
    assert slips(report) == {
        "AE": "component",
        "AC": "carried over",
        "CD": "carried over",
        "ED": "carried over",
        "EF": "carried over",
    }
    assert report.balance is not None
    assert report.balance.joint == "A"
    assert report.balance.y == pytest.approx(16 - 12.8)
    (followed,) = (v for v in report.verdicts if v.what == "ED")
    assert followed.joint == "E"


def test_a_wrong_reaction_carries_through_the_whole_truss() -> None:
    """Moments taken with an arm of 4 m: By = 32/3, Ay = 40/3, and every joint but B follows."""
    ay, by = 40 / 3, 32 / 3
    ae = -ay / 0.8
    ac = -0.6 * ae
    ed = (-24 - 0.8 * ae) / 0.8
    ef = 0.6 * ae - 0.6 * ed
    fb = ef / 0.6
    values = {"Ay": ay, "By": by, "AE": ae, "AC": ac, "CD": ac, "ED": ed, "EF": ef}
    report = judged({**values, "FB": fb, "FD": -0.8 * fb, "DB": -0.6 * fb})
    found = slips(report)
    assert found.pop("By") == "wrong"
    assert set(found.values()) == {"carried over"}
    assert set(found) == {"Ay", *MEMBERS} - {"EC"}  # EC carries the load whatever the rest


def test_the_person_may_start_at_the_other_end() -> None:
    """FB with the wrong sense at B, then every joint towards A from it."""
    values = {"FB": 10, "DB": -6, "EF": 6, "FD": -8, "ED": 10, "CD": -12, "AC": -12, "AE": -40}
    report = judged(values)
    found = slips(report)
    assert found.pop("FB") == "wrong sense"
    assert found == dict.fromkeys(set(values) - {"FB"}, "carried over")
    assert report.balance is not None
    assert report.balance.joint == "B"


def girder(seed: int) -> Truss:
    """Two to six bays, joints off the grid, loads in all directions."""
    random = np.random.default_rng(seed)
    count = 2 * int(random.integers(3, 8))
    points = np.array([(3.0 * (i // 2), 2.5 * (i % 2)) for i in range(count)])
    members = [(0, 1)]
    for a in range(0, count - 2, 2):
        members += [(a, a + 2), (a + 1, a + 3), (a + 2, a + 3), (a, a + 3)]
    names = tuple(f"J{i}" for i in range(count))
    return Truss(
        names,
        points + random.uniform(-0.3, 0.3, points.shape),
        np.array(members),
        (Support("J0", "pin"), Support(names[-2], "roller")),
        tuple(Load(name, *random.uniform(-20, 20, 2)) for name in names[1::2]),
    )


def worked_with_a_slip(truss: Truss, choice: int) -> Iterator[tuple[str, float, bool]]:
    """What a person finds joint by joint who takes one member with the wrong sense.

    The other unknown of that joint follows from the sum in which it is larger.
    """
    steps = joint_by_joint(solve(truss)).steps
    found = [a for s in steps if isinstance(s, JointStep) for a in s.found if abs(a.force) > 0.5]
    chosen = found[choice % len(found)]
    known: dict[frozenset[str], float] = {}
    for step in steps:
        if not isinstance(step, JointStep):
            known |= {frozenset([a.name]): a.force for a in step.found}
            continue
        left = np.zeros(2)
        for acting in step.forces:
            if acting.force is not None:
                own = known.get(frozenset(acting.name.split("-")), acting.force)
                left -= own * np.array(acting.direction)
        unknown = [frozenset(a.name.split("-")) for a in step.found]
        across = np.array([a.direction for a in step.found]).T
        rows = [0, 1] if len(unknown) == 2 else [int(np.abs(across).argmax())]
        known |= dict(zip(unknown, np.linalg.solve(across[rows], left[rows]), strict=True))
        if chosen in step.found:
            slip = frozenset(chosen.name.split("-"))
            known[slip] = -known[slip]
            for other in step.found:
                if other is not chosen:
                    rest = left - known[slip] * np.array(chosen.direction)
                    axis = int(abs(other.direction[1]) > abs(other.direction[0]))
                    known[frozenset(other.name.split("-"))] = rest[axis] / other.direction[axis]
    slip = frozenset(chosen.name.split("-"))
    for name, value in known.items():
        yield "-".join(sorted(name)), float(value), name == slip


def test_a_slip_is_found_among_all_that_follows_from_it() -> None:
    """Forty girders of up to 25 members: in nine of ten the one slip is named, and alone."""
    named = 0
    for seed in range(40):
        truss = girder(seed)
        values = list(worked_with_a_slip(truss, seed))
        answers = {what: Answer(what=what, value=value) for what, value, _ in values}
        (slip,) = (set(what.split("-")) for what, _, is_slip in values if is_slip)
        report = judge(solve(truss), answers, "kN")
        kinds = {v.kind for v in report.verdicts if set(v.what.split("-")) != slip}
        (of_slip,) = (v.kind for v in report.verdicts if set(v.what.split("-")) == slip)
        named += of_slip == "wrong sense" and kinds <= {"right", "carried over"}
    assert named >= 36


def test_names_and_values_are_read_as_people_write_them() -> None:
    text = "\ufeffValue; Unit; What\n20000 C; N; e-a\n12; ; A–C\n8 (T);;fd\n\n16;kN;A_y\n"
    report = judge_answers(job(), text)
    given = {v.what: v.given for v in report.verdicts if v.given is not None}
    assert given == {"AC": 12, "AE": -20, "FD": 8, "Ay": 16}
    assert report.all_right
    assert {v.kind for v in report.verdicts if v.given is None} == {"missing"}


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "The answers are empty"),
        ("a,b\nAC,1", "Line 1 must name the columns"),
        ("what,value\n", "hold no value"),
        ("what,value\nAC,1,5", r"Line 2 has 3 entries for 2 columns"),
        ("what,value\nAC,1\n,3", "Line 3 names no member"),
        ('what,value\n"AC,1', "Line 2 is not CSV"),
        ("what,value\nAZ,1", r"Line 2 \(AZ\) is no member or reaction"),
        ("what,value\nAC,1\nCA,1", r"Line 3 \(CA\) was answered before"),
        ("what,value\nAC,much", r"Line 2 \(AC\): 'much' is not a number"),
        ("what,value,unit\nAC,1,m", r"Line 2 \(AC\): '1 m' is not a force"),
        ("what,value\nAC,-3 T", "negative tension"),
        ("what,value\nAC,3 t", "tension or tonnes"),
        ("what,value\nAy,3 C", "a reaction is not tension or compression"),
        ("what,value\nAC,inf", "not a number"),
    ],
)
def test_bad_answers_are_refused_by_line(text: str, said: str) -> None:
    with pytest.raises(InputError, match=said):
        judge_answers(job(), text)


def test_a_line_number_counts_from_one_with_blank_lines() -> None:
    assert list(read_answers("\nwhat,value\n\nAC,1\n")) == [4]


def test_answers_saved_in_the_job_are_judged() -> None:
    saved = job().model_copy(
        update={
            "answers": read_job(
                job().model_dump() | {"answers": [{"what": "AC", "value": "12 T"}]}
            ).answers
        }
    )
    assert judge_answers(saved).all_right


def test_an_inclined_roller_is_judged_by_its_components() -> None:
    """A bracket on a roller at 120 degrees: both components are asked for."""
    document = job().model_dump()
    document["supports"][1]["angle_deg"] = 120.0
    tilted = read_job(document)
    result = result_of(tilted)
    x, y = result.reactions["B"]
    assert x == pytest.approx(-y / np.sqrt(3))
    report = judge_answers(tilted, f"what,value\nBx,{x}\nBy,{-y}")
    kinds = {v.what: v.kind for v in report.verdicts if v.given is not None}
    assert kinds == {"Bx": "right", "By": "wrong sense"}


def test_an_unstable_truss_has_nothing_to_compare_with() -> None:
    document = job().model_dump()
    document["members"] = document["members"][:-1]
    with pytest.raises(InputError, match="nothing to compare with"):
        judge_answers(read_job(document), "what,value\nAC,1")
