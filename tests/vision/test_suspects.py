"""How probably something that was read is not so."""

from model.candidate import CandidateJoint, CandidateLoad, CandidateMember, CandidateSupport
from vision.suspects import doubtful_joints, doubtful_kinds, doubtful_supports, running_through


def _joints(places, confidence=0.8):
    return [
        CandidateJoint(id=k, x=x, y=y, confidence=confidence) for k, (x, y) in enumerate(places)
    ]


def _members(pairs):
    return [CandidateMember(a=a, b=b, confidence=0.9) for a, b in pairs]


TRIANGLE = [(0, 0), (100, 0), (50, 80)]


def test_a_joint_on_a_straight_member_is_the_most_doubtful():
    joints = _joints([*TRIANGLE, (50, 1)])
    members = _members([(0, 3), (1, 3), (0, 2), (1, 2)])
    chance = doubtful_joints(joints, members)
    assert max(chance) == chance[3]
    assert running_through(3, joints, members) == [(0, 1)]
    assert running_through(2, joints, members) == []


def test_a_joint_close_to_another_is_more_doubtful():
    pairs = [(0, 1), (1, 2), (0, 2), (0, 3), (1, 3), (2, 3)]
    near = doubtful_joints(_joints([*TRIANGLE, (50, 76)]), _members(pairs))
    far = doubtful_joints(_joints([*TRIANGLE, (50, 40)]), _members(pairs))
    assert near[3] > far[3]


def test_a_support_where_a_load_was_read_as_well_is_more_doubtful():
    supports = [
        CandidateSupport(joint=0, kind="pin", confidence=0.7),
        CandidateSupport(joint=1, kind="roller", confidence=0.7),
    ]
    first, second = doubtful_supports(supports, [CandidateLoad(joint=0, direction_deg=270)])
    assert first > second


def test_two_pins_with_a_reaction_to_spare_are_more_doubtful_than_without():
    pins = [CandidateSupport(joint=joint, kind="pin", confidence=0.8) for joint in (0, 1)]
    assert doubtful_kinds(pins, 1) > doubtful_kinds(pins, 0)
    mixed = [pins[0], pins[1].model_copy(update={"kind": "roller"})]
    assert doubtful_kinds(mixed, 1) == doubtful_kinds(pins, 0)
    assert doubtful_kinds([], 0) == 0.0
