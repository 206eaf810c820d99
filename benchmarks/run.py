"""All benchmarks, and their tables as a page of the guide: docs/benchmarks.md.

Run: python benchmarks/run.py [NAME...]. Needs what the tests need. With names only those are
measured anew and the page keeps the rest. Takes an hour and a half on two cores, nearly all of it
random specs.
"""

from __future__ import annotations

import os
import platform
import re
import subprocess
import sys
import time
from datetime import date
from importlib.metadata import version
from pathlib import Path

HERE = Path(__file__).resolve().parent
PAGE = HERE.parent / "docs" / "benchmarks.md"
LIBRARIES = ("cadquery", "ezdxf", "highspy", "numpy", "reportlab", "shapely", "trimesh", "pydantic")

SECTIONS = {
    "build_time": ("A whole build, beside importing the CAD library", ()),
    "scale": ("Start-up and large fences", ()),
    "cut_joints": ("Joints cut in the timber, and not", ()),
    "fuzz": ("Random specs", ("20000",)),
    "combined": ("Random specs that combine features", ("20000", "2000", "500")),
    "beginners": ("Slips of beginners in the examples", ("2000",)),
    "files": ("Hostile and mutated files", ("2000",)),
    "kill": ("Builds killed at random", ("200",)),
    "page": ("The preview page", ()),
    "watch": ("From a save to the rebuilt view", ()),
}  # fmt: skip

INTRODUCTION = """# Benchmarks

Made by `python benchmarks/run.py`. Figures are medians of repeated runs, but for the longest, which
ran once; what is compared was measured in the same run, and ratios say more than seconds. What the
figures mean stands in `benchmarks/README.md`.
"""


def machine() -> str:
    """Return what the figures were measured on."""
    model = platform.machine()
    cpus = Path("/proc/cpuinfo")
    if cpus.exists():
        found = re.search(r"^model name\s*:\s*(.+)$", cpus.read_text(), re.MULTILINE)
        model = found[1] if found else model
    libraries = ", ".join(f"{name} {version(name)}" for name in LIBRARIES)
    return (
        f"{date.today()}; {os.cpu_count()} cores ({model}), {platform.system()}, "
        f"{platform.python_implementation()} {platform.python_version()}; {libraries}."
    )


def measured(name: str) -> str:
    """Run one benchmark and return its section."""
    title, arguments = SECTIONS[name]
    start = time.perf_counter()
    done = subprocess.run(
        [sys.executable, str(HERE / f"{name}.py"), *arguments],
        stdout=subprocess.PIPE, text=True, check=True,
    )  # fmt: skip
    print(f"{name}: {time.perf_counter() - start:.0f} s", flush=True)
    return f"## {title}\n\n{machine()}\n\n{done.stdout.strip()}\n"


def main() -> None:
    names = sys.argv[1:] or list(SECTIONS)
    if unknown := [name for name in names if name not in SECTIONS]:
        sys.exit(f"no benchmark {unknown[0]}; there are {', '.join(SECTIONS)}")
    kept: dict[str, str] = {}
    if PAGE.exists():
        parts = re.split(r"^(?=## )", PAGE.read_text("utf-8"), flags=re.MULTILINE)[1:]
        kept = {part.partition("\n")[0].removeprefix("## "): part.strip() + "\n" for part in parts}
    for name in names:
        kept[SECTIONS[name][0]] = measured(name)
        shown = [kept[title] for title, _ in SECTIONS.values() if title in kept]
        PAGE.write_text("\n".join([INTRODUCTION, *shown]), "utf-8")


if __name__ == "__main__":
    main()
