"""What follows an edit: forces, the one line of what is missing, motion, doubts."""

from __future__ import annotations

import itertools
import json
from collections.abc import Callable

from browser_hand import Hand

import sample_sketches

#: A kept job with two doubts, as the browser keeps it.
KEEP = """async ([job, doubts, picture]) => {
  const opening = indexedDB.open("inkstrut", 1);
  const base = await new Promise((done) => { opening.onsuccess = () => done(opening.result); });
  const put = base.transaction("jobs", "readwrite").objectStore("jobs").put({
    id: "reading", saved: Date.now(), step: "trace", doc: { job, doubts }, picture });
  await new Promise((done) => { put.transaction.oncomplete = done; });
  base.close();
}"""
DOUBTS = [
    {
        "about": "member",
        "joints": ["B", "F"],
        "reason": "The line B–F is faint.",
        "alternatives": [
            {"reading": "no member", "edits": [{"do": "remove_member", "joints": ["B", "F"]}]}
        ],
    },
    {
        "about": "truss",
        "joints": ["G", "H"],
        "reason": "The top may be another one.",
        "alternatives": [
            {
                "reading": "a ridge further up",
                "edits": [
                    {"do": "remove_joint", "joints": ["G"]},
                    {"do": "add_joint", "joints": ["+40"], "at": [900.0, 400.0]},
                    {"do": "add_member", "joints": ["F", "+40"]},
                    {"do": "add_member", "joints": ["H", "+40"]},
                ],
            }
        ],
    },
    {
        "about": "support",
        "joints": ["E"],
        "reason": "The support at E may be a pin.",
        "alternatives": [
            {"reading": "a pin", "edits": [{"do": "set_support", "joints": ["E"], "kind": "pin"}]}
        ],
    },
]


def doubtful(hand: Hand) -> None:
    """Make the sample a reading with doubts, as if it had just been traced."""
    job = sample_sketches.load_job("boathouse_roof").model_dump(mode="json")
    hand.page.evaluate(KEEP, [job, DOUBTS, None])
    hand.page.reload()
    hand.page.locator(".doubtbar").wait_for()
    hand.settled()


def test_doubts_are_walked_with_the_mouse(open_page: Callable[..., Hand], server: str) -> None:
    desk = open_page(server)
    doubtful(desk)
    bar = desk.page.locator(".doubtbar")
    assert "The line B–F is faint." in str(bar.text_content())
    bar.get_by_role("button", name="Rather: no member").click()
    assert "B-F" not in desk.members()
    assert "Doubt 1 of 2" in str(bar.text_content())
    bar.get_by_role("button", name="It is right").click()
    bar.get_by_role("button", name="It is right").click()
    assert not bar.is_visible()
    desk.page.get_by_role("button", name="Undo").click()
    desk.page.get_by_role("button", name="Undo").click()
    desk.page.get_by_role("button", name="Undo").click()
    assert "B-F" in desk.members()
    assert "Doubt 1 of 3" in str(bar.text_content())


def test_doubts_are_walked_with_keys(open_page: Callable[..., Hand], server: str) -> None:
    desk = open_page(server)
    doubtful(desk)
    desk.focus()
    desk.keys("d", "t")
    assert desk.members() >= {"F-G", "G-H"}
    assert "C-G" not in desk.members()
    desk.keys("t")
    assert desk.count('[data-joint="E"] .wheel') == 0
    desk.keys("a")
    assert "B-F" in desk.members()
    assert not desk.page.locator(".doubtbar").is_visible()


def test_forces_follow_an_edit(desk: Hand) -> None:
    desk.page.mouse.move(0, 0)
    x, y = desk.joint("G")
    desk.click((x, y - 46))
    desk.write("card_size", "12 kN")
    desk.settled()
    assert "20 (C)" in desk.labels()
    assert desk.labels().count("16 (T)") == 4


def test_the_line_says_what_is_missing_and_goes_there(desk: Hand) -> None:
    line = desk.page.locator(".missing")
    assert desk.text(".missing") == "Solved. Forces in kN"
    desk.tool("Load")
    desk.click(desk.joint("B"))
    desk.settled()
    assert desk.text(".missing") == "Load at B: type its size"
    desk.focus()
    desk.keys("Escape", "Escape")
    line.click()
    assert desk.page.locator('.card input[data-field="card_size"]').evaluate(
        "e => e.getRootNode().activeElement === e"
    )
    desk.keys("Escape")
    desk.focus()
    desk.keys("Control+a", "Delete")
    desk.settled()
    assert desk.text(".missing") == "Draw joints and members, or choose a picture"


