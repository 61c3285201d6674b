"""A sideways picture is turned with all that is drawn on it, undone, and kept."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from browser_hand import PHONE, Hand

from model.job import read_job, truss_of


def image(hand: Hand) -> tuple[float, float, float]:
    """Where the picture's upper left corner is from joint G, and how far the picture is turned."""
    x, y = hand.joint("G")
    corner_x, corner_y, turn = hand.page.locator(".scene image").evaluate(
        """e => { const m = e.getScreenCTM();
                  return [m.e, m.f, Math.round(Math.atan2(m.b, m.a) * 180 / Math.PI)]; }"""
    )
    scale = abs(
        hand.joint("E")[0] - hand.joint("A")[0] + 1j * (hand.joint("E")[1] - hand.joint("A")[1])
    )
    return (corner_x - x) / scale, (corner_y - y) / scale, turn


def turn(hand: Hand) -> None:
    hand.page.get_by_role("button", name="Turn the picture", exact=True).click()
    hand.page.wait_for_timeout(500)
    hand.settled()


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_the_picture_turns_with_its_joints_and_back_again(
    open_page: Callable[..., Hand], server: str, size: str
) -> None:
    hand = open_page(server, **(PHONE if size == "phone" else {}))
    across, down, at_first = image(hand)
    assert at_first == 0
    values = sorted(hand.labels())
    turn(hand)
    turned = image(hand)
    assert turned[2] == 90
    assert turned[:2] == pytest.approx((-down, across), abs=0.01)
    assert sorted(hand.labels()) == values
    hand.page.get_by_role("button", name="Undo", exact=True).click()
    hand.settled()
    assert image(hand) == pytest.approx((across, down, 0), abs=0.01)
    hand.page.get_by_role("button", name="Redo", exact=True).click()
    hand.settled()
    assert image(hand) == pytest.approx(turned, abs=0.01)
    hand.page.wait_for_timeout(400)
    hand.page.reload()
    hand.page.locator(".scene image[transform]").wait_for(state="attached", timeout=20_000)
    hand.settled()
    assert image(hand) == pytest.approx(turned, abs=0.01)
    hand.step("Share")
    with hand.page.expect_download() as download:
        hand.page.get_by_role("button", name="Job file").click()
    job = read_job(download.value.path().read_bytes())
    assert job.picture is not None
    assert job.picture.turn == 90
    for load in truss_of(job).loads:
        assert load.fx < -1
        assert abs(load.fy) < 1e-9
