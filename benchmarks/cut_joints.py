"""What it takes to cut the joints in the timber: time and bytes, with them and without, in one run.

Run: python benchmarks/cut_joints.py. For each example the fence is made and written as STEP in a
process of its own, the import of the CAD library counted where holes over an edge need it. Prints
a table.
"""

from __future__ import annotations

import json
import statistics
import subprocess
import sys
import time
from pathlib import Path

from tables import head, row

RUNS = 3

EXAMPLES = ("cottage", "larchgate", "orchard", "headland")

FOLDER = Path(__file__).resolve().parent.parent / "examples"


def one(example: str, cut: bool) -> None:
    """Measure one example and print as JSON: seconds, bytes, members, marks."""
    from dataclasses import replace

    from palewright.export.models.product import Product
    from palewright.export.models.step import write_step
    from palewright.model.order.joints import make_fence
    from palewright.model.spec.joinery_keys import Joinery
    from palewright.reading import read_job

    job = replace(read_job(FOLDER / f"{example}.toml"), joinery=Joinery(cut=cut))
    start = time.perf_counter()
    fence = make_fence(job)
    data = write_step(Product(fence))
    seconds = time.perf_counter() - start
    print(json.dumps([seconds, len(data), len(fence.members), len(fence.by_mark)]))


def measured(example: str, cut: bool) -> list[float]:
    """Return the medians of a few runs."""
    command = [sys.executable, __file__, example, str(int(cut))]
    rows = [json.loads(subprocess.check_output(command, text=True)) for _ in range(RUNS)]
    return [statistics.median(column) for column in zip(*rows, strict=True)]


def main() -> None:
    """Print the table."""
    head("example", "pieces", "marks, plain", "marks, cut", "STEP bytes a piece, plain",
         "STEP bytes a piece, cut", "build s, plain", "build s, cut", "ratio")  # fmt: skip
    for example in EXAMPLES:
        plain, cut = (measured(example, joined) for joined in (False, True))
        row(example, f"{plain[2]:.0f}", f"{plain[3]:.0f}", f"{cut[3]:.0f}",
            f"{plain[1] / plain[2]:.0f}", f"{cut[1] / cut[2]:.0f}", f"{plain[0]:.2f}",
            f"{cut[0]:.2f}", f"{cut[0] / plain[0]:.1f}")  # fmt: skip


if __name__ == "__main__":
    if len(sys.argv) > 1:
        one(sys.argv[1], sys.argv[2] == "1")
    else:
        main()
