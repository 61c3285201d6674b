"""Beside the picture, in a real browser: typing fast, the figure to scale, downloads, a thumb."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from browser_hand import Hand
from playwright.sync_api import expect

#: Controls beside the picture that are lower than a fingertip needs, with their height.
LOW = """
() => [...document.querySelectorAll(
    '.stColumn:not(:has(.st-key-drawing)) :is(button, input, summary, [data-baseweb="select"])')]
  .filter((e) => e.checkVisibility() && e.type !== 'checkbox' && e.role !== 'combobox'
    && !e.closest('[data-baseweb="tag"]') && e.getBoundingClientRect().width > 20)
  .map((e) => [e.textContent || e.ariaLabel, Math.round(
    Math.max(e.getBoundingClientRect().height, e.parentElement.getBoundingClientRect().height))])
  .filter(([, high]) => high < 44)
"""


SIDES = ("width", "height")


def view(hand: Hand, name: str) -> None:
    hand.page.get_by_role("radio", name=name, exact=True).or_(
        hand.page.get_by_role("button", name=name, exact=True)
    ).first.click()
    hand.page.wait_for_timeout(250)


def test_values_typed_faster_than_the_answer_are_all_kept(desk: Hand) -> None:
    desk.step("Working")
    view(desk, "Compare")
    values = {"AB": "12", "BC": "12", "CD": "12", "AF": "15 C", "FG": "10 C", "Ay": "9", "HE": "15"}
    for name, value in values.items():
        field = desk.page.get_by_label(name, exact=True)
        field.fill(value)
        field.press("Enter")
    desk.page.get_by_text("1 of your 7 values are not right.").wait_for()
    desk.settled()
    for name, value in values.items():
        assert desk.page.get_by_label(name, exact=True).input_value() == value
    assert desk.count(".verdict") == 7
    desk.page.get_by_text("HE: 15 kN is the right size").first.wait_for()


def test_a_dimension_that_is_corrected_at_once_changes_nothing_else(desk: Hand) -> None:
    desk.step("Measure")
    drawn = desk.page.locator("summary").filter(has_text="Taken from the drawing")
    before = drawn.text_content()
    label = "Value: Level distance A–B"
    for value in ("4 m and a bit", "40 m", "4 m"):
        field = desk.page.get_by_label(label, exact=True)
        field.fill(value)
        field.press("Enter")
        desk.page.wait_for_timeout(60)
    desk.settled()
    desk.page.get_by_text("Settled.").first.wait_for()
    expect(drawn).to_have_text(before or "", timeout=15_000)
    desk.settled()
    assert desk.page.get_by_label(label, exact=True).input_value() == "4 m"
    assert drawn.text_content() == before
    assert desk.text(".line").startswith("Solved")


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_the_figure_to_scale_stands_where_the_picture_stood(size: str, request: Any) -> None:
    hand: Hand = request.getfixturevalue(size)
    hand.step("Forces")
    canvas = hand.page.locator(".canvas")
    picture = canvas.bounding_box()
    labels = hand.page.locator(".label rect")
    writing = labels.first.bounding_box()
    toggle = hand.page.get_by_text("Figure to scale in place of the picture")
    toggle.click()
    figure = hand.page.locator(".figure-frame img")
    figure.wait_for()
    hand.settled()
    assert not canvas.is_visible()
    shown = figure.bounding_box()
    assert picture is not None
    assert shown is not None
    assert abs(shown["x"] - picture["x"]) < 20
    assert shown["width"] > 0.9 * picture["width"]
    toggle.click()
    figure.wait_for(state="detached")
    labels.first.wait_for()
    hand.settled()
    again, rewritten = canvas.bounding_box(), labels.first.bounding_box()
    assert [again[side] for side in SIDES] == [picture[side] for side in SIDES]
    assert [rewritten[side] for side in SIDES] == pytest.approx(
        [writing[side] for side in SIDES], rel=0.02
    )


def test_downloads_come_and_a_saved_job_opens_again(desk: Hand, tmp_path: Path) -> None:
    desk.step("Share")
    for label, start in (
        ("Working PDF", b"%PDF-"),
        ("Picture PNG", b"\x89PNG"),
        ("Job file", b"{"),
    ):
        with desk.page.expect_download(timeout=30_000) as coming:
            desk.page.get_by_role("button", name=label).first.click()
        coming.value.save_as(tmp_path / label)
        assert (tmp_path / label).read_bytes().startswith(start)
    job = json.loads((tmp_path / "Job file").read_text())
    chooser = desk.page.locator('[data-testid="stFileUploader"] input[type=file]')
    newer = json.dumps({**job, "version": 9}).encode()
    chooser.set_input_files({"name": "a.json", "mimeType": "application/json", "buffer": newer})
    desk.page.get_by_text("newer than this program").wait_for()
    assert desk.joints() == set("ABCDEFGH")
    job["joints"]["Z"] = job["joints"].pop("G")
    text = json.dumps(job).replace('"G"', '"Z"').encode()
    chooser.set_input_files({"name": "b.json", "mimeType": "application/json", "buffer": text})
    desk.page.wait_for_selector('.scene [data-joint="Z"]', state="attached")
    desk.settled()
    assert desk.joints() == set("ABCDEFHZ")


@pytest.mark.parametrize(
    ("step", "views"),
    [
        ("Picture", [""]),
        ("Trace", [""]),
        ("Measure", [""]),
        ("Forces", ["Values", "Cases", "Stiffness", "Moving", "Ranges"]),
        ("Working", ["Joints", "Section", "No force", "Diagram", "Compare"]),
        ("Share", [""]),
    ],
)
def test_a_thumb_finds_every_control_and_nothing_runs_off_the_side(
    phone: Hand, step: str, views: list[str]
) -> None:
    phone.step(step)
    for name in views:
        if name:
            view(phone, name)
        assert phone.count(".stColumn:not(:has(.st-key-drawing)) button") >= 1
        assert phone.page.evaluate(LOW) == [], name
        wide = "document.querySelector('[data-testid=stMain]').scrollWidth"
        assert phone.page.evaluate(wide) <= 390, name
