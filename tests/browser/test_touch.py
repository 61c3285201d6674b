"""The same by finger, on a phone held in one hand."""

from __future__ import annotations

from browser_hand import Hand


def test_a_finger_moves_a_joint_under_the_magnifier(phone: Hand) -> None:
    x, y = phone.joint("G")
    phone.slide((x + 8, y + 8), (x + 48, y - 22), lift=False)
    assert phone.page.locator(".lens").is_visible()
    phone.fingers("touchEnd")
    assert not phone.page.locator(".lens").is_visible()
    gx, gy = phone.joint("G")
    assert abs(gx - x - 40) < 3
    assert abs(gy - y + 30) < 3


def test_a_finger_draws_places_and_removes(phone: Hand) -> None:
    phone.tool("Member")
    phone.slide(phone.joint("F"), phone.joint("H"))
    assert "F-H" in phone.members()
    phone.tool("Joint")
    phone.tap(phone.middle("A", "B"))
    assert "I" in phone.joints()
    phone.page.locator(".card").get_by_role("button", name="Remove").tap()
    assert "I" not in phone.joints()
    phone.tool("Support")
    phone.tap(phone.joint("C"))
    assert phone.count(".support") == 3
    phone.tool("Load")
    x, y = phone.joint("D")
    phone.slide((x, y), (x + 2, y + 70))
    phone.write("card_size", "3 kN")
    phone.settled()
    assert "3 kN" in phone.page.locator(".load .words").all_text_contents()
    phone.page.get_by_role("button", name="Undo").tap()
    phone.page.get_by_role("button", name="Undo").tap()
    assert phone.count('[data-joint="D"] .load') == 0


def test_joints_merge_under_a_finger(phone: Hand) -> None:
    phone.slide(phone.joint("D"), phone.joint("C"))
    assert "D" not in phone.joints()


def test_a_dimension_by_two_taps(phone: Hand) -> None:
    phone.tool("Dimension")
    phone.tap(phone.joint("A"))
    phone.tap(phone.joint("G"))
    phone.write("card_value", "10 m")
    phone.settled()
    phone.step("Measure")
    assert "10 m" in phone.page.locator(".dimension .words").all_text_contents()


def test_two_fingers_zoom_and_one_pans(phone: Hand) -> None:
    (ax, _ay), (bx, _) = phone.joint("A"), phone.joint("B")
    gx, gy = phone.middle("F", "H")
    phone.fingers("touchStart", (gx - 20, gy), (gx + 20, gy))
    for apart in (30, 45, 60):
        phone.fingers("touchMove", (gx - apart, gy), (gx + apart, gy))
    phone.fingers("touchEnd")
    phone.settled()
    (ax2, ay2), (bx2, _) = phone.joint("A"), phone.joint("B")
    assert 2.4 < (bx2 - ax2) / (bx - ax) < 3.6
    phone.slide((300, 590), (330, 550))
    assert abs(phone.joint("A")[0] - ax2 - 30) < 3
    assert abs(phone.joint("A")[1] - ay2 + 40) < 3


def test_several_are_chosen_by_tapping(phone: Hand) -> None:
    phone.page.get_by_role("button", name="Choose several", exact=True).tap()
    phone.tap(phone.joint("B"))
    phone.tap(phone.joint("D"))
    assert phone.count(".joint.chosen") == 2
    phone.page.locator(".card").get_by_role("button", name="Remove").tap()
    assert phone.joints() == set("ACEFGH")


def test_every_control_is_large_enough_for_a_finger(phone: Hand) -> None:
    phone.tap(phone.joint("A"))
    sizes = phone.page.locator(".editor button:visible").evaluate_all(
        "all => all.map(b => [b.ariaLabel || b.textContent, b.offsetWidth, b.offsetHeight])"
    )
    assert len(sizes) > 12
    assert [entry for entry in sizes if entry[1] < 44 or entry[2] < 44] == []


def test_nothing_runs_wider_than_the_phone(phone: Hand) -> None:
    for step in ("Trace", "Measure", "Forces", "Share"):
        phone.step(step)
        assert phone.page.evaluate("document.scrollingElement.scrollWidth") <= 390
