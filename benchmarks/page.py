"""How large the preview page of 20,000 pales is, how fast it loads and draws.

Run: python benchmarks/page.py. Needs what the tests need (Debian's chromium). The browser draws
without a graphics card here, which is many times slower than any phone with one.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
import time
from pathlib import Path

from playwright.sync_api import sync_playwright
from tables import head, row

from palewright.export.models.product import Product
from palewright.export.page.html import write_page
from palewright.model.lists.takeoff import pale_count
from palewright.model.order.joints import make_fence
from palewright.model.resolved.resolve import resolve
from palewright.model.spec.spec_tables import SpecTables

FLAGS = ["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
         "--ignore-gpu-blocklist", "--disable-background-networking"]  # fmt: skip
RUNS = 3
ORBIT = """() => new Promise((done) => {
  const app = window.palewright;
  const times = [];
  let last = performance.now();
  const step = (now) => {
    times.push(now - last);
    last = now;
    const offset = app.views.camera.position.clone().sub(app.views.controls.target);
    const turn = 0.02;
    const x = offset.x * Math.cos(turn) - offset.y * Math.sin(turn);
    offset.y = offset.x * Math.sin(turn) + offset.y * Math.cos(turn);
    offset.x = x;
    const at = app.views.controls.target.clone();
    app.views.look(at.clone().add(offset), at);
    if (times.length < 40) requestAnimationFrame(step);
    else done(times.slice(10));
  };
  requestAnimationFrame(step);
})"""


def fence_with(pales: int) -> Product:
    """Return a straight fence of about so many pales, in four runs."""
    length = pales * 160.0 / 4.0
    runs = [{"points": [[0, y], [length, y]]} for y in (0, 20_000, 40_000, 60_000)]
    return Product(make_fence(resolve(SpecTables.model_validate({"run": runs}))))


def main() -> None:
    chromium = shutil.which("chromium")
    head("pales", "page, MB", "written in, s", "load, s", "whole, frames a second",
         "eye level, frames a second")  # fmt: skip
    with sync_playwright() as driver, tempfile.TemporaryDirectory() as folder:
        browser = driver.chromium.launch(executable_path=chromium, args=FLAGS)
        for pales in (100, 1000, 20_000):
            built = fence_with(pales)
            count = pale_count(built.fence)
            assert built.meshes
            start = time.perf_counter()
            data = write_page([("fence", built)])
            written = time.perf_counter() - start
            path = Path(folder) / f"{pales}.html"
            path.write_bytes(data)
            loads: list[float] = []
            rates: dict[str, list[float]] = {"front": [], "eye": []}
            for _ in range(RUNS):
                page = browser.new_page(viewport={"width": 1280, "height": 720})
                start = time.perf_counter()
                page.goto(path.as_uri())
                while not page.evaluate("!!window.palewright && palewright.frame.count > 0"):
                    page.wait_for_timeout(20)
                loads.append(time.perf_counter() - start)
                for view, found in rates.items():
                    page.evaluate(f"palewright.views.{view}()")
                    times = page.evaluate(ORBIT)
                    found.append(1000.0 * len(times) / sum(times))
                page.close()
            row(f"{count:,}", f"{len(data) / 1e6:.2f}", f"{written:.2f}",
                f"{statistics.median(loads):.2f}", f"{statistics.median(rates['front']):.1f}",
                f"{statistics.median(rates['eye']):.1f}")  # fmt: skip


if __name__ == "__main__":
    main()
