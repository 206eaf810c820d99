"""Write all that the program can make of a spec, in one process: every_output.py SPEC FOLDER.

With a third argument every picture is that many times smaller: what goes into one stays the same.
"""

from __future__ import annotations

import csv
import sys
from dataclasses import replace
from pathlib import Path

from click.testing import CliRunner

from helpers import filled_in
from palewright.cli.main import main
from palewright.export.models.product import Product
from palewright.export.outputs.registry import OUTPUTS
from palewright.export.pictures import picture
from palewright.export.pictures.camera import Viewpoint

SETS = ("build", "planning", "customer", "workshop", "site")
HAVE_NO = {
    "corner": "no corner", "template": "no head to draw",
    "wind": "no [wind] table", "size": "no [wind] table",
}  # fmt: skip
"""What the program says where a spec does not have what a command is about."""

COMMANDS = ("sheets-", "proposal", "page", "picture", "calculation", "ground")
"""Outputs that commands of their own make, or that only some surveys have."""


def run(*arguments: str) -> str:
    """Run a command and return what it printed; it may say that the fence has no such thing."""
    result = CliRunner().invoke(main, list(arguments), catch_exceptions=False)
    if result.exit_code:
        known = any(word in arguments and text in result.output for word, text in HAVE_NO.items())
        assert known, (arguments, result.output)
    return result.stdout


def everything(spec: str, folder: Path) -> None:
    """Write every output of every command into a folder, none over another's."""
    folder.mkdir(parents=True)
    times: dict[Path, int] = {}

    def write(*arguments: str) -> None:
        run(*arguments)
        now = {path: path.stat().st_mtime_ns for path in folder.iterdir()}
        assert all(now[path] == time for path, time in times.items()), arguments
        times.update(now)

    every = ",".join(o.name for o in OUTPUTS if not o.name.startswith(COMMANDS))
    write("build", spec, "-o", str(folder), "--only", every, "-q", "--fresh")
    for purpose in SETS:
        write("sheets", spec, "-o", str(folder), "--for", purpose)
    write("template", spec, "-o", str(folder))
    # the page, the quotation and the customer's sheets hold pictures from the front
    write("picture", spec, "-o", str(folder / "corner.png"), "--view", "corner")
    write("page", spec, "-o", str(folder / "page.html"))
    write("wind", spec, "-o", str(folder / "wind.pdf"))
    prices = folder / "prices.csv"
    write("prices", spec, "-o", str(prices))
    with prices.open(newline="", encoding="utf-8") as file:
        rows = filled_in(csv.reader(file))
    prices = folder / "priced.csv"
    with prices.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file).writerows(rows)
    write("quote", spec, "--prices", str(prices), "-o", str(folder))
    write("proposal", spec, "--prices", str(prices), "-o", str(folder), "--no-picture")
    for command in ("check", "wind", "size"):
        (folder / f"{command}.txt").write_text(run(command, spec), encoding="utf-8")


def draw_smaller(times: int) -> None:
    """Make all pictures so many times narrower and lower."""
    full = picture.write_picture

    def smaller(built: Product, view: Viewpoint | None = None) -> bytes:
        view = view or Viewpoint()
        return full(built, replace(view, width=view.width // times, height=view.height // times))

    picture.write_picture = smaller


if __name__ == "__main__":
    draw_smaller(int(sys.argv[3]) if len(sys.argv) > 3 else 1)
    everything(sys.argv[1], Path(sys.argv[2]))
