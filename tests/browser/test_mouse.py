"""Every correction by mouse, on the solved sample."""

from __future__ import annotations

from browser_hand import Hand


def near(p: tuple[float, float], q: tuple[float, float], off: float = 3.0) -> bool:
    return abs(p[0] - q[0]) <= off and abs(p[1] - q[1]) <= off


def test_the_first_screen_shows_the_solved_sample(desk: Hand) -> None:
    assert desk.joints() == set("ABCDEFGH")
    assert sorted(desk.labels()) == sorted(
        ["9", "9"]
        + ["12 (T)"] * 4
        + ["15 (C)"] * 2
        + ["10 (C)"] * 2
        + ["5 (C)"] * 2
        + ["6 (T)", "0", "0"]
    )
    assert desk.page.get_by_text("Use your own picture").first.is_visible()


def test_a_joint_is_moved_and_put_back(desk: Hand) -> None:
    before = desk.joint("G")
    goal = (before[0] + 60, before[1] + 25)
    desk.drag(before, goal)
    assert near(desk.joint("G"), goal)
    desk.settled()
    desk.page.get_by_role("button", name="Undo").click()
    assert near(desk.joint("G"), before)
    desk.page.get_by_role("button", name="Redo").click()
    assert near(desk.joint("G"), goal)


def test_a_joint_is_added_split_named_and_removed(desk: Hand) -> None:
    desk.tool("Joint")
    x, y = desk.joint("G")
    desk.click((x + 150, y - 30))
    assert desk.joints() == set("ABCDEFGHI")
    desk.click(desk.middle("A", "B", 0.3))
    assert desk.members() >= {"A-J", "B-J"}
    assert "A-B" not in desk.members()
    desk.write("card_name", "Ridge")
    assert "Ridge" in desk.joints()
    assert desk.members() >= {"A-Ridge", "B-Ridge"}
    desk.keys("Delete")
    assert desk.joints() == set("ABCDEFGHI")
    assert not any("Ridge" in key for key in desk.members())


def test_a_joint_dropped_on_another_becomes_one_with_it(desk: Hand) -> None:
    desk.drag(desk.joint("B"), desk.joint("C"))
    assert "B" not in desk.joints()
    assert desk.members() >= {"A-C", "C-F"}
    assert len(desk.members()) == 11


def test_members_are_drawn_and_removed(desk: Hand) -> None:
    desk.tool("Member")
    desk.drag(desk.joint("F"), desk.joint("H"))
    assert "F-H" in desk.members()
    desk.click(desk.joint("B"))
    desk.click(desk.joint("G"))
    assert "B-G" in desk.members()
    desk.tool("Choose")
    desk.click(desk.middle("F", "H", 0.2))
    desk.page.locator(".card").get_by_role("button", name="Remove").click()
    assert "F-H" not in desk.members()


def test_a_crossing_becomes_a_joint_and_a_crossing_again(desk: Hand) -> None:
    desk.step("Trace")
    desk.tool("Member")
    desk.drag(desk.joint("F"), desk.joint("D"))
    desk.tool("Choose")
    assert desk.count(".crossing") == 2  # over C-G and over C-H
    desk.click(desk.middle_of(".crossing"))
    desk.page.locator(".card").get_by_role("button", name="Make it a joint").click()
    assert desk.joints() == set("ABCDEFGHI")
    assert desk.count(".crossing") == 1
    desk.page.locator(".card").get_by_role("button", name="Only a crossing").click()
    assert desk.joints() == set("ABCDEFGH")
    assert "D-F" in desk.members()
    assert desk.count(".crossing") == 2


def test_supports_are_placed_changed_and_turned(desk: Hand) -> None:
    desk.tool("Support")
    desk.click(desk.joint("C"))
    assert desk.count(".support") == 3
    desk.page.locator(".card").get_by_role("button", name="Pin").click()
    assert desk.count('[data-joint="C"] .wheel') == 0
    desk.tool("Choose")
    desk.click((desk.joint("E")[0], desk.joint("E")[1] + 24))
    grip = desk.middle_of(".support .handle")
    x, y = desk.joint("E")
    desk.drag(grip, (x + 66, y + 4))
    assert desk.page.locator('.card input[data-field="card_push"]').input_value() == "180°"
    desk.page.locator(".card").get_by_role("button", name="Remove").click()
    assert desk.count(".support") == 2


