"""How quick the app is, in a real browser: prints figures, asserts nothing.

python tests/benchmarks/app.py
"""

from __future__ import annotations

import statistics
import sys
import time
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[1] / "browser"))

from browser_hand import DESKTOP, Hand
from conftest import find_browser, free_port, serving
from playwright.sync_api import sync_playwright

KEEP = """async (job) => {
  const opening = indexedDB.open("inkstrut", 1);
  const base = await new Promise((done) => { opening.onsuccess = () => done(opening.result); });
  const put = base.transaction("jobs", "readwrite").objectStore("jobs").put({
    id: "bench", saved: Date.now(), step: "trace", doc: { job, doubts: [] }, picture: null });
  await new Promise((done) => { put.transaction.oncomplete = done; });
  base.close();
}"""
#: Resolves with the milliseconds from the key's press to forces that belong to it.
ANSWER = """(key) => new Promise((done) => {
  const all = [...document.querySelectorAll('*')];
  const host = all.find((e) => e.shadowRoot?.querySelector('.canvas'));
  const scene = host.shadowRoot.querySelector('.scene');
  const start = performance.now();
  let stale = false;
  const look = () => {
    if (scene.classList.contains('stale')) stale = true;
    else if (stale) return done(performance.now() - start);
    if (performance.now() - start > 5000) return done(-1);
    requestAnimationFrame(look);
  };
  host.shadowRoot.querySelector('.canvas').dispatchEvent(
    new KeyboardEvent('keydown', { key, bubbles: true, composed: true }));
  look();
})"""
FRAMES = """() => new Promise((done) => {
  const times = []; let last = performance.now();
  const tick = (now) => { times.push(now - last); last = now;
    if (times.length < 90) requestAnimationFrame(tick);
    else done(times.slice(5)); };
  requestAnimationFrame(tick);
})"""


def ladder(panels: int) -> dict[str, Any]:
    """A truss of so many crossed panels, with supports at both ends and loads along the bottom."""
    joints, members = {}, []
    width, height = 1500 / panels, 260
    for i in range(panels + 1):
        joints[f"A{i}"] = {"x": i * 2.0, "y": 0.0, "pixel": [50 + i * width, 700]}
        joints[f"B{i}"] = {"x": i * 2.0, "y": 3.0, "pixel": [50 + i * width, 700 - height]}
        members.append({"a": f"A{i}", "b": f"B{i}"})
        if i:
            members += [{"a": f"{row}{i - 1}", "b": f"{row}{i}"} for row in "AB"]
            members.append({"a": f"A{i - 1}", "b": f"B{i}"})
    return {
        "format": "inkstrut-job", "version": 1, "title": "Jetty", "joints": joints,
        "members": members, "units": {"length": "m", "force": "kN"},
        "supports": [
            {"joint": "A0", "kind": "pin"}, {"joint": f"A{panels}", "kind": "roller"}
        ],
        "loads": [{"joint": f"A{i}", "fx": 0, "fy": -5.0} for i in range(1, panels)],
        "dimensions": [{"kind": "length", "joints": ["A0", "A1"], "value": "2 m"}],
    }  # fmt: skip


def opened(hand: Hand, job: dict[str, Any]) -> None:
    hand.page.goto(hand.address)
    hand.page.wait_for_selector(".member.sense-T")
    hand.page.evaluate(KEEP, job)
    hand.page.reload()
    hand.page.wait_for_selector('[data-member="A0-A1"].sense-T', state="attached", timeout=30_000)
    hand.settled()
    hand.page.wait_for_timeout(800)


def memory(port: int) -> float:
    """Resident memory of the server on a port, in MB."""
    for path in Path("/proc").glob("[0-9]*/cmdline"):
        words = path.read_bytes().split(b"\0")
        if str(port).encode() in words and b"launch(" in b"".join(words):
            status = path.with_name("status").read_text(encoding="ascii")
            return int(status.split("VmRSS:")[1].split()[0]) / 1024
    raise LookupError(f"no server on port {port}")


def main() -> None:
    port = free_port()
    with sync_playwright() as playwright, serving(port) as address:
        browser = playwright.chromium.launch(
            executable_path=find_browser(), args=["--no-sandbox", "--disable-gpu"]
        )

        def page() -> Hand:
            return Hand(browser.new_context(**DESKTOP), address)

        paints = []
        for _ in range(5):
            hand, start = page(), time.perf_counter()
            hand.page.goto(address)
            hand.page.wait_for_selector(".label")
            paints.append(time.perf_counter() - start)
            hand.context.close()
        print(f"first paint with the solved sample: median {statistics.median(paints):.2f} s")

        page().open()
        alone, sessions = memory(port), 8
        for _ in range(sessions):
            page().open()
        each = (memory(port) - alone) / sessions
        print(f"server memory: {alone:.0f} MB with one session, {each:.1f} MB for each further")

        for panels in (10, 99):
            hand = page()
            opened(hand, ladder(panels))
            members, joints = len(hand.members()), len(hand.joints())
            hand.focus()
            while not hand.text(".live").startswith("Load"):
                hand.keys("n")
            edits = [float(hand.page.evaluate(ANSWER, "]")) for _ in range(15)]
            print(
                f"edit to new forces, {joints} joints, {members} members: "
                f"median {statistics.median(edits):.0f} ms, longest {max(edits):.0f} ms"
            )
            x, y = hand.joint(f"B{panels // 2}")
            hand.page.mouse.move(x, y)
            hand.page.mouse.down()
            hand.page.evaluate(f"window.frames_ = ({FRAMES})()")
            for i in range(120):
                hand.page.mouse.move(x + i * 0.5, y + (i % 9))
            times = hand.page.evaluate("window.frames_")
            hand.page.mouse.up()
            print(f"  dragging: {1000 / statistics.mean(times):.0f} frames a second")
            hand.context.close()
        browser.close()


if __name__ == "__main__":
    main()
