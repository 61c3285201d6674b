"""Nothing is lost and nothing is mixed: reload, a restarted server, two people, a job file."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any

import pytest
from browser_hand import Hand
from conftest import free_port, serving


@pytest.fixture
def desk(open_page: Callable[..., Hand], server: str) -> Hand:
    """A page of its own: what these tests do outlives a reload."""
    return open_page(server)


def edited(hand: Hand) -> set[str]:
    """Draw a member, so that the job is no longer the sample; give the members."""
    hand.tool("Member")
    hand.drag(hand.joint("F"), hand.joint("H"))
    hand.settled()
    hand.page.wait_for_timeout(500)
    return hand.members()


def reloaded(hand: Hand) -> None:
    hand.page.reload()
    hand.page.wait_for_selector('[data-member="F-H"]', state="attached", timeout=20_000)
    hand.settled()


def saved(hand: Hand) -> dict[str, Any]:
    hand.step("Share")
    with hand.page.expect_download() as download:
        hand.page.get_by_role("button", name="Job file").click()
    document: dict[str, Any] = json.loads(download.value.path().read_text(encoding="utf-8"))
    return document


def test_a_reload_brings_the_job_back(desk: Hand) -> None:
    members = edited(desk)
    where = desk.joint("G")
    reloaded(desk)
    assert desk.members() == members
    assert desk.page.locator(".scene image").get_attribute("href") is not None
    gx, gy = desk.joint("G")
    assert abs(gx - where[0]) < 3
    assert abs(gy - where[1]) < 3


def test_a_restarted_server_loses_nothing(open_page: Callable[..., Hand]) -> None:
    port = free_port()
    with serving(port) as address:
        hand = open_page(address)
        members = edited(hand)
        hand.deaf = True  # the page complains while its server is away
    with serving(port):
        reloaded(hand)
        assert hand.members() == members
        picture = hand.page.locator(".scene image").get_attribute("href")
        answer = hand.page.request.get(f"{hand.address}/{picture}")
        assert answer.ok
        assert answer.headers["content-type"] == "image/jpeg"


def test_a_server_restarted_under_an_open_page_loses_nothing(
    open_page: Callable[..., Hand],
) -> None:
    port = free_port()
    with serving(port) as address:
        hand = open_page(address)
        members = edited(hand)
        hand.deaf = True
    with serving(port):
        hand.page.get_by_text("Your last job is back.").wait_for(timeout=40_000)
        hand.settled()
        assert hand.members() == members
        hand.focus()
        hand.keys("Control+z")
        hand.settled()
        assert "F-H" not in hand.members()
        assert len(hand.labels()) == 15


def test_the_job_file_of_a_restored_job_still_holds_the_picture(desk: Hand) -> None:
    edited(desk)
    reloaded(desk)
    assert len(saved(desk)["picture"]["data"]) > 10_000


def test_two_people_never_meet(open_page: Callable[..., Hand], server: str) -> None:
    one, other = open_page(server), open_page(server)
    edited(one)
    assert "F-H" in one.members()
    assert "F-H" not in other.members()
    other.page.reload()
    other.page.wait_for_selector(".member.sense-T")
    assert "F-H" not in other.members()


def test_two_tabs_never_write_over_each_other(desk: Hand) -> None:
    edited(desk)
    tab = Hand(desk.context, desk.address)
    tab.page.goto(desk.address)
    tab.page.wait_for_selector('[data-member="F-H"]', state="attached")
    tab.settled()
    tab.tool("Member")
    tab.drag(tab.joint("B"), tab.joint("G"))
    tab.settled()
    tab.page.wait_for_timeout(500)
    reloaded(desk)
    assert "B-G" not in desk.members()
    assert "B-G" in tab.members()
    assert tab.errors == []


def test_a_job_file_holds_everything_and_opens_again(
    desk: Hand, open_page: Callable[..., Hand], server: str
) -> None:
    members = edited(desk)
    document = saved(desk)
    assert document["format"] == "inkstrut-job"
    assert len(document["picture"]["data"]) > 10_000
    other = open_page(server)
    other.page.locator('.st-key-saved input[type="file"]').set_input_files(
        {
            "name": "kept.json",
            "mimeType": "application/json",
            "buffer": json.dumps(document).encode(),
        }
    )
    other.page.wait_for_selector('[data-member="F-H"]', state="attached")
    assert other.members() == members


def test_a_broken_job_leaves_the_work_untouched(desk: Hand) -> None:
    for content, words in (
        (b"not json", "not a JSON document"),
        (b'{"format": "inkstrut-job", "version": 7}', "newer than this program"),
    ):
        desk.page.locator('.st-key-saved input[type="file"]').set_input_files(
            {"name": "job.json", "mimeType": "application/json", "buffer": content}
        )
        desk.page.get_by_text(words).wait_for()
    assert desk.joints() == set("ABCDEFGH")


def test_an_editor_put_anew_on_its_place_leaves_nothing_of_the_one_before(
    open_page: Callable[..., Hand], server: str
) -> None:
    """The page may end an editor and start one in the same place, as after a lost connection."""
    hand = open_page(server)
    hand.page.evaluate(
        """async () => {
          const url = performance.getEntriesByType("resource").map((e) => e.name)
            .find((name) => name.endsWith("/editor.js"));
          const { mount } = await import(url);
          const root = [...document.querySelectorAll("*")].map((e) => e.shadowRoot)
            .find((shadow) => shadow?.querySelector(".canvas"));
          const place = root.querySelector(".editor").parentNode;
          const data = {
            strings: {}, step: "picture", unit: 2, show: {}, document: null, overlay: null,
          };
          const component = { parentElement: place, data, setStateValue: () => {} };
          mount(component)();
          mount(component);
        }"""
    )
    for layer in ("members", "joints", "labels"):
        assert hand.count(f".scene > .{layer}") == 1
    assert hand.count(".lens use") == 1
