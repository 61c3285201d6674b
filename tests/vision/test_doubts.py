"""Doubts: their order, and that their edits lead to the other reading."""

import numpy as np

from model.candidate import CandidateJoint, CandidateLoad, CandidateMember, CandidateSupport
from vision.doubts import list_doubts
from vision.overlooked import MaybeJoint, MaybeLoad, MaybeSupport, Overlooked

SQUARE = [(0, 0), (100, 0), (100, 100), (0, 100)]


def _joints(places, confidence=1.0):
    return [
        CandidateJoint(id=k, x=x, y=y, confidence=confidence) for k, (x, y) in enumerate(places)
    ]


def _members(pairs, confidence=1.0):
    return [CandidateMember(a=a, b=b, confidence=confidence) for a, b in pairs]


SIDES = [(0, 1), (1, 2), (2, 3), (0, 3)]
BRACED = [*SIDES, (0, 2)]
SUPPORTS = [CandidateSupport(joint=0, kind="pin"), CandidateSupport(joint=1, kind="roller")]


def _edits(other):
    return [(edit.do, edit.joints) for edit in other.edits]


def test_nothing_doubtful_in_a_sure_rigid_truss():
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]
    assert list_doubts(_joints(SQUARE), _members(pairs), SUPPORTS, []) == []


def test_a_faint_line_that_would_stop_a_mechanism_comes_first_and_is_not_invented():
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0)]  # m + r = 4 + 3 = 7 < 2 j = 8
    members = _members(pairs, confidence=0.2)
    doubts = list_doubts(_joints(SQUARE), members, SUPPORTS, [], faint=[(0, 2)])
    assert doubts[0].joints == [0, 2]
    assert doubts[0].alternatives[0].edits[0].do == "add_member"
    assert [doubt.about for doubt in doubts[1:]] == ["member"] * 4


def test_a_panel_that_can_fold_is_said_with_both_its_diagonals():
    doubts = list_doubts(_joints(SQUARE), _members(SIDES), SUPPORTS, [])
    assert [doubt.about for doubt in doubts] == ["member"]
    assert "1 more member or reaction" in doubts[0].reason
    offered = [_edits(other) for other in doubts[0].alternatives]
    assert offered == [[("add_member", [0, 2])], [("add_member", [1, 3])]]


def test_a_mechanism_that_no_diagonal_stops_is_said():
    chain = _joints([(0, 0), (50, 40), (100, 0), (150, 40)])
    doubts = list_doubts(chain, _members([(0, 1), (1, 2), (2, 3)]), SUPPORTS, [])
    assert [(doubt.about, doubt.joints) for doubt in doubts] == [("truss", [])]
    assert "look for what was not read" in doubts[0].reason


def test_too_few_supports_are_said_and_the_likeliest_joints_offered():
    maybe = (MaybeSupport(1, "roller", 90.0, 0.4), MaybeSupport(2, "pin", 0.0, 0.01))
    doubts = list_doubts(
        _joints(SQUARE),
        _members(BRACED),
        SUPPORTS[:1],
        [],
        overlooked=Overlooked(supports=maybe),
    )
    assert [doubt.about for doubt in doubts] == ["support"]
    assert "only 2" in doubts[0].reason
    edits = [edit for other in doubts[0].alternatives for edit in other.edits]
    assert [(edit.joints, edit.kind, edit.angle_deg) for edit in edits] == [([1], "roller", 90.0)]


def test_an_arrow_that_stands_for_a_support_is_asked_for_and_fills_the_lack():
    arrow = CandidateLoad(joint=1, direction_deg=90, confidence=0.9)
    doubts = list_doubts(_joints(SQUARE), _members(BRACED), SUPPORTS[:1], [], reactions=[arrow])
    assert len(doubts) == 1
    assert doubts[0].joints == [1]
    done = [edit.do for other in doubts[0].alternatives for edit in other.edits]
    assert done == ["set_support", "set_load"]
    held = list_doubts(_joints(SQUARE), _members(BRACED), SUPPORTS, [], reactions=[arrow])
    assert held == []  # a reaction drawn at a support


