"""The customer's page in Debian's chromium, for tests: opened from its file, and looked at."""

from __future__ import annotations

import base64
import io
import shutil
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
FLAGS = (
    "--no-sandbox", "--disable-quic", "--no-first-run", "--disable-background-networking",
    "--disable-component-update", "--disable-sync", "--use-angle=swiftshader",
    "--enable-unsafe-swiftshader", "--ignore-gpu-blocklist",
)  # fmt: skip

TOPS = """() => palewright.world.data.posts.map(
  (post) => palewright.views.spot(post.at[0], post.at[1], post.at[2] + post.top))"""
"""Where the tops of the posts are on the screen."""


@contextmanager
def chromium_running() -> Iterator[Any]:
    """A browser; its driver allows no other in the same process at the time."""
    from playwright.sync_api import sync_playwright

    assert CHROMIUM, "the tests need Debian's chromium (sh tests/run installs it)"
    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=list(FLAGS))
        yield browser
        browser.close()


def opened(chromium: Any, path: Path, **options: Any) -> tuple[Any, list[str]]:
    """Open a page from its file; whatever it asks the network for, or complains of, is kept.

    fragment : of its address.
    """
    fragment = options.pop("fragment", "")
    context = chromium.new_context(viewport=options.pop("viewport", {"width": 900, "height": 600}),
                                   **options)  # fmt: skip
    page = context.new_page()
    faults: list[str] = []

    def complain(message: Any) -> None:
        # reading pixels back is slow without a graphics card, which the browser remarks on
        if message.type in ("error", "warning") and "ReadPixels" not in message.text:
            faults.append(message.text)

    def asked(route: Any) -> None:
        url = route.request.url
        if url.startswith(("file:", "data:", "blob:")):
            route.continue_()
            return
        faults.append(f"asked for {url}")
        route.abort()

    page.route("**/*", asked)
    page.on("console", complain)
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(path.as_uri() + fragment)
    until(page, "window.palewright && window.palewright.frame.count > 0")
    return page, faults


def still(page: Any) -> None:
    """Wait until nothing is being drawn."""
    until(page, "!window.palewright.frame.waiting")


def until(page: Any, condition: str, seconds: float = 60.0) -> None:
    """Wait for a condition in the page, without the evaluation that its own policy forbids."""
    end = time.monotonic() + seconds
    while not page.evaluate(f"!!({condition})"):
        assert time.monotonic() < end, condition
        page.wait_for_timeout(50)


def presented(page: Any) -> np.ndarray:
    """Return what the browser shows, once two pictures agree: a busy one presents frames late."""
    still(page)
    before = b""
    for _ in range(60):
        data = page.locator("#view").screenshot()
        with Image.open(io.BytesIO(data)) as image:
            pixels = np.asarray(image.convert("RGB")).astype(int)
        # an empty canvas is one that is not presented yet
        if data == before and pixels.std() > 1.0:
            break
        page.wait_for_timeout(100)
        before = data
    return pixels


def shot(page: Any) -> np.ndarray:
    """Return the view drawn at once, whether or not the browser has presented it."""
    still(page)
    page.evaluate("palewright.frame.toPrint()")
    data = page.evaluate("document.getElementById('print').src").partition("base64,")[2]
    with Image.open(io.BytesIO(base64.b64decode(data))) as image:
        return np.asarray(image.convert("RGB")).astype(int)


def said(page: Any) -> str:
    return str(page.locator("#said").text_content())
