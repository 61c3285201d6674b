"""A hand at the app: where things are on the screen, and what a mouse, a finger or keys do."""

from __future__ import annotations

from typing import Any

DESKTOP = {"viewport": {"width": 1440, "height": 900}}
PHONE = {
    "viewport": {"width": 390, "height": 844},
    "has_touch": True,
    "is_mobile": True,
    "device_scale_factor": 2,
}
Place = tuple[float, float]


class Hand:
    """One page of the app in a browser context."""

    def __init__(self, context: Any, address: str) -> None:
        self.context = context
        self.address = address
        self.errors: list[str] = []
        self.page = context.new_page()
        self.page.on("console", self._heard)
        self.page.on("pageerror", lambda error: self.errors.append(str(error)))
        self._touch: Any = None

    def _heard(self, message: Any) -> None:
        if message.type == "error" and not getattr(self, "deaf", False):
            self.errors.append(message.text)

    def open(self) -> Hand:
        self.page.goto(self.address)
        self.page.wait_for_selector(".member.sense-T", timeout=30_000)
        self.settled()
        return self

    def start_again(self) -> None:
        """Undo everything, leave every tool, go back to the first step."""
        self.page.evaluate("window.scrollTo(0, 0)")
        if self.page.locator(".sheet").is_visible():
            self.keys("Escape")
        undo = self.page.get_by_role("button", name="Undo", exact=True)
        while undo.is_enabled():
            undo.click()
        self.focus()
        self.keys("Escape", "Escape", "1")
        several = self.page.get_by_role("button", name="Choose several", exact=True)
        if several.get_attribute("aria-pressed") == "true":
            several.click()
        frame = self.page.locator(".editor")
        while frame.get_attribute("data-turn") != "0":
            self.keys("r")
            self.page.wait_for_timeout(120)
        if frame.get_attribute("data-home") != "true":
            self.keys("0")
        self.step("Picture")
        assert self.joints() == set("ABCDEFGH")

    def settled(self) -> None:
        """Wait until Python has answered the last edit and the view is at rest."""
        self.page.wait_for_function(
            """() => {
              const host = [...document.querySelectorAll('*')].find(
                (e) => e.shadowRoot?.querySelector('.canvas'));
              const page = document.querySelector('[data-testid="stApp"]');
              return page?.dataset.testScriptState === 'notRunning'
                && host && !host.shadowRoot.querySelector('.scene.stale');
            }""",
            timeout=15_000,
        )
        self.page.wait_for_timeout(140)

    # ---- where things are

    def joint(self, name: str) -> Place:
        return self.middle_of(f'[data-joint="{name}"] .dot')

    def middle(self, a: str, b: str, part: float = 0.5) -> Place:
        (x0, y0), (x1, y1) = self.joint(a), self.joint(b)
        return x0 + part * (x1 - x0), y0 + part * (y1 - y0)

    def middle_of(self, selector: str) -> Place:
        # An answer of Python may redraw the thing between finding and measuring it: ask again.
        for _ in range(20):
            x, y, on_page = self.page.locator(selector).first.evaluate(
                """e => { const b = e.getBoundingClientRect();
                          return [b.x + b.width / 2, b.y + b.height / 2, e.isConnected]; }"""
            )
            if on_page:
                return x, y
        raise AssertionError(f"{selector} does not stay on the page")

    def joints(self) -> set[str]:
        return set(self._names("data-joint"))

    def members(self) -> set[str]:
        return set(self._names("data-member"))

    def _names(self, attribute: str) -> list[str]:
        nodes = self.page.locator(f".scene [{attribute}]")
        names: list[str] = nodes.evaluate_all(f"all => all.map(e => e.getAttribute('{attribute}'))")
        return names

    def count(self, selector: str) -> int:
        return int(self.page.locator(selector).count())

    def text(self, selector: str) -> str:
        return str(self.page.locator(selector).first.text_content())

    def labels(self) -> list[str]:
        found: list[str] = self.page.locator(".label .words").all_text_contents()
        return found

    # ---- what a hand does

    def tool(self, name: str) -> None:
        self.page.locator(".tray").get_by_role("button", name=name).click()

    def step(self, name: str) -> None:
        self.page.get_by_role("radio", name=name).or_(
            self.page.get_by_test_id("stButtonGroup").get_by_role("button", name=name)
        ).first.click()
        self.page.wait_for_selector(f'.editor[data-step="{name.lower()}"]', state="attached")
        self.page.wait_for_timeout(300)
        self.settled()

    def click(self, place: Place, **options: Any) -> None:
        self.page.mouse.click(*place, **options)

    def drag(self, start: Place, end: Place, steps: int = 6) -> None:
        mouse = self.page.mouse
        mouse.move(*start)
        mouse.down()
        mouse.move(*end, steps=steps)
        mouse.up()

    def keys(self, *keys: str) -> None:
        for key in keys:
            self.page.keyboard.press(key)

    def write(self, field: str, words: str) -> None:
        """Type into a field of the card and leave it with Enter."""
        box = self.page.locator(f'.card input[data-field="{field}"]')
        box.fill(words)
        box.press("Enter")

    def focus(self) -> None:
        self.page.locator(".canvas").focus()

    # ---- what fingers do

    def fingers(self, kind: str, *places: Place) -> None:
        if self._touch is None:
            self._touch = self.context.new_cdp_session(self.page)
        points = [{"x": x, "y": y, "id": i} for i, (x, y) in enumerate(places)]
        self._touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    def tap(self, place: Place) -> None:
        self.fingers("touchStart", place)
        self.fingers("touchEnd")

    def slide(self, start: Place, end: Place, *, lift: bool = True) -> None:
        self.fingers("touchStart", start)
        for part in (0.25, 0.5, 0.75, 1.0):
            x = start[0] + part * (end[0] - start[0])
            self.fingers("touchMove", (x, start[1] + part * (end[1] - start[1])))
        if lift:
            self.fingers("touchEnd")