def test_loads_are_placed_aimed_and_valued(desk: Hand) -> None:
    desk.tool("Load")
    x, y = desk.joint("B")
    desk.drag((x, y), (x + 70, y + 3))
    assert desk.count(".load") == 4
    desk.write("card_size", "2.5 kN")
    assert desk.page.locator('.card input[data-field="card_acts"]').input_value() in ("0°", "5.4°")
    desk.page.locator(".card").get_by_role("button", name="Another load here").click()
    desk.write("card_size", "750 N")
    assert desk.count('[data-joint="B"] .load') == 2
    desk.settled()
    assert {"2.5 kN", "750 N"} <= set(desk.page.locator(".load .words").all_text_contents())


def test_a_dimension_is_typed_on_the_spot(desk: Hand) -> None:
    desk.step("Measure")
    before = desk.count(".dimension")
    desk.tool("Dimension")
    desk.click(desk.middle("C", "G", 0.4))
    desk.write("card_value", "19'-8\"")
    assert desk.count(".dimension") == before + 1
    desk.click(desk.joint("F"))
    desk.click(desk.joint("H"))
    desk.page.locator(".card").get_by_role("button", name="Level").click()
    desk.write("card_value", "8 m")
    assert desk.count(".dimension") == before + 2
    assert "↔ 8 m" in desk.page.locator(".dimension .words").all_text_contents()


def test_many_things_are_chosen_with_a_box_and_moved_together(desk: Hand) -> None:
    desk.page.get_by_role("button", name="Choose several", exact=True).click()
    (x0, _), (x1, y1) = desk.joint("C"), desk.joint("E")
    _, y0 = desk.joint("H")
    desk.drag((x0 - 25, y0 - 25), (x1 + 25, y1 + 60))
    chosen = desk.page.locator(".joint.chosen")
    assert chosen.count() == 4
    desk.page.get_by_role("button", name="Choose several", exact=True).click()
    before = {name: desk.joint(name) for name in "CDEHG"}
    (hx, hy) = before["H"]
    desk.drag((hx, hy), (hx + 20, hy - 30))
    for name in "CDEH":
        x, y = before[name]
        assert near(desk.joint(name), (x + 20, y - 30)), name
    assert near(desk.joint("G"), before["G"])


def test_the_view_zooms_pans_fits_and_turns(desk: Hand) -> None:
    home = desk.joint("G")
    desk.page.mouse.move(*home)
    desk.page.mouse.wheel(0, -300)
    desk.settled()
    assert near(desk.joint("G"), home, 2)
    away = abs(desk.joint("A")[0] - desk.joint("B")[0])
    desk.drag((home[0] - 150, home[1] - 60), (home[0] - 100, home[1] - 20))
    assert near(desk.joint("G"), (home[0] + 50, home[1] + 40), 2)
    desk.page.get_by_role("button", name="Whole picture").click()
    desk.settled()
    assert near(desk.joint("G"), home, 2)
    assert abs(desk.joint("A")[0] - desk.joint("B")[0]) < away
    desk.page.get_by_role("button", name="Turn the view").click()
    desk.settled()
    (ax, ay), (ex, ey) = desk.joint("A"), desk.joint("E")
    assert abs(ex - ax) < abs(ey - ay)


def test_a_double_click_splits_a_member(desk: Hand) -> None:
    desk.page.mouse.dblclick(*desk.middle("C", "G", 0.3))
    assert desk.members() >= {"C-I", "G-I"}


def test_the_sheet_of_keys_opens_and_closes(desk: Hand) -> None:
    desk.focus()
    desk.keys("?")
    assert desk.page.locator(".sheet").is_visible()
    desk.keys("Escape")
    assert not desk.page.locator(".sheet").is_visible()