def test_an_arrow_at_a_support_taken_for_a_reaction_may_be_a_load():
    arrow = CandidateLoad(joint=1, direction_deg=90, confidence=0.4)
    (doubt,) = list_doubts(_joints(SQUARE), _members(BRACED), SUPPORTS, [], reactions=[arrow])
    assert (doubt.about, _edits(doubt.alternatives[0])) == ("load", [("set_load", [1])])


def test_arrows_that_look_like_reactions_are_asked_for_together():
    arrows = [
        CandidateLoad(joint=0, direction_deg=0, confidence=0.9),
        CandidateLoad(joint=0, direction_deg=90, confidence=0.9),
        CandidateLoad(joint=1, direction_deg=90, confidence=0.9),
    ]
    (doubt,) = list_doubts(_joints(SQUARE), _members(BRACED), [], [], reactions=arrows)
    assert doubt.joints == [0, 1]
    first = doubt.alternatives[0].edits
    assert [(edit.joints, edit.kind) for edit in first] == [([0], "pin"), ([1], "roller")]


def test_one_of_two_pins_may_be_a_roller_where_a_reaction_is_to_spare():
    pins = [CandidateSupport(joint=joint, kind="pin", confidence=0.8) for joint in (0, 1)]
    (doubt,) = list_doubts(_joints(SQUARE), _members(BRACED), pins, [])  # m + r - 2 j = 5 + 4 - 8
    assert (doubt.about, doubt.joints) == ("support", [0, 1])
    edits = [edit for other in doubt.alternatives for edit in other.edits]
    assert [(edit.joints, edit.kind) for edit in edits] == [([0], "roller"), ([1], "roller")]


def test_a_support_that_may_be_none_is_offered_to_be_taken_away():
    supports = [*SUPPORTS, CandidateSupport(joint=2, kind="pin", confidence=0.3)]
    doubt = list_doubts(_joints(SQUARE), _members(BRACED), supports, [])[0]
    assert (doubt.joints, _edits(doubt.alternatives[0])) == ([2], [("remove_support", [2])])


def test_a_member_at_a_doubtful_joint_is_not_asked_for_twice():
    joints = _joints(SQUARE)
    joints[2] = joints[2].model_copy(update={"confidence": 0.1})
    members = _members(BRACED, confidence=0.05)
    doubts = list_doubts(joints, members, SUPPORTS, [])
    assert sorted(doubt.joints for doubt in doubts) == [[0, 1], [0, 3], [2]]


def test_two_joints_that_nearly_touch_may_be_one():
    joints = _joints([*SQUARE, (98, 4)])
    joints[4] = joints[4].model_copy(update={"confidence": 0.4})
    pairs = [*BRACED, (0, 4), (1, 4)]
    doubt = list_doubts(joints, _members(pairs), SUPPORTS, [])[0]
    assert [_edits(other) for other in doubt.alternatives] == [
        [("remove_joint", [4])],
        [("merge_joints", [1, 4])],
    ]


def test_joints_that_may_have_been_overlooked():
    at = np.array([50.0, 50.0])
    maybe = (
        MaybeJoint(at, 0.6, ((0, 2), (1, 3)), ()),
        MaybeJoint(at, 0.5, ((0, 2),), ()),
        MaybeJoint(at, 0.4, (), (0, 1)),
        MaybeJoint(at, 0.1, (), (2, 3)),
    )
    doubts = list_doubts(
        _joints(SQUARE), _members(BRACED), SUPPORTS, [], overlooked=Overlooked(joints=maybe)
    )
    assert [doubt.joints for doubt in doubts] == [[0, 1, 2, 3], [0, 2], [0, 1]]
    assert [_edits(doubt.alternatives[0]) for doubt in doubts] == [
        [("join_members", [0, 2, 1, 3])],
        [("split_member", [0, 2])],
        [("add_joint", [4]), ("add_member", [4, 0]), ("add_member", [4, 1])],
    ]
    assert doubts[0].alternatives[0].edits[0].at == (50.0, 50.0)


