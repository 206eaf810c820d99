"""How long a build takes, against importing the CAD library alone, side by side.

Run: .venv/bin/python benchmarks/build_time.py [RUNS]. Prints medians and the ratio.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

EXAMPLE = Path(__file__).resolve().parent.parent / "examples" / "cottage.toml"


def seconds(command: list[str]) -> float:
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def compare(runs: int) -> tuple[float, float]:
    """Return the medians of importing cadquery and of building the cottage example, s."""
    imports, builds = [], []
    with tempfile.TemporaryDirectory() as folder:
        build = [sys.executable, "-m", "palewright.cli", "build", str(EXAMPLE), "-o", folder]
        build += ["-q", "--fresh"]
        for _ in range(runs):  # by turns, so that a busy machine slows both
            imports.append(seconds([sys.executable, "-c", "import cadquery"]))
            builds.append(seconds(build))
    return statistics.median(imports), statistics.median(builds)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    base, build = compare(runs)
    print(f"python {sys.version.split()[0]}, medians of {runs} runs")
    print(f"import cadquery         {base:6.2f} s")
    print(f"build examples/cottage  {build:6.2f} s")
    print(f"ratio                   {build / base:6.2f}")


if __name__ == "__main__":
    main()
