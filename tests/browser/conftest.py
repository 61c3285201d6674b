"""The app in a real browser: one server for all tests, a page of its own for each."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

# Test modules are imported by their own paths; what they share is found here.
sys.path.insert(0, str(Path(__file__).parent))

from browser_hand import DESKTOP, PHONE, Hand

BROWSERS = ("chromium", "chromium-browser", "google-chrome")
START = "import sys; from ui.launch import launch; launch(int(sys.argv[1]), open_browser=False)"


def find_browser() -> str | None:
    return next((path for name in BROWSERS if (path := shutil.which(name))), None)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker(pytest.mark.browser)
            if find_browser() is None:
                item.add_marker(pytest.mark.skip(reason="no Chromium on this machine"))


@contextmanager
def serving(port: int) -> Iterator[str]:
    """The app on a port, once it is healthy; stopped at the end."""
    command = [sys.executable, "-c", START, str(port)]
    with subprocess.Popen(
        command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env={**os.environ}
    ) as process:
        try:
            _wait_for(f"http://localhost:{port}/_stcore/health")
            yield f"http://localhost:{port}"
        finally:
            process.terminate()


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("localhost", 0))
        return int(probe.getsockname()[1])


def _wait_for(address: str) -> None:
    until = time.monotonic() + 40
    while True:
        try:
            with urllib.request.urlopen(address, timeout=2) as answer:
                if answer.status == 200:
                    return
        except OSError:
            if time.monotonic() > until:
                raise
            time.sleep(0.2)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    with serving(free_port()) as address:
        yield address


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=find_browser(), args=["--no-sandbox", "--disable-gpu"]
        )
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: Any) -> Iterator[Callable[..., Hand]]:
    """Open the app in a context of its own; at the end no error may stand in the console."""
    hands: list[Hand] = []

    def opened(address: str, **context: Any) -> Hand:
        hand = Hand(browser.new_context(**{**DESKTOP, **context}), address)
        hands.append(hand)
        return hand.open()

    yield opened
    for hand in hands:
        hand.context.close()
    assert [error for hand in hands for error in hand.errors] == []


@pytest.fixture(scope="module")
def kept_pages() -> Iterator[dict[str, Hand]]:
    """Pages that the tests of a module use one after the other; loading one takes seconds."""
    pages: dict[str, Hand] = {}
    yield pages
    for hand in pages.values():
        hand.context.close()


def _as_new(browser: Any, server: str, pages: dict[str, Hand], kind: str) -> Hand:
    """A page that shows the untouched sample: the kept one with everything undone."""
    if kind not in pages:
        context = {"desk": DESKTOP, "phone": PHONE}[kind]
        pages[kind] = Hand(browser.new_context(**context), server).open()
    else:
        pages[kind].start_again()
    return pages[kind]


@pytest.fixture
def desk(browser: Any, server: str, kept_pages: dict[str, Hand]) -> Iterator[Hand]:
    hand = _as_new(browser, server, kept_pages, "desk")
    yield hand
    assert hand.errors == []


@pytest.fixture
def phone(browser: Any, server: str, kept_pages: dict[str, Hand]) -> Iterator[Hand]:
    hand = _as_new(browser, server, kept_pages, "phone")
    yield hand
    assert hand.errors == []