def test_an_unstable_truss_moves(open_page: Callable[..., Hand], server: str) -> None:
    hand = open_page(server)
    hand.click(hand.middle("C", "G", 0.3))
    hand.keys("Delete")
    hand.page.locator(".ghost").first.wait_for(state="attached")
    poses = (
        "() => [...document.querySelectorAll('*')].find(e => e.shadowRoot?.querySelector('.ghost'))"
    )
    read = f"{poses.removeprefix('() => ')}.shadowRoot.querySelector('.motion').innerHTML"
    before = hand.page.evaluate(read)
    hand.page.wait_for_timeout(300)
    assert hand.page.evaluate(read) != before
    assert hand.count(".moves") == 0
    assert hand.labels() == []


def test_those_who_want_less_motion_see_arrows(open_page: Callable[..., Hand], server: str) -> None:
    hand = open_page(server, reduced_motion="reduce")
    hand.click(hand.middle("C", "G", 0.3))
    hand.keys("Delete")
    hand.page.locator(".moves").first.wait_for(state="attached")
    read = ".motion"
    before = hand.page.locator(read).inner_html()
    hand.page.wait_for_timeout(300)
    assert hand.page.locator(read).inner_html() == before


def test_no_two_labels_overlap_on_any_sample(desk: Hand) -> None:
    boxes = """() => {
      const host = [...document.querySelectorAll('*')].find(
        (e) => e.shadowRoot?.querySelector('.canvas'));
      return [...host.shadowRoot.querySelectorAll('.label rect, .pill rect')].map((r) => {
        const box = r.getBBox(); const m = r.getScreenCTM();
        const [x, y] = [box.x + box.width / 2, box.y + box.height / 2];
        return [m.a, m.b, m.c, m.d, m.a * x + m.c * y + m.e, m.b * x + m.d * y + m.f,
                box.width, box.height];
      });
    }"""
    for name in sample_sketches.names():
        title = sample_sketches.load_job(name).title
        desk.page.get_by_role("combobox", name="Or look at a sample").click()
        desk.page.get_by_role("option", name=title, exact=True).click()
        desk.page.wait_for_timeout(900)
        desk.settled()
        placed = [corners(box) for box in desk.page.evaluate(boxes)]
        pairs = [(i, j) for i in range(len(placed)) for j in range(i)]
        assert not any(overlap(placed[i], placed[j]) for i, j in pairs), name


def test_own_answers_are_judged_on_the_picture(open_page: Callable[..., Hand], server: str) -> None:
    job = sample_sketches.load_job("boathouse_roof").model_dump(mode="json")
    job["answers"] = [
        {"what": "AB", "value": "12 T"},
        {"what": "AF", "value": "15 T"},
        {"what": "Ay", "value": 9},
    ]
    hand = open_page(server)
    hand.page.locator('.st-key-saved input[type="file"]').set_input_files(
        {"name": "a.json", "mimeType": "application/json", "buffer": json.dumps(job).encode()}
    )
    hand.page.wait_for_timeout(1200)
    hand.step("Working")
    hand.page.locator(".verdict").first.wait_for(state="attached")
    assert hand.count(".verdict.right") == 2
    assert hand.count(".verdict.wrong") == 1
    hand.click(hand.middle("A", "F", 0.6))
    card = hand.text(".card")
    assert "15 kN compression" in card
    assert "along x 12, along y 9; run : rise = 4 : 3" in card
    assert hand.count(".card .note") == 3  # force, components, verdict


Corners = list[tuple[float, float]]


def corners(box: list[float]) -> Corners:
    a, b, c, d, e, f, width, height = box
    half = (
        (-width / 2, -height / 2),
        (width / 2, -height / 2),
        (width / 2, height / 2),
        (-width / 2, height / 2),
    )
    return [(a * x + c * y + e, b * x + d * y + f) for x, y in half]


def overlap(p: Corners, q: Corners) -> bool:
    """Whether two rectangles overlap by more than half a pixel: no side separates them."""
    for shape in (p, q):
        for (x0, y0), (x1, y1) in itertools.pairwise(shape):
            length = ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5
            nx, ny = (x1 - x0) / length, (y1 - y0) / length
            one = [nx * x + ny * y for x, y in p]
            other = [nx * x + ny * y for x, y in q]
            if max(one) <= min(other) + 0.5 or max(other) <= min(one) + 0.5:
                return False
    return True
