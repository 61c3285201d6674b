"""The whole job by keyboard alone, with what a screen reader is told."""

from __future__ import annotations

import re

from browser_hand import Hand


def said(desk: Hand) -> str:
    return desk.text(".live")


def walk_to(desk: Hand, name: str) -> None:
    """Press N until the thing of that name is chosen."""
    for _ in range(60):
        desk.keys("n")
        if said(desk).startswith(name):
            return
    raise AssertionError(f"{name} is never reached; the last was {said(desk)}")


def test_joints_are_walked_moved_named_and_removed(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Joint G")
    x, y = desk.joint("G")
    desk.keys("ArrowRight", "Shift+ArrowUp")
    assert abs(desk.joint("G")[0] - x - 2) < 0.6
    assert abs(desk.joint("G")[1] - y + 12) < 0.6
    desk.keys("e")
    desk.page.keyboard.type("Top")
    desk.keys("Enter")
    assert "Top" in desk.joints()
    desk.keys("Delete")
    assert "Top" not in desk.joints()
    desk.keys("Control+z", "Control+z", "Control+z", "Control+z")
    assert abs(desk.joint("G")[0] - x) < 0.6
    desk.keys("Control+y")
    assert abs(desk.joint("G")[0] - x - 2) < 0.6


def test_a_joint_is_put_at_the_cross_and_joined(desk: Hand) -> None:
    desk.focus()
    desk.keys("2", *["Shift+ArrowUp"] * 3, "Enter")
    assert desk.joints() == set("ABCDEFGHI")
    desk.keys("3", "Enter")
    assert "second joint" in said(desk)
    walk_to(desk, "Joint H")
    desk.keys("Enter")
    assert "H-I" in desk.members()


def test_supports_and_loads_by_keys(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Joint C")
    desk.keys("4", "Enter")
    assert desk.count(".support") == 3
    desk.keys("k")
    assert desk.count('[data-joint="C"] .wheel') == 0
    desk.keys("]", "]")
    assert "60°" in said(desk)
    desk.keys("Delete")
    assert desk.count(".support") == 2
    walk_to(desk, "Joint B")
    desk.keys("5", "Enter")
    desk.page.keyboard.type("4 kN")
    desk.keys("Enter", "ArrowLeft")
    assert "180°" in said(desk)
    desk.settled()
    assert "4 kN" in desk.page.locator('[data-joint="B"] .load .words').all_text_contents()


def test_a_dimension_by_keys(desk: Hand) -> None:
    desk.step("Measure")
    before = desk.count(".dimension")
    desk.focus()
    walk_to(desk, "Member C–G")
    desk.keys("6", "Enter")
    desk.page.keyboard.type("6 m")
    desk.keys("Enter")
    assert desk.count(".dimension") == before + 1


def test_several_are_kept_chosen(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Joint B")
    desk.keys("Space")
    walk_to(desk, "Joint B, Joint D")
    desk.keys("Delete")
    assert desk.joints() == set("ACEFGH")


def test_two_chosen_joints_become_one(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Joint B")
    desk.keys("Space")
    walk_to(desk, "Joint B, Joint C")
    desk.keys("g")
    assert "B" not in desk.joints()
    assert said(desk) in ("Merged B into C", "Joint C")
    assert "C-F" in desk.members()


def test_a_load_acts_along_a_slope(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Load at G")
    desk.keys("e", "Tab")
    desk.page.keyboard.type("3:-4")
    desk.keys("Enter")
    desk.settled()
    assert desk.page.locator('.card input[data-field="card_acts"]').input_value() == "3:-4"
    assert desk.labels()


def test_the_view_by_keys(desk: Hand) -> None:
    desk.focus()
    x, _y = desk.joint("A")
    desk.keys("Alt+ArrowRight")
    assert abs(desk.joint("A")[0] - x + 40) < 1
    desk.keys("0")
    assert abs(desk.joint("A")[0] - x) < 1
    desk.keys("+", "+")
    assert desk.joint("A")[0] < x - 20
    desk.keys("0", "r")
    desk.settled()
    assert abs(desk.joint("A")[0] - desk.joint("E")[0]) < abs(
        desk.joint("A")[1] - desk.joint("E")[1]
    )


def test_forces_are_read_out(desk: Hand) -> None:
    desk.focus()
    walk_to(desk, "Member A–B")
    assert re.fullmatch(r"Member A–B, 12 kN tension", said(desk))


def test_typing_leaves_the_page_alone_and_tab_leaves_the_drawing(desk: Hand) -> None:
    desk.focus()
    desk.keys("r", "c")
    desk.keys("Tab")
    assert not desk.page.locator(".canvas").evaluate("e => e.getRootNode().activeElement === e")
