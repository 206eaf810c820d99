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
    from tables import head, row

    head(f"medians of {runs} runs", "s", "times the first")
    row("python -c 'import cadquery'", f"{base:.2f}", "1.00")
    row("palewright build cottage --fresh", f"{build:.2f}", f"{build / base:.2f}")


if __name__ == "__main__":
    main()
