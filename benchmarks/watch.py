"""How long a save takes to show in the browser while `palewright watch` serves an example.

Run: python benchmarks/watch.py. From the write of the spec to the first frame of the rebuilt model,
as the page sees it; the browser draws without a graphics card.
"""

from __future__ import annotations

import re
import shutil
import statistics
import tempfile
import threading
import time
from pathlib import Path

from page import FLAGS
from playwright.sync_api import Page, sync_playwright
from tables import head, row

from palewright.export.page.live import builder_of, watched
from palewright.export.page.server import HOST, Live, server_of
from palewright.reading import read_fence

EXAMPLES = ("cottage", "orchard")
SAVES = 15


def saved(page: Page, spec: Path, text: str, number: int) -> float:
    """Return the seconds from a save to the frame that shows it."""
    start = time.perf_counter()
    spec.write_text(text)
    while not page.evaluate(f"window.rebuilt >= {number}"):
        page.wait_for_timeout(5)
    frames = page.evaluate("palewright.frame.count")
    while page.evaluate("palewright.frame.count") == frames and page.evaluate(
        "palewright.frame.waiting"
    ):
        page.wait_for_timeout(5)
    return time.perf_counter() - start


def main() -> None:
    head(f"example, {SAVES} saves each", "median, s", "slowest, s")
    folder = Path(__file__).parent.parent / "examples"
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as own:
        browser = driver.chromium.launch(executable_path=shutil.which("chromium"), args=FLAGS)
        for name in EXAMPLES:
            for path in folder.glob(f"{name}*"):
                shutil.copy(path, own)
            spec = Path(own) / f"{name}.toml"
            text = spec.read_text()
            live, stop = Live(builder_of([spec], read_fence)), threading.Event()
            live.rebuild()
            server = server_of(live, 0)
            looks = (lambda spec=spec: watched([spec]), stop)
            threading.Thread(target=live.watch, args=looks, daemon=True).start()
            threading.Thread(target=server.serve_forever, daemon=True).start()
            page = browser.new_page(viewport={"width": 1280, "height": 720})
            page.goto(f"http://{HOST}:{server.server_address[1]}/")
            while not page.evaluate("!!window.palewright && palewright.frame.count > 0"):
                page.wait_for_timeout(20)
            times = []
            for number in range(1, SAVES + 1):
                changed = re.sub(
                    r"(\[pales\][^[]*?\nlength = )\d+", rf"\g<1>{951 + 2 * number}", text
                )
                assert changed != text
                times.append(saved(page, spec, changed, number))
                page.wait_for_timeout(1000)
            row(name, f"{statistics.median(times):.2f}", f"{max(times):.2f}")
            page.close()
            stop.set()
            server.shutdown()


if __name__ == "__main__":
    main()
