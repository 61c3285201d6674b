"""For everybody: axe-core finds nothing serious on any step, light or dark, desk or phone."""

from __future__ import annotations

import json
from collections.abc import Callable
from importlib.resources import files
from typing import Any

import pytest
from browser_hand import PHONE, Hand

STEPS = ("Picture", "Trace", "Measure", "Forces", "Working", "Share")


def serious(hand: Hand) -> list[str]:
    """Serious and critical findings of axe-core on the page as it stands, each with its place."""
    script = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
    if not hand.page.evaluate("Boolean(window.axe)"):
        hand.page.evaluate(script)
    found: dict[str, Any] = hand.page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{one['id']}: {json.dumps(one['nodes'][0]['target'])} {one['nodes'][0]['failureSummary']}"
        for one in found["violations"]
        if one["impact"] in ("serious", "critical")
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_axe_finds_nothing_serious_at_the_desk(
    open_page: Callable[..., Hand], server: str, scheme: str
) -> None:
    hand = open_page(server, color_scheme=scheme)
    for step in STEPS:
        hand.step(step)
        hand.page.wait_for_timeout(400)
        assert serious(hand) == [], step
    hand.click(hand.joint("A"))
    assert serious(hand) == [], "card"
    hand.focus()
    hand.keys("?")
    assert serious(hand) == [], "sheet of keys"


def test_axe_finds_nothing_serious_on_the_phone(
    open_page: Callable[..., Hand], server: str
) -> None:
    hand = open_page(server, **PHONE)
    for step in STEPS:
        hand.step(step)
        assert serious(hand) == [], step
