"""A second truss on the page, and one that runs out of the picture."""

import numpy as np

from vision.beyond import other_truss, out_of_frame


def test_the_other_truss_replaces_the_one_that_was_read():
    doubt = other_truss(3, np.array([[10.0, 20.0], [30.0, 20.0], [20.0, 5.0]]), [(0, 1), (1, 2)])
    edits = [(edit.do, edit.joints, edit.at) for edit in doubt.alternatives[0].edits]
    assert edits == [
        ("remove_joint", [0], None),
        ("remove_joint", [1], None),
        ("remove_joint", [2], None),
        ("add_joint", [3], (10.0, 20.0)),
        ("add_joint", [4], (30.0, 20.0)),
        ("add_joint", [5], (20.0, 5.0)),
        ("add_member", [3, 4], None),
        ("add_member", [4, 5], None),
    ]


def test_members_at_the_rim_mean_a_cut_truss():
    whole = np.array([[200.0, 200.0], [800.0, 700.0]])
    assert out_of_frame(1000, 800, whole) is None
    cut = np.array([[997.0, 200.0], [998.0, 200.0], [500.0, 500.0]])
    doubt = out_of_frame(1000, 800, cut)
    assert doubt is not None
    assert "(right)" in doubt.reason