def test_a_line_close_beside_others_is_asked_for_once():
    beside = Overlooked(members=((0, 2, 0.6),))
    doubts = list_doubts(_joints(SQUARE), _members(SIDES), SUPPORTS, [], overlooked=beside)
    assert [_edits(doubt.alternatives[0]) for doubt in doubts] == [[("add_member", [0, 2])]]
    rigid = [*SIDES, (1, 3)]
    doubts = list_doubts(_joints(SQUARE), _members(rigid), SUPPORTS, [], overlooked=beside)
    assert [doubt.reason for doubt in doubts] == ["A member may run here that was not read."]


def test_faint_ink_that_would_stop_no_mechanism_is_not_asked_for():
    faint = [(0, 2)]
    assert list_doubts(_joints(SQUARE), _members([*SIDES, (1, 3)]), SUPPORTS, [], faint=faint) == []


MAYBE_LOADS = Overlooked(loads=(MaybeLoad(3, (-90.0, 90.0), 0.6), MaybeLoad(2, (0.0, 180.0), 0.12)))


def test_a_load_that_may_have_been_overlooked():
    read = [CandidateLoad(joint=1, direction_deg=270)]
    truss = _joints(SQUARE), _members(BRACED), SUPPORTS
    doubts = list_doubts(*truss, read, overlooked=MAYBE_LOADS)
    assert [doubt.joints for doubt in doubts] == [[3]]
    assert [other.edits[0].angle_deg for other in doubts[0].alternatives] == [270.0, 90.0]


def test_where_no_load_was_read_the_likeliest_joints_are_offered():
    truss = _joints(SQUARE), _members(BRACED), SUPPORTS
    (doubt,) = list_doubts(*truss, [], overlooked=MAYBE_LOADS)
    assert doubt.joints == [3, 2]
    assert [_edits(other) for other in doubt.alternatives] == [
        [("set_load", [3])],
        [("set_load", [2])],
    ]


def test_a_faint_member_across_others_is_asked_for():
    members = [*_members([*SIDES, (0, 2)]), CandidateMember(a=1, b=3, confidence=0.3)]
    (doubt,) = list_doubts(_joints(SQUARE), members, SUPPORTS, [])
    assert _edits(doubt.alternatives[0]) == [("remove_member", [1, 3])]


def test_the_least_sure_comes_first():
    loads = [
        CandidateLoad(joint=2, direction_deg=270, confidence=0.5),
        CandidateLoad(joint=3, direction_deg=0, confidence=0.3),
    ]
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 2)]
    doubts = list_doubts(_joints(SQUARE), _members(pairs), SUPPORTS, loads)
    assert [doubt.joints for doubt in doubts] == [[3], [2]]


def test_a_doubtful_arrow_may_stand_for_a_support_where_one_lacks():
    load = CandidateLoad(joint=1, direction_deg=90, confidence=0.5)
    first = list_doubts(_joints(SQUARE), _members(BRACED), SUPPORTS, [load])[0]
    assert [_edits(other) for other in first.alternatives] == [
        [("remove_load", [1])],
        [("set_load", [1])],
    ]
    lacking = list_doubts(_joints(SQUARE), _members(BRACED), SUPPORTS[:1], [load])
    arrow = next(doubt for doubt in lacking if doubt.about == "load")
    assert _edits(arrow.alternatives[1]) == [("remove_load", [1]), ("set_support", [1])]
    assert arrow.alternatives[1].edits[1].angle_deg == 90.0


def test_a_doubtful_crossing_offers_the_two_members_that_run_through():
    places = [(0, 0), (100, 0), (100, 100), (0, 100), (50, 50)]
    joints = _joints(places)
    joints[4] = joints[4].model_copy(update={"confidence": 0.3})
    pairs = [(0, 1), (1, 2), (2, 3), (3, 0), (0, 4), (1, 4), (2, 4), (3, 4)]
    doubt = list_doubts(joints, _members(pairs), SUPPORTS, [])[0]
    assert doubt.joints == [4]
    edits = [(edit.do, edit.joints) for edit in doubt.alternatives[0].edits]
    assert edits == [("remove_joint", [4]), ("add_member", [0, 2]), ("add_member", [1, 3])]
