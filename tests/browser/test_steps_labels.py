"""Values, joint letters and dimensions over the samples do not cover each other."""

from __future__ import annotations

from itertools import combinations
from typing import Any

import numpy as np
import pytest

import sample_sketches

#: Corners on the screen of every joint's letter and every plate with a value, and what it says.
PLATES = """
() => {
  const host = [...document.querySelectorAll('*')].find(
    (e) => e.shadowRoot?.querySelector('.canvas'));
  const all = [...host.shadowRoot.querySelectorAll(
    '.scene :is(.label > rect, .pill > rect, .name)')];
  return all.map((rect) => {
    const m = rect.getScreenCTM(), b = rect.getBBox();
    const corners = [[b.x, b.y], [b.x + b.width, b.y], [b.x + b.width, b.y + b.height],
                     [b.x, b.y + b.height]];
    return {
      said: rect.textContent || rect.parentNode.textContent,
      kind: rect.textContent ? 'name' : rect.parentNode.getAttribute('class'),
      corners: corners.map(([x, y]) => [m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f]),
    };
  }).filter((plate) => plate.said);
}
"""
#: Pixels by which plates may touch.
TOUCH = 1.0


def depth(one: Any, other: Any) -> float:
    """How far two rectangles lie in each other, by separating axes; negative when apart."""
    p, q = np.array(one), np.array(other)
    sides = np.vstack([np.diff(p[:3], axis=0), np.diff(q[:3], axis=0)])
    axes = sides / np.hypot(*sides.T)[:, None]
    a, b = axes @ p.T, axes @ q.T
    return float(np.minimum(a.max(1) - b.min(1), b.max(1) - a.min(1)).min())


def choose(hand: Any, name: str) -> None:
    box = hand.page.locator('[data-testid="stSelectbox"] input').last
    box.click()
    box.fill(sample_sketches.load_job(name).title)
    hand.page.keyboard.press("Enter")
    joints = set(sample_sketches.load_job(name).joints)
    hand.page.wait_for_function(
        """(names) => {
          const host = [...document.querySelectorAll('*')].find(
            (e) => e.shadowRoot?.querySelector('.canvas'));
          const there = [...host.shadowRoot.querySelectorAll('.scene [data-joint]')];
          return names.length === there.length &&
            there.every((e) => names.includes(e.getAttribute('data-joint')));
        }""",
        arg=sorted(joints),
    )
    hand.page.wait_for_timeout(250)
    hand.settled()


def covered(hand: Any, sample: str, letters: bool) -> list[tuple[str, str, str, float]]:
    plates = hand.page.evaluate(PLATES)
    assert sum(plate["kind"] == "name" for plate in plates) >= 4, sample
    if not letters:
        plates = [plate for plate in plates if plate["kind"] != "name"]
    return [
        (sample, one["said"], other["said"], round(by, 1))
        for one, other in combinations(plates, 2)
        if (by := depth(one["corners"], other["corners"])) > TOUCH
    ]


@pytest.mark.parametrize(
    ("size", "steps"),
    # On the narrow screen a letter may still stand under a value where members are short.
    [("desk", ("Measure", "Forces")), ("phone", ("Picture",))],
)
def test_nothing_that_is_written_overlaps_on_any_sample(
    size: str, steps: tuple[str, ...], request: Any
) -> None:
    hand = request.getfixturevalue(size)
    overlaps = []
    for name in sample_sketches.names():
        hand.step("Picture")
        choose(hand, name)
        for step in steps:
            hand.step(step)
            overlaps += covered(hand, name, letters=size == "desk")
        if name != "why_it_sways":  # there are no forces to write
            assert hand.count(".label") >= 5, name
    assert not overlaps, "\n".join(map(str, overlaps))
