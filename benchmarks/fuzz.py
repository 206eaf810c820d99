"""Random specs: each must build or give a clear message, within two seconds and a gigabyte.

Run: python benchmarks/fuzz.py [COUNT [FIRST]]. Needs what the tests need. Prints every spec that
broke a rule, and figures at the end; ends with 1 when any did.
"""

from __future__ import annotations

import json
import os
import random
import resource
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent / "tests"))

from specfuzz import known_keys, mutated, seeds, toml
from tables import head, row

from palewright.model.basis.errors import PalewrightError
from palewright.model.checks.building_checks import check
from palewright.model.lists.takeoff import fence_length, part_lines, station_lines
from palewright.model.order.joints import make_fence
from palewright.reading import parse_job

BATCH = 250
GARDEN = 300_000.0
"""A fence up to so many mm is a garden's: it has the two seconds."""

SECONDS, KILOBYTES, HOPELESS = 2.0, 1_000_000, 30


def late(number: int, frame: object) -> None:
    raise TimeoutError(f"over {HOPELESS} s")


def batch(first: int) -> tuple[int, int, float, int, list[str]]:
    """Try a batch of specs: refused, built, longest time, memory in kB, what went wrong."""
    signal.signal(signal.SIGALRM, late)
    bases, keys = seeds(), known_keys()
    refused = built = 0
    longest = 0.0
    wrong = []
    for number in range(first, first + BATCH):
        text = toml(mutated(random.Random(number), bases, keys))
        start = time.perf_counter()
        length = 0.0
        signal.alarm(HOPELESS)
        try:
            fence = make_fence(parse_job(text))
            check(fence)
            part_lines(fence)
            station_lines(fence)
            length = fence_length(fence)
            built += 1
        except PalewrightError as error:
            refused += 1
            if not str(error).strip() or "Traceback" in str(error):
                wrong.append(f"{number}: no message\n{text}")
        except Exception as error:
            wrong.append(f"{number}: {type(error).__name__}: {error}\n{text}")
        signal.alarm(0)
        taken = time.perf_counter() - start
        if length <= GARDEN:
            longest = max(longest, taken)
            if taken > SECONDS:
                wrong.append(f"{number}: {taken:.1f} s\n{text}")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    if memory > KILOBYTES:
        wrong.append(f"{first}: {memory} kB")
    return refused, built, longest, memory, wrong


def apart(first: int) -> tuple[int, int, float, int, list[str]]:
    """Try a batch in a process of its own, so that its memory is its own."""
    command = [sys.executable, __file__, "--batch", str(first)]
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    refused, built, longest, memory, wrong = json.loads(done.stdout)
    for text in wrong:
        print(text, flush=True)
    return refused, built, longest, memory, wrong


def main() -> None:
    if sys.argv[1:2] == ["--batch"]:
        print(json.dumps(batch(int(sys.argv[2]))))
        return
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20_000
    first = int(sys.argv[2]) if len(sys.argv) > 2 else 0
    start = time.perf_counter()
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        results = list(pool.map(apart, range(first, first + count, BATCH)))
    wrong = sum(len(result[4]) for result in results)
    refused, built = sum(r[0] for r in results), sum(r[1] for r in results)
    seconds = time.perf_counter() - start
    longest, memory = max(r[2] for r in results), max(r[3] for r in results) / 1e6
    head(
        "specs",
        "built",
        "refused with a message",
        "wrong",
        "longest, s",
        "most memory, GB",
        "all, s",
    )
    row(f"{count:,}", f"{built:,}", f"{refused:,}", wrong, f"{longest:.2f}", f"{memory:.2f}",
        f"{seconds:.0f}")  # fmt: skip
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()
